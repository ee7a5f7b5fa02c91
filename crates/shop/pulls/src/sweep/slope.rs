//! Change of speed with time by straight lines fitted to short stretches.

/// Sums of a straight-line fit, kept so that points can come and go.
#[derive(Default)]
struct Sums {
    n: f64,
    t: f64,
    x: f64,
    tt: f64,
    tx: f64,
}

impl Sums {
    fn add(&mut self, t: f64, x: f64, sign: f64) {
        self.n += sign;
        self.t += sign * t;
        self.x += sign * x;
        self.tt += sign * t * t;
        self.tx += sign * t * x;
    }

    /// Slope of the line; `None` for fewer than two different times.
    fn slope(&self) -> Option<f64> {
        let spread = self.tt - self.t * self.t / self.n;
        (self.n >= 2.0 && spread > 1e-9).then(|| (self.tx - self.t * self.x / self.n) / spread)
    }
}

/// Slope at every point of the line through all points within `half` (s) of it; at the ends through
/// those that there are. At least one neighbour on each side counts however far away it is. Not a
/// number where there are not two points.
pub fn local_slopes(time: &[f64], values: &[f64], half: f64) -> Vec<f64> {
    let origin = time.first().copied().unwrap_or_default();
    let at = |i: usize| time[i] - origin;
    let (mut from, mut to) = (0, 0);
    let mut sums = Sums::default();
    (0..time.len())
        .map(|i| {
            while to < time.len() && (at(to) <= at(i) + half || to <= i + 1) {
                sums.add(at(to), values[to], 1.0);
                to += 1;
            }
            while at(from) < at(i) - half && from + 1 < i {
                sums.add(at(from), values[from], -1.0);
                from += 1;
            }
            sums.slope().unwrap_or(f64::NAN)
        })
        .collect()
}

/// Slope of the straight line through all points; not a number for fewer than two.
pub fn slope(time: &[f64], values: &[f64]) -> f64 {
    let origin = time.first().copied().unwrap_or_default();
    let mut sums = Sums::default();
    for (t, x) in time.iter().zip(values) {
        sums.add(t - origin, *x, 1.0);
    }
    sums.slope().unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_line_has_its_slope_everywhere_however_it_is_sampled() {
        let time: Vec<f64> =
            (0..200).map(|i| 900.0 + 0.01 * (f64::from(i) + (i % 3) as f64 * 0.2)).collect();
        let values: Vec<f64> = time.iter().map(|t| 300.0 + 31.4 * (t - 900.0)).collect();
        for found in local_slopes(&time, &values, 0.1) {
            assert!((found - 31.4).abs() < 1e-6);
        }
        assert!((slope(&time, &values) - 31.4).abs() < 1e-9);
    }

    #[test]
    fn sparse_points_still_have_a_slope_and_one_point_has_none() {
        assert_eq!(local_slopes(&[0.0, 1.0, 2.0], &[0.0, 2.0, 4.0], 0.1), [2.0, 2.0, 2.0]);
        assert!(local_slopes(&[0.0], &[1.0], 0.1)[0].is_nan());
        assert!(slope(&[], &[]).is_nan());
    }
}
