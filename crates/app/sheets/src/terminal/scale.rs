//! Scales whose round numbers fall on cell centres.

use super::{COLUMNS, ROWS};
use crate::number::plain_number;
use crate::ticks::places;

/// Rows between numbers at the left.
const ROWS_A_TICK: std::ops::RangeInclusive<u32> = 2..=5;
/// Least span of values shown; finer differences are not drawn out.
const LEAST_SPAN: f64 = 0.1;
/// Longest number at the left, characters; longer ones are written with an exponent.
const LONGEST: usize = 9;
/// Columns between numbers at the foot.
const COLUMNS_A_TICK: std::ops::RangeInclusive<u32> = 8..=20;

/// Finest cell size of the form (1, 2 or 5 × 10ⁿ) / `cells` for which `fits`.
/// Gives the size of a cell and the cells between ticks.
fn finest(
    least: f64,
    cells: std::ops::RangeInclusive<u32>,
    fits: impl Fn(f64) -> bool,
) -> (f64, i64) {
    let decade = least.log10().floor() as i32;
    let mut best: Option<(f64, i64)> = None;
    for power in decade..=decade + 3 {
        for factor in [1.0, 2.0, 5.0] {
            for count in cells.clone() {
                let size = factor * 10_f64.powi(power) / f64::from(count);
                let better = best.is_none_or(|(found, _)| size < found * (1.0 - 1e-9));
                if better && size >= least * (1.0 - 1e-9) && fits(size) {
                    best = Some((size, i64::from(count)));
                }
            }
        }
    }
    best.unwrap_or((least * 2.0, i64::from(*cells.start())))
}

/// Rows: values from top to bottom.
pub(crate) struct Up {
    size: f64,
    cells_a_tick: i64,
    /// The top row's centre stands at this many sizes.
    top: i64,
}

impl Up {
    pub fn fitting(low: f64, high: f64) -> Self {
        let span = (high - low).max(1e-3 * high.abs()).max(LEAST_SPAN);
        let top = |size: f64| (high / size - 0.5).ceil();
        let fits = |size: f64| low >= (top(size) - ROWS as f64 + 0.5) * size;
        let (size, cells_a_tick) = finest(span / ROWS as f64, ROWS_A_TICK, fits);
        Self { size, cells_a_tick, top: top(size) as i64 }
    }

    /// Height below the top edge, in cells.
    pub fn down(&self, value: f64) -> f64 {
        self.top as f64 + 0.5 - value / self.size
    }

    /// Row of a value, kept on the chart.
    pub fn row(&self, value: f64) -> usize {
        self.down(value).clamp(0.0, ROWS as f64 - 1.0) as usize
    }

    /// The number at each row, empty between ticks.
    pub fn labels(&self) -> [String; ROWS] {
        let step = self.size * self.cells_a_tick as f64;
        std::array::from_fn(|row| {
            let index = self.top - row as i64;
            if index % self.cells_a_tick == 0 {
                short_number(index as f64 * self.size, places(step))
            } else {
                String::new()
            }
        })
    }
}

fn short_number(value: f64, places: usize) -> String {
    let text = plain_number(value, places);
    if text.chars().count() <= LONGEST { text } else { format!("{value:.1e}") }
}

/// Columns: engine speeds from left to right, rpm.
pub(crate) struct Across {
    size: f64,
    cells_a_tick: i64,
    /// The left column's centre stands at this many sizes.
    left: i64,
}

impl Across {
    pub fn fitting(low: f64, high: f64) -> Self {
        let span = (high - low).max(1e-3 * high.abs()).max(1.0);
        let left = |size: f64| (low / size + 0.5).floor();
        let fits = |size: f64| high <= (left(size) + COLUMNS as f64 - 0.5) * size;
        let (size, cells_a_tick) = finest(span / COLUMNS as f64, COLUMNS_A_TICK, fits);
        Self { size, cells_a_tick, left: left(size) as i64 }
    }

    /// Speed at `right` cells from the left edge, rpm.
    pub fn rpm(&self, right: f64) -> f64 {
        (self.left as f64 - 0.5 + right) * self.size
    }

    /// Cells from the left edge to `rpm`.
    pub fn right(&self, rpm: f64) -> f64 {
        rpm / self.size - self.left as f64 + 0.5
    }

    /// Column and speed of every tick.
    pub fn ticks(&self) -> Vec<(usize, f64)> {
        (0..COLUMNS)
            .filter(|&column| (self.left + column as i64) % self.cells_a_tick == 0)
            .map(|column| (column, (self.left + column as i64) as f64 * self.size))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{Across, COLUMNS, ROWS, Up};

    #[test]
    fn every_tick_stands_at_the_centre_of_its_row() {
        for (low, high) in [(140.0, 337.0), (0.3, 0.9), (-12.0, 9.0), (280.0, 281.0), (5.0, 5.0)] {
            let up = Up::fitting(low, high);
            let labels = up.labels();
            assert!(labels.iter().filter(|l| !l.is_empty()).count() >= 2, "{low} {high}");
            for (row, label) in labels.iter().enumerate().filter(|(_, l)| !l.is_empty()) {
                let value: f64 = label.replace('−', "-").replace(',', "").parse().unwrap();
                assert!((up.down(value) - row as f64 - 0.5).abs() < 1e-9, "{label} in row {row}");
            }
            assert!(up.down(high) >= 0.0 && up.down(low) <= ROWS as f64 + 1e-9);
        }
    }

    #[test]
    fn every_speed_is_on_the_chart_and_ticks_are_round() {
        for (low, high) in [(3500.0, 8500.0), (800.0, 800.0), (1000.0, 18_000.0), (4312.0, 4477.0)]
        {
            let across = Across::fitting(low, high);
            assert!(across.rpm(0.0) <= low && across.rpm(COLUMNS as f64) >= high);
            let ticks = across.ticks();
            assert!(ticks.len() >= 3, "{low} {high}");
            for (column, rpm) in ticks {
                assert!((across.rpm(column as f64 + 0.5) - rpm).abs() < 1e-6);
            }
        }
    }
}
