//! Points of a pull: rows gathered in bins of speed or in dwells, with mean, scatter and count.
//!
//! Bins are 50 rpm wide and lie on multiples of 50 rpm: that of 4000 rpm holds 3975 rpm up to, but
//! not with, 4025 rpm. A bin without a row has no value; nothing is drawn across it.

use crate::RPM;
use crate::channel::Channel;
use std::ops::Range;

/// Width of a bin, rad/s.
pub const BIN: f64 = 50.0 * RPM;

/// One channel at the points of a pull.
#[derive(Debug, Clone, PartialEq)]
pub struct Points {
    /// What it is.
    pub channel: Channel,
    /// Heading in the file.
    pub heading: String,
    /// Mean of the rows of each point, in the unit of the recording; not a number where there is
    /// none.
    pub mean: Vec<f64>,
    /// Standard deviation of those rows; not a number below two rows. In a sweep the change of the
    /// channel within the bin is part of it.
    pub scatter: Vec<f64>,
    /// How many rows had a reading.
    pub count: Vec<u32>,
}

/// Which point each row belongs to.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Places {
    /// Rows of one point that follow each other, and the point.
    runs: Vec<(Range<usize>, usize)>,
    /// Number of points.
    points: usize,
}

impl Places {
    /// Bins of 50 rpm from the lowest to the highest speed (rad/s), and the speeds they stand for.
    /// Rows without a speed belong to none.
    pub fn bins(speed: &[f64]) -> (Self, Vec<f64>) {
        let bin = |speed: f64| (speed / BIN + 0.5).floor();
        let finite = || speed.iter().copied().filter(|speed| speed.is_finite()).map(bin);
        let first = finite().fold(f64::INFINITY, f64::min);
        let last = finite().fold(f64::NEG_INFINITY, f64::max);
        if first > last {
            return (Self { runs: Vec::new(), points: 0 }, Vec::new());
        }
        let points = (last - first) as usize + 1;
        let place = |row: usize| {
            let speed = speed[row];
            speed.is_finite().then(|| (bin(speed) - first) as usize)
        };
        let speeds = (0..points).map(|point| (first + point as f64) * BIN).collect();
        (Self::new(points, (0..speed.len()).map(|row| (row, place(row)))), speeds)
    }

    /// Points that are given as ranges of rows, without the rows that have no speed.
    pub fn ranges(ranges: &[Range<usize>], speed: &[f64]) -> Self {
        let row = |(point, range): (usize, &Range<usize>)| {
            range.clone().map(move |row| (row, point)).collect::<Vec<_>>()
        };
        let all = ranges.iter().enumerate().flat_map(row);
        let usable = |row: usize| speed.get(row).is_some_and(|speed| speed.is_finite());
        Self::new(ranges.len(), all.map(|(row, point)| (row, usable(row).then_some(point))))
    }

    fn new(points: usize, rows: impl Iterator<Item = (usize, Option<usize>)>) -> Self {
        let mut runs: Vec<(Range<usize>, usize)> = Vec::new();
        for (row, point) in rows {
            let Some(point) = point else { continue };
            match runs.last_mut() {
                Some((run, of)) if *of == point && run.end == row => run.end = row + 1,
                _ => runs.push((row..row + 1, point)),
            }
        }
        Self { runs, points }
    }

    /// Mean, scatter and count of values, one a row.
    pub fn gather(&self, channel: Channel, heading: &str, values: &[f64]) -> Points {
        let mut mean = vec![0.0; self.points];
        let mut scatter = vec![0.0; self.points];
        let mut count = vec![0u32; self.points];
        let rows = |run: &Range<usize>| values.get(run.clone()).unwrap_or_default().iter();
        for (run, point) in &self.runs {
            let (mut sum, mut good) = (0.0, 0);
            for &value in rows(run).filter(|value| value.is_finite()) {
                sum += value;
                good += 1;
            }
            mean[*point] += sum;
            count[*point] += good;
        }
        for (mean, count) in mean.iter_mut().zip(&count) {
            *mean /= f64::from(*count);
        }
        // A second pass: sums of squares of large readings would lose the scatter.
        for (run, point) in &self.runs {
            let middle = mean[*point];
            let good = rows(run).filter(|value| value.is_finite());
            scatter[*point] += good.map(|value| (value - middle) * (value - middle)).sum::<f64>();
        }
        for (scatter, count) in scatter.iter_mut().zip(&count) {
            *scatter = if *count < 2 { f64::NAN } else { (*scatter / f64::from(count - 1)).sqrt() };
        }
        Points { channel, heading: heading.to_owned(), mean, scatter, count }
    }
}

/// Values at grid speeds by a straight line fitted to the rows around each, weighted by
/// `1 - (distance / bandwidth)²`; not a number where a grid speed lies outside the rows or fewer
/// than three rows, or rows of one speed only, are near.
///
/// Equation: Fan & Gijbels 1996, *Local Polynomial Modelling and Its Applications*, degree 1 with
/// the Epanechnikov weight (from memory). Unlike a mean over a bin it has no bias from a bin that is
/// filled on one side, nor from the slope of the curve.
pub fn local_line(speed: &[f64], values: &[f64], grid: &[f64], bandwidth: f64) -> Vec<f64> {
    let mut sums = vec![Sums::default(); grid.len()];
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (&n, &value) in speed.iter().zip(values) {
        if !(n.is_finite() && value.is_finite()) {
            continue;
        }
        (low, high) = (low.min(n), high.max(n));
        let from = grid.partition_point(|&at| at <= n - bandwidth);
        for (at, sums) in grid[from..].iter().zip(&mut sums[from..]) {
            let off = (n - at) / bandwidth;
            if off <= -1.0 {
                break;
            }
            sums.add(off, value);
        }
    }
    let inside = |at: f64| at >= low && at <= high;
    grid.iter().zip(&sums).map(|(&at, s)| if inside(at) { s.middle() } else { f64::NAN }).collect()
}

#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    rows: u32,
    w: f64,
    x: f64,
    xx: f64,
    y: f64,
    xy: f64,
}

impl Sums {
    fn add(&mut self, off: f64, value: f64) {
        let w = 1.0 - off * off;
        self.rows += 1;
        self.w += w;
        self.x += w * off;
        self.xx += w * off * off;
        self.y += w * value;
        self.xy += w * off * value;
    }

    fn middle(&self) -> f64 {
        let spread = self.w * self.xx - self.x * self.x;
        if self.rows < 3 || spread <= 1e-9 * self.w * self.w {
            return f64::NAN;
        }
        (self.xx * self.y - self.x * self.xy) / spread
    }
}

/// Bandwidth for [`local_line`]: 100 rpm, or four times the usual step of speed from row to row,
/// rad/s.
pub fn bandwidth(speed: &[f64]) -> f64 {
    let mut steps: Vec<f64> = speed.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    steps.retain(|step| step.is_finite());
    let middle = steps.len() / 2;
    if steps.is_empty() {
        return 2.0 * BIN;
    }
    let (_, usual, _) = steps.select_nth_unstable_by(middle, f64::total_cmp);
    (4.0 * *usual).max(2.0 * BIN)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gathered(rpm: &[f64], values: &[f64]) -> (Vec<f64>, Points) {
        let speed: Vec<f64> = rpm.iter().map(|n| n * RPM).collect();
        let (places, speeds) = Places::bins(&speed);
        let speeds = speeds.iter().map(|w| (w / RPM).round()).collect();
        (speeds, places.gather(Channel::Torque, "T", values))
    }

    #[test]
    fn the_bin_of_4000_rpm_holds_3975_up_to_4025() {
        let rpm = [3974.9, 3975.1, 4000.0, 4024.9, 4025.1];
        let (speeds, points) = gathered(&rpm, &[1.0, 2.0, 4.0, 6.0, 7.0]);
        assert_eq!(speeds, [3950.0, 4000.0, 4050.0]);
        assert_eq!(points.mean, [1.0, 4.0, 7.0]);
        assert_eq!(points.count, [1, 3, 1]);
        assert_eq!(points.scatter[1], 2.0);
        assert!(points.scatter[0].is_nan());
    }

    #[test]
    fn an_empty_bin_and_a_missing_reading_stay_missing() {
        let (speeds, points) =
            gathered(&[4000.0, f64::NAN, 4100.0, 4100.0], &[1.0, 9.0, 3.0, f64::NAN]);
        assert_eq!(speeds, [4000.0, 4050.0, 4100.0]);
        assert!(points.mean[1].is_nan());
        assert_eq!((points.mean[0], points.mean[2]), (1.0, 3.0));
        assert_eq!(points.count, [1, 0, 1]);
        assert!(gathered(&[], &[]).0.is_empty());
    }

    #[test]
    fn scatter_of_large_readings_is_not_lost() {
        let (_, points) = gathered(&[4000.0; 3], &[1e9, 1e9 + 1.0, 1e9 + 2.0]);
        assert_eq!(points.scatter, [1.0]);
    }

    /// NIST's univariate sets (`nist_univariate.json`): mean and standard deviation to nine digits, and
    /// eight for NumAcc4, whose inputs hold no more beside their first seven.
    #[test]
    fn mean_and_scatter_are_the_certified_ones() {
        let sets: serde_json::Value =
            serde_json::from_str(include_str!("../tests/data/nist_univariate.json")).unwrap();
        let of = |name: &str, key: &str| -> f64 {
            sets["univariate"][name][key].as_str().unwrap().parse().unwrap()
        };
        let alternating = |around: f64| {
            let pair = |_| [around - 0.1, around + 0.1];
            std::iter::once(around).chain((0..500).flat_map(pair)).collect::<Vec<f64>>()
        };
        for (name, values, wanted) in [
            ("NumAcc1", vec![10_000_001.0, 10_000_003.0, 10_000_002.0], 1e-9),
            ("NumAcc2", alternating(1.2), 1e-9),
            ("NumAcc3", alternating(1_000_000.2), 1e-9),
            ("NumAcc4", alternating(10_000_000.2), 1e-8),
        ] {
            let (_, points) = gathered(&vec![4000.0; values.len()], &values);
            let (mean, sd) = (points.mean[0], points.scatter[0]);
            assert!((mean / of(name, "mean") - 1.0).abs() < 1e-9, "{name} {mean}");
            assert!((sd / of(name, "sd") - 1.0).abs() < wanted, "{name} {sd}");
        }
    }

    #[test]
    fn a_local_line_takes_a_slope_without_bias_and_does_not_reach_beyond_the_rows() {
        let speed: Vec<f64> = (0..400).map(|row| (3010.0 + 2.5 * f64::from(row)) * RPM).collect();
        let values: Vec<f64> = speed.iter().map(|w| 200.0 + 0.5 * w).collect();
        let grid: Vec<f64> = (60..=81).map(|k| f64::from(k) * BIN).collect();
        let found = local_line(&speed, &values, &grid, bandwidth(&speed));
        assert!(found[0].is_nan() && found[21].is_nan());
        for (at, found) in grid.iter().zip(&found).skip(1).take(19) {
            assert!((found - (200.0 + 0.5 * at)).abs() < 1e-9);
        }
    }

    #[test]
    fn bandwidth_follows_sparse_rows() {
        let rows =
            |step: f64| (0..9).map(|i| (3000.0 + step * f64::from(i)) * RPM).collect::<Vec<_>>();
        assert!((bandwidth(&rows(3.0)) / RPM - 100.0).abs() < 1e-9);
        assert!((bandwidth(&rows(60.0)) / RPM - 240.0).abs() < 1e-9);
        assert!((bandwidth(&[300.0]) / RPM - 100.0).abs() < 1e-9);
    }
}
