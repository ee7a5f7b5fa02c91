//! Tables of plain text with numbers set right.

use crate::number::plain_number;
use shortblock_units::rounded_plus_minus;

/// A table: headings and rows, every column set right except the first when asked.
#[derive(Debug, Clone, Default)]
pub struct Table {
    headings: Vec<String>,
    rows: Vec<Vec<String>>,
    /// Columns set left, counted from the first.
    left: usize,
}

impl Table {
    /// A table with these headings.
    #[must_use]
    pub fn new(headings: &[&str]) -> Self {
        Self {
            headings: headings.iter().map(|&h| h.to_owned()).collect(),
            rows: Vec::new(),
            left: 0,
        }
    }

    /// The same table with its first column set left (for words).
    #[must_use]
    pub fn first_left(mut self) -> Self {
        self.left = 1;
        self
    }

    /// The same table with every column set left (for words).
    #[must_use]
    pub fn all_left(mut self) -> Self {
        self.left = usize::MAX;
        self
    }

    /// Adds a row; cells beyond the headings are dropped, missing ones stay empty.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// The table as lines, each ending in a line break, none with blanks at its
    /// end; `indent` blanks in front and two between columns.
    #[must_use]
    pub fn text(&self, indent: usize) -> String {
        let cell = |row: &Vec<String>, i: usize| row.get(i).cloned().unwrap_or_default();
        let widths: Vec<usize> = (0..self.headings.len())
            .map(|i| {
                let cells = self.rows.iter().map(|row| columns(&cell(row, i)));
                cells.fold(columns(&self.headings[i]), usize::max)
            })
            .collect();
        let mut out = String::new();
        for row in std::iter::once(&self.headings).chain(&self.rows) {
            let mut line = " ".repeat(indent);
            for (i, &width) in widths.iter().enumerate() {
                let text = cell(row, i);
                let gap = if i == 0 { "" } else { "  " };
                line += gap;
                let blanks = " ".repeat(width.saturating_sub(columns(&text)));
                line += &if i < self.left { text + &blanks } else { blanks + &text };
            }
            out += line.trim_end();
            out.push('\n');
        }
        out
    }
}

/// Columns that a text takes on a terminal: ideographs and their like take two.
#[must_use]
pub fn columns(text: &str) -> usize {
    text.chars().map(|c| 1 + usize::from(is_wide(c))).sum()
}

/// The larger blocks of Unicode that its annex 11 calls wide (from memory): Hangul, kana, ideographs,
/// full-width forms.
fn is_wide(c: char) -> bool {
    matches!(
        c,
        '\u{1100}'..='\u{115F}'
            | '\u{2E80}'..='\u{A4CF}'
            | '\u{AC00}'..='\u{D7A3}'
            | '\u{F900}'..='\u{FAFF}'
            | '\u{FE30}'..='\u{FE6F}'
            | '\u{FF00}'..='\u{FF60}'
            | '\u{FFE0}'..='\u{FFE6}'
            | '\u{20000}'..='\u{3FFFD}'
    )
}

/// Cells `value ±` of one column: as many decimals as the smallest ± asks for
/// and the ± in line below each other, so that the column can be read down.
///
/// Where a ± is missing the value stands alone, to three figures at most
/// (decimals fit the largest value); `plus_minus` shorter than `values` counts
/// as missing.
#[must_use]
pub fn plus_minus_column(values: &[f64], plus_minus: &[Option<f64>]) -> Vec<String> {
    let known = |i: usize| plus_minus.get(i).copied().flatten().filter(|pm| pm.is_finite());
    let smallest = (0..values.len()).filter_map(known).filter(|pm| *pm > 0.0).reduce(f64::min);
    let largest = values.iter().filter(|v| v.is_finite()).fold(0.0, |m: f64, v| m.max(v.abs()));
    let decimals = match smallest {
        Some(pm) => usize::try_from(rounded_plus_minus(pm).1).unwrap_or(0),
        None => usize::try_from(2 - largest.max(1e-3).log10().floor() as i64).unwrap_or(0),
    };
    let widths = (0..values.len()).filter_map(known).map(|pm| plain_number(pm, decimals).len());
    let width = widths.max();
    let cells = values.iter().enumerate().map(|(i, &value)| {
        let number = plain_number(value, decimals);
        match (known(i), width) {
            (Some(pm), Some(width)) => {
                format!(
                    "{number} {:<w$}",
                    format!("±{}", plain_number(pm, decimals)),
                    w = width + 1
                )
            }
            (None, Some(width)) => number + &" ".repeat(width + 2),
            (_, None) => number,
        }
    });
    cells.collect()
}

#[cfg(test)]
mod tests {
    use super::{Table, plus_minus_column};

    #[test]
    fn ideographs_take_two_columns() {
        let mut table = Table::new(&["column", "is"]).all_left();
        table.row(vec!["回転数".to_owned(), "engine speed".to_owned()]);
        table.row(vec!["n".to_owned(), "engine speed".to_owned()]);
        assert_eq!(table.text(0), "column  is\n回転数  engine speed\nn       engine speed\n");
    }

    #[test]
    fn columns_line_up_at_the_point_and_at_the_plus_minus() {
        let cells = plus_minus_column(&[143.06, 337.6, 1002.0], &[Some(2.9), Some(12.5), None]);
        assert_eq!(cells, ["143.1 ±2.9 ", "337.6 ±12.5", "1,002.0      "]);
        assert_eq!(plus_minus_column(&[337.62, 4.0], &[]), ["338", "4"]);
        assert!(plus_minus_column(&[], &[]).is_empty());
    }

    #[test]
    fn table_is_set_right_with_no_blanks_at_line_ends() {
        let mut table = Table::new(&["rpm", "power, hp", "b8 − b7"]);
        table.row(vec!["4,000".into(), "143.1 ±3.9".into(), "−1.8".into()]);
        table.row(vec!["10,000".into(), "9 ±1".into()]);
        let wanted =
            "     rpm   power, hp  b8 − b7\n   4,000  143.1 ±3.9     −1.8\n  10,000        9 ±1\n";
        assert_eq!(table.text(2), wanted);
        assert!(table.first_left().text(0).starts_with("rpm   "));
    }
}
