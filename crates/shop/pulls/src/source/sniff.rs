//! Which delimiter and which decimal sign a file has, told from many of its lines.

use super::cells::{Delimiter, Record, line_end, next_line, record};
use super::{clock, number};
use std::collections::BTreeMap;

/// The delimiters that are tried, likelier ones first.
const DELIMITERS: [Delimiter; 5] = [
    Delimiter::Sign(b'\t'),
    Delimiter::Sign(b';'),
    Delimiter::Sign(b'|'),
    Delimiter::Sign(b','),
    Delimiter::Run,
];
/// Places of the file at which lines are looked at.
const PLACES: usize = 8;
/// Lines looked at in each place.
const LINES: usize = 6;
/// Lines up to which a file is looked at as a whole.
const SHORT: usize = 60;

/// How the rows of a file are written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Manner {
    /// What stands between cells.
    pub delimiter: Delimiter,
    /// Decimal sign.
    pub decimal: u8,
    /// Cells of most rows.
    pub width: usize,
    /// Set where commas or points could be decimal signs or thousands separators.
    pub doubtful: bool,
}

/// Returns places at which lines begin, spread over the text, in order.
pub fn sample(text: &str) -> Vec<usize> {
    let mut starts = Vec::with_capacity(SHORT);
    let mut at = 0;
    while at < text.len() && starts.len() <= SHORT {
        starts.push(at);
        at = next_line(text, line_end(text, at));
    }
    if at >= text.len() {
        return starts;
    }
    starts.clear();
    for place in 0..PLACES {
        // The first line at a place may be a torn one.
        let wanted = text.len() / PLACES * place;
        let mut at = match place {
            0 => 0,
            _ => next_line(text, line_end(text, floor(text, wanted))),
        };
        for _ in 0..LINES {
            if at < text.len() && starts.last().is_none_or(|last| *last < at) {
                starts.push(at);
            }
            at = next_line(text, line_end(text, at));
        }
    }
    starts
}

fn floor(text: &str, at: usize) -> usize {
    (0..=at).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

/// Returns how the rows are written, or `None` where no line holds two numbers beside each other.
pub fn manner(text: &str) -> Option<Manner> {
    let starts = sample(text);
    let mut best: Option<(f64, Manner, Vec<Record<'_>>)> = None;
    for delimiter in DELIMITERS {
        let records: Vec<_> = starts
            .iter()
            .map(|start| record(text, *start, delimiter))
            .filter(|record| record.cells.len() > 1)
            .collect();
        let Some((score, width)) = score(&records) else { continue };
        // Runs of blanks also part what tabs part, only that they lose the empty cells.
        let handicap = if delimiter == Delimiter::Run { 1.5 } else { 1.0 };
        if best.as_ref().is_none_or(|(least, ..)| score > handicap * *least) {
            let manner = Manner { delimiter, decimal: b'.', width, doubtful: false };
            best = Some((score, manner, records));
        }
    }
    let (_, mut manner, records) = best?;
    (manner.decimal, manner.doubtful) = decimal(text, manner.delimiter, &records);
    Some(manner)
}

/// How well a delimiter explains the lines, and the number of cells of most rows: the share of
/// cells that are numbers, squared, times the lines with the usual number of cells.
fn score(records: &[Record<'_>]) -> Option<(f64, usize)> {
    let mut widths: BTreeMap<usize, (usize, f64)> = BTreeMap::new();
    for record in records {
        let filled = record.filled();
        let numbers = record.cells.iter().filter(|cell| looks_like_number(cell)).count();
        if numbers > 0 && 2 * numbers >= filled {
            let entry = widths.entry(record.cells.len()).or_default();
            let share = numbers as f64 / filled as f64;
            *entry = (entry.0 + 1, entry.1 + share * share);
        }
    }
    let (width, (_, score)) = widths.into_iter().max_by_key(|(_, (lines, _))| *lines)?;
    Some((score, width))
}

/// True for a number in any convention, with or without a unit behind it, and for a time or a date.
pub fn looks_like_number(cell: &str) -> bool {
    if cell.is_empty() {
        return false;
    }
    for decimal in [b'.', b','] {
        match number::scan(cell.as_bytes(), 0, decimal) {
            Some((_, end)) if end == cell.len() => return true,
            _ => {}
        }
    }
    [b'.', b','].into_iter().any(|decimal| match number::read(cell, decimal) {
        number::Cell::Number(_, rest) => rest.is_empty() || looks_like_unit(rest),
        _ => false,
    }) || clock::stamp(cell).is_some()
        || clock::date(cell).is_some()
}

/// True for something that may stand behind a number: short, beginning with a letter, and without
/// what parts cells.
pub fn looks_like_unit(rest: &str) -> bool {
    rest.len() <= 12
        && rest.starts_with(|c: char| c.is_alphabetic() || matches!(c, '%' | '°' | 'º'))
        && !rest.contains([',', ';', '|', '\t', ':', '"'])
}

/// Cells that speak for one or the other decimal sign.
#[derive(Debug, Clone, Copy, Default)]
struct Evidence {
    comma: usize,
    point: usize,
    /// A comma with three figures behind it and one to three before it.
    open_comma: usize,
    /// The same with a point.
    open_point: usize,
    /// Whole numbers of one to three figures, which is what figures in thousands look like below
    /// one thousand.
    small_whole: usize,
    /// Whole numbers of more figures: then thousands are not parted.
    large_whole: usize,
}

/// Returns the decimal sign, and whether the cells leave it open.
fn decimal(text: &str, delimiter: Delimiter, records: &[Record<'_>]) -> (u8, bool) {
    let mut seen = Evidence::default();
    for record in records {
        record.cells.iter().for_each(|cell| seen.take(cell));
    }
    let undecided = seen.comma == 0 && seen.point == 0;
    if undecided && seen.open_comma + seen.open_point > 0 {
        let mut at = 0;
        while at < text.len() && seen.comma == 0 && seen.point == 0 {
            let line = record(text, at, delimiter);
            line.cells.iter().for_each(|cell| seen.take(cell));
            at = next_line(text, line.end);
        }
    }
    seen.verdict()
}

impl Evidence {
    fn verdict(&self) -> (u8, bool) {
        if self.comma != self.point {
            return (if self.comma > self.point { b',' } else { b'.' }, false);
        }
        let thousands = self.small_whole > 0 && self.large_whole == 0;
        match (self.open_comma, self.open_point) {
            (0, 0) => (b'.', false),
            (0, _) => (b'.', thousands),
            (_, 0) if thousands => (b'.', true),
            (_, 0) => (b',', true),
            // Both signs and never in one cell: nothing tells them apart.
            _ => (b'.', true),
        }
    }

    /// Takes a cell into account. More or fewer than three figures behind a sign, more than three
    /// before it or a leading zero make it a decimal sign; a sign that comes twice parts thousands;
    /// of two kinds the last is the decimal sign.
    fn take(&mut self, cell: &str) {
        let body = cell.trim_start_matches(['+', '-', '\u{2212}']);
        let figures = body
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.')))
            .map_or(body, |end| &body[..end]);
        let behind = &body[figures.len()..];
        if figures.is_empty() || behind.starts_with([':', '-', '/']) {
            return;
        }
        let (commas, points) = (figures.matches(',').count(), figures.matches('.').count());
        let split = |sign: char| figures.split_once(sign).unwrap_or((figures, ""));
        match (commas, points) {
            (0, 0) if figures.len() <= 3 => self.small_whole += 1,
            (0, 0) => self.large_whole += 1,
            (1, 0) if open(split(',')) => self.open_comma += 1,
            (0, 1) if open(split('.')) => self.open_point += 1,
            (1, 0) => self.comma += 1,
            (0, 1) => self.point += 1,
            (2.., 0) => self.point += 1,
            (0, 2..) => self.comma += usize::from(clock::date(figures).is_none()),
            _ if figures.rfind(',') > figures.rfind('.') => self.comma += 1,
            _ => self.point += 1,
        }
    }
}

/// True where figures before and behind a sign are what thousands look like.
fn open((before, behind): (&str, &str)) -> bool {
    (1..=3).contains(&before.len()) && behind.len() == 3 && !before.starts_with('0')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, delimiter: char, decimal: char, doubtful: bool) {
        let manner = manner(text).expect("a table");
        let found = (manner.delimiter.sign(), char::from(manner.decimal), manner.doubtful);
        assert_eq!(found, (delimiter, decimal, doubtful), "{text}");
    }

    #[test]
    fn delimiters_and_decimal_signs_are_told_apart() {
        check("t,n\n0.1,1500\n0.2,1510.5\n", ',', '.', false);
        check("t;n\n0,1;1500\n0,2;1510,5\n", ';', ',', false);
        check("t\tn\n0,1\t1.500,5\n0,2\t1.510,5\n", '\t', ',', false);
        check("t|n\n0.1|1,500.5\n0.2|1,510.5\n", '|', '.', false);
        check("t  n\n0.1  1500\n0.2  1510\n", ' ', '.', false);
        check("t n\n0,1 1500\n0,2 1510\n", ' ', ',', false);
        check("t,n\n\"0,1\",\"1500\"\n\"0,2\",\"1510\"\n", ',', ',', false);
        check("time;n\n10:22:05;1500 rpm\n10:22:06;1510 rpm\n", ';', '.', false);
    }

    #[test]
    fn thousands_or_decimals_are_doubtful_where_nothing_tells() {
        check("a;b\n1,234;2,345\n1,235;2,346\n", ';', ',', true);
        check("a;b\n1,234;998\n1,235;999\n", ';', '.', true);
        check("a;b\n0,234;998\n0,235;999\n", ';', ',', false);
        check("a;b\n1,234,567;998\n1,235,568;999\n", ';', '.', false);
    }

    #[test]
    fn prose_is_no_table() {
        assert_eq!(manner("The engine ran well, they said;\nit did | not.\n"), None);
    }
}
