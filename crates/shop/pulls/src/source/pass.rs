//! One pass over the bytes of a table, a number at a time, straight into the columns.
//!
//! A cell that is a plain number between two delimiters never becomes a text. Only what the quick
//! path cannot read is cut out and looked at slowly.

use super::cells::{Delimiter, at_line_end, line_end, next_line, piece};
use super::column::{Build, Kind};
use super::layout::Layout;
use super::number;
use super::report::Report;
use super::sniff::Manner;
use super::trial::{Trial, counted};

/// The pass over the rows.
pub struct Pass<'a> {
    pub text: &'a str,
    pub manner: Manner,
    /// Decimal sign of cells without quotes: none (0) where it is also the delimiter.
    pub bare_decimal: u8,
    pub layout: &'a Layout<'a>,
    pub columns: Vec<Build>,
    pub trial: Trial<'a>,
    pub rows: usize,
    pub parts: Vec<usize>,
    /// Lines that are no rows, of which it is not known yet whether rows follow.
    /// Line, text, and the cells where there were numbers but too few.
    pub pending: Vec<(usize, &'a str, Option<usize>)>,
    pub blank_before: bool,
    /// First value of the row before.
    pub last_first: f64,
    pub report: Report,
}

impl<'a> Pass<'a> {
    pub fn new(
        text: &'a str,
        manner: &Manner,
        layout: &'a Layout<'a>,
        columns: Vec<Build>,
    ) -> Self {
        let mut pass = Self {
            text,
            manner: *manner,
            bare_decimal: if manner.delimiter == Delimiter::Sign(manner.decimal) {
                0
            } else {
                manner.decimal
            },
            layout,
            trial: Trial { values: vec![f64::NAN; columns.len()], ..Trial::default() },
            columns,
            rows: 0,
            parts: Vec::new(),
            pending: Vec::new(),
            blank_before: false,
            last_first: f64::NAN,
            report: Report::default(),
        };
        let rows = pass.rows_at_most();
        pass.columns.iter_mut().for_each(|column| column.reserve(rows));
        pass
    }

    /// About the number of rows, from the length of the first.
    fn rows_at_most(&self) -> usize {
        let left = self.text.len() - self.layout.first_row;
        let first = line_end(self.text, self.layout.first_row) - self.layout.first_row;
        left / first.max(self.columns.len() / 2).max(1) + left / 8 / first.max(8) + 1
    }

    /// Reads to the end of the text or of the table; returns where another one begins.
    pub fn run(&mut self) -> Option<(usize, usize)> {
        let (mut at, mut line) = (self.layout.first_row, self.layout.first_line);
        while at < self.text.len() {
            self.line(at);
            let written = self.text.get(at..self.trial.end).unwrap_or_default();
            if self.trial.is_blank() {
                self.blank_before = true;
            } else if self.is_row() {
                self.commit(line);
            } else if self.is_headings(written) {
                self.begin_part();
            } else if self.is_other_headings(at) {
                self.keep_pending(false);
                return Some((at, line));
            } else {
                self.set_aside(line, written);
            }
            line += 1 + self.trial.lines;
            at = next_line(self.text, self.trial.end);
        }
        self.keep_pending(false);
        None
    }

    /// Reads the line at `at` into the trial.
    #[inline]
    fn line(&mut self, mut at: usize) {
        let bytes = self.text.as_bytes();
        let delimiter = self.manner.delimiter;
        self.trial.clear();
        let mut column = 0;
        at = skip(bytes, at, delimiter);
        loop {
            let quick = match self.columns.get(column) {
                Some(build) if build.kind == Kind::Number => self.quick(bytes, at),
                _ => None,
            };
            let end = match quick {
                Some((value, end)) => {
                    self.trial.take(column, value);
                    end
                }
                None => self.slow(at, column),
            };
            column += 1;
            match delimiter {
                Delimiter::Sign(_) if at_line_end(bytes, end) => {
                    return self.trial.close(column, end);
                }
                Delimiter::Sign(_) => at = end + 1,
                Delimiter::Run => {
                    at = skip(bytes, end, delimiter);
                    if at_line_end(bytes, at) {
                        return self.trial.close(column, at);
                    }
                }
            }
        }
    }

    /// A plain number or nothing between two delimiters, and the place of the second.
    #[inline(always)]
    fn quick(&self, bytes: &[u8], at: usize) -> Option<(f64, usize)> {
        let Delimiter::Sign(sign) = self.manner.delimiter else {
            let (value, end) = number::scan(bytes, at, self.bare_decimal)?;
            let ends = matches!(bytes.get(end), None | Some(b' ' | b'\t' | b'\n' | b'\r'));
            return ends.then_some((value, end));
        };
        let ends = |at: usize| {
            bytes.get(at).is_none_or(|byte| *byte == sign || matches!(byte, b'\n' | b'\r'))
        };
        let start = skip_spaces(bytes, at);
        if ends(start) {
            return Some((f64::NAN, start));
        }
        let (value, end) = number::scan(bytes, start, self.bare_decimal)?;
        let end = skip_spaces(bytes, end);
        ends(end).then_some((value, end))
    }

    /// Cuts a cell out and looks at it; returns the place behind it.
    #[cold]
    fn slow(&mut self, at: usize, column: usize) -> usize {
        let cell = piece(self.text, at, self.manner.delimiter);
        let trial = &mut self.trial;
        let within = self.text.as_bytes().get(at..cell.end).unwrap_or_default();
        trial.lines += within.iter().filter(|byte| **byte == b'\n').count();
        let Some(build) = self.columns.get_mut(column) else {
            trial.extra += usize::from(!cell.text.is_empty());
            return cell.end;
        };
        if build.kind == Kind::Words {
            trial.marks += usize::from(!cell.text.is_empty());
            trial.words.push((column, cell.text));
            return cell.end;
        }
        match build.read(&cell.text, self.manner.decimal) {
            Some(value) => {
                trial.marks += usize::from(value.is_nan() && !cell.text.is_empty());
                trial.take(column, value);
            }
            None => {
                trial.values[column] = f64::NAN;
                trial.odd.push((column, cell.text));
            }
        }
        cell.end
    }

    fn commit(&mut self, line: usize) {
        self.keep_pending(true);
        self.check_length(line);
        let first = self.trial.values.first().copied().unwrap_or(f64::NAN);
        if self.blank_before && first < self.last_first {
            self.begin_part();
        }
        self.blank_before = false;
        if !first.is_nan() {
            self.last_first = first;
        }
        for (column, cell) in self.trial.odd.drain(..) {
            self.columns[column].note_odd(line, &cell);
        }
        let mut words = self.trial.words.drain(..).peekable();
        for (place, (column, value)) in self.columns.iter_mut().zip(&self.trial.values).enumerate()
        {
            match column.kind {
                Kind::Number | Kind::Clock => column.push(*value),
                Kind::Words => {
                    let cell = words.next_if(|(column, _)| *column == place);
                    column.push_word(cell.as_ref().map_or("", |(_, cell)| cell));
                }
            }
        }
        self.rows += 1;
    }

    /// Makes the cells that a short row lacks missing, and warns of short and long rows.
    fn check_length(&mut self, line: usize) {
        let (cells, width) = (self.trial.cells, self.columns.len());
        if self.trial.extra > 0 {
            let text = format!("{}; those behind the last are left out", counted(cells, width));
            self.report.warn("rows with too many cells", Some(line), None, text);
        }
        if cells >= width {
            return;
        }
        self.trial.values[cells..].fill(f64::NAN);
        if cells >= self.manner.width {
            return;
        }
        let mut text = format!("{}; the others are read as missing", counted(cells, width));
        if self.trial.end == self.text.len() {
            // The last number of a file that was cut may be cut too.
            self.trial.values[cells - 1] = f64::NAN;
            self.trial.words.retain(|(column, _)| column + 1 < cells);
            text = format!(
                "the file ends within this row: {}; the last and those that lack are read as missing",
                counted(cells, width)
            );
        }
        self.report.warn("rows with too few cells", Some(line), None, text);
    }

    fn begin_part(&mut self) {
        if self.rows > 0 && self.parts.last() != Some(&self.rows) {
            self.parts.push(self.rows);
        }
    }
}

/// The place of the first cell of a line or behind a delimiter.
#[inline(always)]
fn skip(bytes: &[u8], mut at: usize, delimiter: Delimiter) -> usize {
    while delimiter == Delimiter::Run && matches!(bytes.get(at), Some(b' ' | b'\t')) {
        at += 1;
    }
    at
}

#[inline(always)]
fn skip_spaces(bytes: &[u8], mut at: usize) -> usize {
    while bytes.get(at) == Some(&b' ') {
        at += 1;
    }
    at
}
