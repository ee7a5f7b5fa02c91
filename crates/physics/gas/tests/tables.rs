//! Reads the reference tables of `tests/data`; each names its generator and units in its header.

/// One row of a table: column names and cells.
pub struct Row {
    columns: Vec<String>,
    cells: Vec<String>,
}

impl Row {
    /// The cell of `column` as text.
    pub fn text(&self, column: &str) -> &str {
        let i = self.columns.iter().position(|c| c == column);
        &self.cells[i.unwrap_or_else(|| panic!("no column {column}"))]
    }

    /// The cell of `column` as a number.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column}: {text} is not a number"))
    }
}

/// Returns the rows of a table; `#` lines are skipped, quoted cells may hold commas.
pub fn rows(text: &str) -> Vec<Row> {
    let mut lines = text.lines().filter(|l| !l.starts_with('#')).map(cells);
    let columns = lines.next().expect("a heading");
    lines.map(|cells| Row { columns: columns.clone(), cells }).collect()
}

fn cells(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for ch in line.chars() {
        match ch {
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(String::new()),
            _ => out.last_mut().expect("one cell at least").push(ch),
        }
    }
    out
}

/// Fails unless `got` is within `relative` of `want`.
#[track_caller]
pub fn close(what: &str, got: f64, want: f64, relative: f64) {
    let gap = (got / want - 1.0).abs();
    assert!(gap <= relative, "{what}: got {got}, want {want}, off by {gap:.3e} > {relative:.1e}");
}
