//! One line on trial, before it is known whether it is a row.

use std::borrow::Cow;

/// One line on trial: it becomes a row or not once all of it is seen.
#[derive(Debug, Default)]
pub struct Trial<'a> {
    pub values: Vec<f64>,
    pub cells: usize,
    pub numbers: usize,
    pub marks: usize,
    /// Cells that are not empty behind the last column.
    pub extra: usize,
    pub odd: Vec<(usize, Cow<'a, str>)>,
    pub words: Vec<(usize, Cow<'a, str>)>,
    /// Line ends within quotes.
    pub lines: usize,
    pub end: usize,
}

impl<'a> Trial<'a> {
    pub fn clear(&mut self) {
        (self.numbers, self.marks, self.extra, self.lines) = (0, 0, 0, 0);
        self.odd.clear();
        self.words.clear();
    }

    #[inline(always)]
    pub fn take(&mut self, column: usize, value: f64) {
        if let Some(place) = self.values.get_mut(column) {
            *place = value;
            self.numbers += usize::from(!value.is_nan());
        }
    }

    pub fn close(&mut self, cells: usize, end: usize) {
        (self.cells, self.end) = (cells, end);
    }

    pub fn is_blank(&self) -> bool {
        self.numbers + self.marks + self.odd.len() + self.extra == 0
    }
}

/// How many cells there are for how many columns, in words.
pub fn counted(cells: usize, columns: usize) -> String {
    let s = if cells == 1 { "" } else { "s" };
    format!("{cells} cell{s} for {columns} columns")
}
