//! Lines among the rows that are none: headings again, another table's headings, sums, remarks.

use super::cells::{next_line, record};
use super::column::Kind;
use super::layout::is_row;
use super::pass::Pass;
use super::report::quote;
use super::sniff::looks_like_number;
use super::trial::counted;
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

impl<'a> Pass<'a> {
    /// True where the line on trial is a row: it has half of the cells, at most half of them odd, and
    /// does not begin with a word where the rows begin with a number.
    pub fn is_row(&self) -> bool {
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

    /// True for one of the lines of headings or units again.
    pub fn is_headings(&self, written: &str) -> bool {
        let written = written.trim().trim_start_matches('\u{FEFF}');
        self.layout.heading_lines.contains(&written)
    }

    /// True where the line at `at` holds headings of another table: words only, with rows of as many
    /// cells below.
    pub fn is_other_headings(&self, at: usize) -> bool {
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
    pub fn set_aside(&mut self, line: usize, written: &'a str) {
        let short = self.trial.numbers > 0 && self.trial.odd.is_empty();
        self.pending.push((line, written, short.then_some(self.trial.cells)));
    }

    /// Hands lines that are no rows to the remarks, with a warning where rows follow.
    pub fn keep_pending(&mut self, rows_follow: bool) {
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
