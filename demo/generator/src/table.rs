//! Rows of figures as text.

/// One column of a log of rows `R`: how it is headed and what stands in it.
pub(crate) struct Column<R> {
    pub heading: String,
    pub unit: &'static str,
    digits: usize,
    /// The figure in that unit.
    of: Box<dyn Fn(&R) -> f64>,
}

/// A column.
pub(crate) fn column<R>(
    heading: impl Into<String>,
    unit: &'static str,
    digits: usize,
    of: impl Fn(&R) -> f64 + 'static,
) -> Column<R> {
    Column { heading: heading.into(), unit, digits, of: Box::new(of) }
}

/// How rows are written.
pub(crate) struct Manner {
    pub delimiter: &'static str,
    pub decimal: &'static str,
    pub line_end: &'static str,
}

/// English figures in cells parted by commas.
pub(crate) const PLAIN: Manner = Manner { delimiter: ",", decimal: ".", line_end: "\n" };

impl Manner {
    /// Cells as one line.
    pub fn line(&self, cells: &[String]) -> String {
        cells.join(self.delimiter) + self.line_end
    }

    /// A figure as this manner writes it; never a minus before nothing.
    pub fn figure(&self, value: f64, digits: usize) -> String {
        let text = format!("{value:.digits$}");
        let bare = if text.trim_matches(['-', '0', '.']).is_empty() {
            text.trim_start_matches('-').to_owned()
        } else {
            text
        };
        bare.replace('.', self.decimal)
    }

    /// All rows of these columns.
    pub fn rows<R>(&self, columns: &[Column<R>], rows: &[R]) -> String {
        let cells = |row: &R| -> Vec<String> {
            columns.iter().map(|c| self.figure((c.of)(row), c.digits)).collect()
        };
        rows.iter().map(|row| self.line(&cells(row))).collect()
    }
}

/// Headings with their units in square brackets.
pub(crate) fn bracketed<R>(columns: &[Column<R>]) -> Vec<String> {
    let heading = |c: &Column<R>| match c.unit {
        "" => c.heading.clone(),
        unit => format!("{} [{unit}]", c.heading),
    };
    columns.iter().map(heading).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_rounded_and_nothing_has_no_sign() {
        assert_eq!(PLAIN.figure(-0.004, 2), "0.00");
        assert_eq!(PLAIN.figure(-1.204, 2), "-1.20");
        assert_eq!(Manner { decimal: ",", ..PLAIN }.figure(12.345, 1), "12,3");
    }
}
