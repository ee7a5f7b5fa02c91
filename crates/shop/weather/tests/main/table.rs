//! Tables of `tests/data`: lines of `#` say where they are from, then a heading, then rows.

use std::collections::HashMap;

pub struct Row(HashMap<String, String>);

impl Row {
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    pub fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|_| panic!("{column}: {}", self.text(column)))
    }
}

pub fn rows(csv: &str) -> Vec<Row> {
    let mut lines = csv.lines().filter(|line| !line.starts_with('#'));
    let head: Vec<&str> = lines.next().expect("a heading").split(',').collect();
    let row = |line: &str| {
        Row(head.iter().zip(line.split(',')).map(|(h, c)| (h.to_string(), c.to_string())).collect())
    };
    let rows: Vec<Row> = lines.map(row).collect();
    assert!(!rows.is_empty());
    rows
}

/// Half a unit of the last printed digit.
pub fn half_unit(printed: &str) -> f64 {
    let (mantissa, exponent) = printed.split_once(['e', 'E']).unwrap_or((printed, "0"));
    let decimals = mantissa.split_once('.').map_or(0, |(_, d)| d.len()) as i32;
    0.5 * 10f64.powi(exponent.parse::<i32>().expect("a power") - decimals)
}

/// Fails unless `found` is `printed` within half a unit of its last printed digit.
pub fn as_printed(found: f64, printed: &str, what: &str) {
    let wanted: f64 = printed.parse().expect("a number");
    // Eight roundings of a 64-bit number on top.
    let allowed = half_unit(printed) + 8.0 * f64::EPSILON * wanted.abs();
    assert!((found - wanted).abs() <= allowed, "{what}: {found} for {printed}");
}
