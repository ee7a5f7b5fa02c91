//! The rows of a table: one pass over the bytes, a number at a time, straight into the columns.
//!
//! A cell that is a plain number between two delimiters never becomes a text. Only what the quick
//! path cannot read is cut out and looked at slowly.

use super::cells::{Delimiter, at_line_end, line_end, next_line, piece, record};
use super::column::{Build, Kind};
use super::heading::Heading;
use super::layout::{Layout, is_row};
use super::missing::clear_marks;
use super::number;
use super::report::{Report, quote};
use super::sniff::{Manner, looks_like_number, sample};
use crate::log::Group;
use std::borrow::Cow;

/// First words of lines below a table that sum it up, in small letters.
const SUMMARY: [&str; 18] = [
    "min",
    "max",
    "avg",
    "average",
    "mean",
    "minimum",
    "maximum",
    "sum",
    "total",
    "std",
    "stddev",
    "count",
    "median",
    "mittel",
    "mittelwert",
    "summe",
    "moyenne",
    "range",
];

/// What was read of a table.
#[derive(Debug)]
pub struct Table {
    /// Its columns.
    pub group: Group,
    /// When its clock began.
    pub began: Option<String>,
    /// Place and line of headings of another table below it.
    pub next: Option<(usize, usize)>,
}

/// One line on trial: it becomes a row or not once all of it is seen.
#[derive(Debug, Default)]
struct Trial<'a> {
    values: Vec<f64>,
    cells: usize,
    numbers: usize,
    marks: usize,
    /// Cells that are not empty behind the last column.
    extra: usize,
    odd: Vec<(usize, Cow<'a, str>)>,
    words: Vec<(usize, Cow<'a, str>)>,
    /// Line ends within quotes.
    lines: usize,
    end: usize,
}

/// The pass over the rows.
struct Pass<'a> {
    text: &'a str,
    manner: Manner,
    /// Decimal sign of cells without quotes: none (0) where it is also the delimiter.
    bare_decimal: u8,
    layout: &'a Layout<'a>,
    columns: Vec<Build>,
    trial: Trial<'a>,
    rows: usize,
    parts: Vec<usize>,
    /// Lines that are no rows, of which it is not known yet whether rows follow.
    /// Line, text, and the cells where there were numbers but too few.
    pending: Vec<(usize, &'a str, Option<usize>)>,
    blank_before: bool,
    /// First value of the row before.
    last_first: f64,
    report: Report,
}

/// Reads the rows below a layout's headings.
pub fn read(text: &str, manner: &Manner, layout: &Layout<'_>, report: &mut Report) -> Table {
    let mut pass = Pass::new(text, manner, layout, builds(text, manner, layout));
    let mut next = pass.run();
    if pass.columns.iter().any(Build::is_of_words) {
        // Seldom: the sampled lines did not show that a column holds words.
        let fresh = builds(text, manner, layout).into_iter().zip(&pass.columns);
        let columns = fresh
            .map(|(fresh, read)| if read.is_of_words() { fresh.into_words_build() } else { fresh })
            .collect();
        pass = Pass::new(text, manner, layout, columns);
        next = pass.run();
    }
    report.absorb(pass.report);
    warn_of_names(&pass.columns, manner, layout, report);
    let (group, began) = finish(pass.columns, pass.parts, pass.rows, report);
    Table { group, began, next }
}

/// Empty columns, each of the kind that sampled rows show.
fn builds(text: &str, manner: &Manner, layout: &Layout<'_>) -> Vec<Build> {
    let rest = text.get(layout.first_row..).unwrap_or_default();
    let records: Vec<_> = sample(rest)
        .into_iter()
        .map(|start| record(rest, start, manner.delimiter))
        .filter(|record| is_row(record, manner.width))
        .collect();
    let cells = |column: usize| {
        records.iter().filter_map(move |record| record.cells.get(column)).map(AsRef::as_ref)
    };
    // A delimiter at the end of every line makes no column, nor does a stray cell behind it.
    let behind = |heading: &Heading, column| {
        let filled = cells(column).filter(|cell| !cell.is_empty()).count();
        heading.unnamed && layout.heading_line.is_some() && 4 * filled <= records.len()
    };
    let last =
        layout.headings.iter().enumerate().rposition(|(column, heading)| !behind(heading, column));
    let headings = layout.headings.iter().take(last.map_or(0, |last| last + 1)).enumerate();
    headings.map(|(column, heading)| Build::new(heading, cells(column), manner.decimal)).collect()
}

/// Warns of columns without headings.
fn warn_of_names(columns: &[Build], manner: &Manner, layout: &Layout<'_>, report: &mut Report) {
    let kept = || columns.iter().filter(|column| !column.is_superfluous());
    let unnamed = kept().filter(|column| column.is_unnamed()).count();
    let kind = "columns without heading";
    if layout.heading_line.is_none() {
        let text = "the columns have no headings; they are named by their place";
        report.warn(kind, Some(layout.first_line), None, text);
    } else if kept().next_back().is_some_and(Build::is_unnamed) {
        let mut text = format!(
            "{} headings for {} columns; those without are named by their place",
            kept().count() - unnamed,
            kept().count()
        );
        if manner.delimiter == Delimiter::Sign(b',') {
            text += ". Where the comma is the decimal sign too, export with semicolons";
        }
        report.warn(kind, layout.heading_line, None, text);
    } else {
        for column in kept().filter(|column| column.is_unnamed()) {
            let text = "has no heading; it is named by its place";
            report.warn(kind, layout.heading_line, Some(column.name()), text);
        }
    }
}

impl<'a> Pass<'a> {
    fn new(text: &'a str, manner: &Manner, layout: &'a Layout<'a>, columns: Vec<Build>) -> Self {
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
    fn run(&mut self) -> Option<(usize, usize)> {
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

    /// True where the line on trial is a row: it has half of the cells, at most half of them odd, and
    /// does not begin with a word where the rows begin with a number.
    fn is_row(&self) -> bool {
        let trial = &self.trial;
        let whole = 2 * trial.cells >= self.columns.len();
        let read =
            trial.numbers > 0 || trial.odd.is_empty() && trial.marks > 0 && trial.words.is_empty();
        whole && read && trial.odd.len() <= trial.numbers.max(1) && !self.sums_up()
    }

    fn sums_up(&self) -> bool {
        let first = self.trial.odd.iter().chain(&self.trial.words).find(|(column, _)| *column == 0);
        first.is_some_and(|(_, cell)| {
            let word = cell.trim_end_matches([':', '.']).to_lowercase();
            let of_words = self.columns.first().is_some_and(|column| column.kind == Kind::Words);
            SUMMARY.contains(&word.as_str())
                || !of_words
                    && !word.is_empty()
                    && word.chars().all(|c| c.is_alphabetic() || c == ' ')
        })
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

    /// True for one of the lines of headings or units again.
    fn is_headings(&self, written: &str) -> bool {
        let written = written.trim().trim_start_matches('\u{FEFF}');
        self.layout.heading_lines.contains(&written)
    }

    /// True where the line at `at` holds headings of another table: words only, with rows of as many
    /// cells below.
    fn is_other_headings(&self, at: usize) -> bool {
        let delimiter = self.manner.delimiter;
        let here = record(self.text, at, delimiter);
        let word = |cell: &Cow<'_, str>| {
            cell.is_empty()
                || cell.starts_with(|c: char| c.is_alphabetic() || matches!(c, '[' | '('))
        };
        let width = here.cells.len();
        let named = width > 1 && 2 * here.filled() > width && here.filled() > 1;
        if !named || !here.cells.iter().all(word) || here.cells.iter().any(|c| looks_like_number(c))
        {
            return false;
        }
        let (mut at, mut rows) = (next_line(self.text, here.end), 0);
        for _ in 0..4 {
            let next = record(self.text, at, delimiter);
            rows += usize::from(next.cells.len() == width && is_row(&next, width));
            at = next_line(self.text, next.end);
        }
        rows >= 2
    }

    /// Keeps a line that is no row until it is known whether rows follow.
    fn set_aside(&mut self, line: usize, written: &'a str) {
        let short = self.trial.numbers > 0 && self.trial.odd.is_empty();
        self.pending.push((line, written, short.then_some(self.trial.cells)));
    }

    /// Hands lines that are no rows to the remarks, with a warning where rows follow.
    fn keep_pending(&mut self, rows_follow: bool) {
        for (line, written, cells) in self.pending.drain(..) {
            if rows_follow {
                let why = match cells {
                    Some(cells) => counted(cells, self.columns.len()),
                    None => quote(written),
                };
                let text = format!("{why} is no row; kept as a remark");
                self.report.warn("lines between the rows", Some(line), None, text);
            }
            self.report.remark(written);
        }
    }
}

/// How many cells there are for how many columns, in words.
fn counted(cells: usize, columns: usize) -> String {
    let s = if cells == 1 { "" } else { "s" };
    format!("{cells} cell{s} for {columns} columns")
}

impl<'a> Trial<'a> {
    fn clear(&mut self) {
        (self.numbers, self.marks, self.extra, self.lines) = (0, 0, 0, 0);
        self.odd.clear();
        self.words.clear();
    }

    #[inline(always)]
    fn take(&mut self, column: usize, value: f64) {
        if let Some(place) = self.values.get_mut(column) {
            *place = value;
            self.numbers += usize::from(!value.is_nan());
        }
    }

    fn close(&mut self, cells: usize, end: usize) {
        (self.cells, self.end) = (cells, end);
    }

    fn is_blank(&self) -> bool {
        self.numbers + self.marks + self.odd.len() + self.extra == 0
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

/// The columns as they are handed out: those without heading and cells are left out.
fn finish(
    columns: Vec<Build>,
    parts: Vec<usize>,
    rows: usize,
    report: &mut Report,
) -> (Group, Option<String>) {
    let began = columns.iter().find_map(Build::began).or_else(|| Build::began_on(&columns));
    let mut group = Group { parts, ..Group::default() };
    group.parts.retain(|row| *row < rows);
    for column in columns.into_iter().filter(|column| !column.is_superfluous()) {
        if column.kind == Kind::Words {
            group.words.push(column.into_words());
        } else {
            let mut column = column.into_column(report);
            clear_marks(&mut column, report);
            group.columns.push(column);
        }
    }
    (group, began)
}
