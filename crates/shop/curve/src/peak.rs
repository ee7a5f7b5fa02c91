//! The best torque and the best power, two ways.

use crate::curve::{Curve, Quantity};
use crate::kind::Kind;
use std::f64::consts::PI;

/// Width of the smoothing of [`Curve::smoothed_peak`], rpm (own choice: a few
/// points of a usual sweep, narrower than any tuning hump).
const SMOOTHING_WIDTH_RPM: f64 = 300.0;
/// Drop below the smoothed peak that still counts as "at the peak" (own choice).
const PEAK_DROP: f64 = 0.01;
/// Step of the search along the smoothed curve, rpm.
const SEARCH_STEP_RPM: f64 = 5.0;
/// Points per smoothing window (Simpson's rule, even number of strips).
const STRIPS: usize = 12;
const RPM: f64 = PI / 30.0;

/// The highest value of a column and where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Engine speed, rad/s.
    pub speed: f64,
    /// Torque, N·m, or power, W.
    pub value: f64,
    /// ± of the value (coverage 95 %) as the curve gives it at this speed.
    pub plus_minus: Option<f64>,
    /// The curve is highest at its first or last speed: the true peak may lie outside.
    pub at_end: bool,
}

impl<K: Kind> Curve<K> {
    /// Peak by the parabola through the highest point and its two neighbours.
    ///
    /// For few, smooth points (a prediction). At an end of the curve the end
    /// point itself, marked `at_end`.
    #[must_use]
    pub fn peak(&self, quantity: Quantity) -> Peak {
        let x = self.speed();
        let y = self.column(quantity);
        let top = highest(y);
        let (speed, value) = if top == 0 || top + 1 == y.len() {
            (x[top], y[top])
        } else {
            vertex([x[top - 1], x[top], x[top + 1]], [y[top - 1], y[top], y[top + 1]])
        };
        Peak {
            speed,
            value,
            plus_minus: self.plus_minus_at(quantity, speed),
            at_end: top == 0 || top + 1 == y.len(),
        }
    }

    /// Peak of the curve smoothed over 300 rpm: its greatest value, at the
    /// middle of the range of speeds around it within 1 % of that value.
    ///
    /// For measured curves with many points: a flat top has no well defined
    /// highest point, and the highest reading is biased up by scatter. Near an
    /// end the window narrows evenly to stay inside the curve.
    #[must_use]
    pub fn smoothed_peak(&self, quantity: Quantity) -> Peak {
        let (low, high) = (self.lowest_speed(), self.highest_speed());
        let steps = ((high - low) / (SEARCH_STEP_RPM * RPM)).ceil().clamp(1.0, 4e3) as usize;
        let grid: Vec<f64> =
            (0..=steps).map(|i| low + (high - low) * i as f64 / steps as f64).collect();
        let smooth = self.all_smoothed(quantity, &grid);
        let top = highest(&smooth);
        let enough = smooth[top] - PEAK_DROP * smooth[top].abs();
        let first = smooth[..top].iter().rposition(|&v| v < enough).map_or(0, |i| i + 1);
        let last = smooth[top..].iter().position(|&v| v < enough).map_or(steps, |i| top + i - 1);
        let speed = 0.5 * (grid[first] + grid[last]);
        Peak {
            speed,
            value: smooth[top],
            plus_minus: self.plus_minus_at(quantity, speed),
            at_end: first == 0 || last == steps,
        }
    }

    /// The smoothed curve at speeds an even step apart. Where the points of the windows are points of
    /// the grid too, as in measured sweeps, each is worked out once.
    fn all_smoothed(&self, quantity: Quantity, grid: &[f64]) -> Vec<f64> {
        let (one_by_one, last) = (|&w: &f64| self.smoothed(quantity, w), grid.len() - 1);
        let strip = SMOOTHING_WIDTH_RPM / STRIPS as f64 / SEARCH_STEP_RPM;
        let step = (grid[last] - grid[0]) / (last as f64 * SEARCH_STEP_RPM * RPM);
        if (step - 1.0).abs() > 1e-9 || strip.fract() != 0.0 {
            return grid.iter().map(one_by_one).collect();
        }
        let (strip, half) = (strip as usize, STRIPS / 2 * strip as usize);
        let values: Vec<f64> = grid.iter().map(|&w| self.value(quantity, w)).collect();
        let at = |(i, w): (usize, &f64)| {
            let inside = i >= half && i + half <= last;
            if inside { mean(|k| values[i - half + k * strip]) } else { one_by_one(w) }
        };
        grid.iter().enumerate().map(at).collect()
    }

    /// Mean of the curve over the smoothing window around `speed`.
    fn smoothed(&self, quantity: Quantity, speed: f64) -> f64 {
        let room = (speed - self.lowest_speed()).min(self.highest_speed() - speed).max(0.0);
        let half = room.min(0.5 * SMOOTHING_WIDTH_RPM * RPM);
        mean(|i| {
            let at = speed + half * (2.0 * i as f64 / STRIPS as f64 - 1.0);
            self.value(quantity, at)
        })
    }
}

/// Mean by Simpson's rule of the values at the ends of its strips.
fn mean(value: impl Fn(usize) -> f64) -> f64 {
    let weight = |i| match i {
        0 | STRIPS => 1.0,
        odd if odd % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=STRIPS).map(|i| weight(i) * value(i)).sum();
    sum / (3.0 * STRIPS as f64)
}

fn highest(values: &[f64]) -> usize {
    let mut top = 0;
    for (i, value) in values.iter().enumerate() {
        if *value > values[top] {
            top = i;
        }
    }
    top
}

/// Top of the parabola through three points of which the middle is highest.
fn vertex(x: [f64; 3], y: [f64; 3]) -> (f64, f64) {
    let left = (y[1] - y[0]) / (x[1] - x[0]);
    let right = (y[2] - y[1]) / (x[2] - x[1]);
    let bend = (right - left) / (x[2] - x[0]);
    if bend >= 0.0 {
        return (x[1], y[1]);
    }
    // Newton form: y = y1 + slope (x − x1) + bend (x − x1)².
    let slope = left + bend * (x[1] - x[0]);
    let shift = -0.5 * slope / bend;
    (x[1] + shift, y[1] + 0.5 * slope * shift)
}

#[cfg(test)]
mod tests {
    use super::RPM;
    use crate::curve::{Curve, Quantity};
    use crate::kind::Predicted;

    fn over_rpm(rpm: &[f64], torque: impl Fn(f64) -> f64) -> Curve<Predicted> {
        let speed = rpm.iter().map(|n| n * RPM).collect();
        Curve::from_torque("b2", speed, rpm.iter().map(|&n| torque(n)).collect()).unwrap()
    }

    #[test]
    fn parabola_is_found_exactly_between_uneven_points() {
        let torque = |n: f64| 320.0 - (n - 6900.0).powi(2) * 1e-5;
        let peak = over_rpm(&[6000.0, 6500.0, 7250.0, 8000.0], torque).peak(Quantity::Torque);
        assert!((peak.speed / RPM - 6900.0).abs() < 1e-6 && (peak.value - 320.0).abs() < 1e-9);
        assert!(!peak.at_end);
    }

    #[test]
    fn peak_at_the_end_is_the_last_point_and_says_so() {
        let peak = over_rpm(&[3000.0, 4000.0, 5000.0], |n| n / 20.0).peak(Quantity::Torque);
        assert!(peak.at_end && peak.value == 250.0 && (peak.speed / RPM - 5000.0).abs() < 1e-9);
        assert!(over_rpm(&[3000.0], |_| 200.0).peak(Quantity::Power).at_end);
    }

    #[test]
    fn level_neighbours_do_not_bend_the_wrong_way() {
        let flat = over_rpm(&[3000.0, 4000.0, 5000.0], |_| 200.0).peak(Quantity::Torque);
        assert_eq!(flat.value, 200.0);
    }

    #[test]
    fn smoothed_peak_of_a_parabola() {
        // Mean of 320 − c d² over ±150 rpm: 320 − c 150²/3; within 1 % of it both ways alike.
        let rpm: Vec<f64> = (80..=170).map(|i| f64::from(i) * 50.0).collect();
        let curve = over_rpm(&rpm, |n| 320.0 - (n - 6400.0).powi(2) * 1e-5);
        let peak = curve.smoothed_peak(Quantity::Torque);
        let wanted = 320.0 - 1e-5 * 150.0 * 150.0 / 3.0;
        assert!((peak.value - wanted).abs() < 0.005, "{}", peak.value);
        assert!((peak.speed / RPM - 6400.0).abs() < 5.0, "{}", peak.speed / RPM);
        assert!(!peak.at_end);
    }

    #[test]
    fn one_wild_reading_does_not_make_the_smoothed_peak() {
        let rpm: Vec<f64> = (80..=170).map(|i| f64::from(i) * 50.0).collect();
        let smooth = |n: f64| 320.0 - (n - 6400.0).powi(2) * 1e-5;
        let wild = |n: f64| smooth(n) + if n == 4500.0 { 40.0 } else { 0.0 };
        let raw = over_rpm(&rpm, wild).peak(Quantity::Torque);
        let peak = over_rpm(&rpm, wild).smoothed_peak(Quantity::Torque);
        assert!((raw.speed / RPM - 4500.0).abs() < 50.0);
        assert!((peak.speed / RPM - 6400.0).abs() < 5.0);
    }

    #[test]
    fn smoothing_takes_one_or_two_points() {
        let one = over_rpm(&[5000.0], |_| 300.0).smoothed_peak(Quantity::Torque);
        assert!(one.at_end && (one.value - 300.0).abs() < 1e-9);
        assert!(over_rpm(&[5000.0, 5100.0], |n| n).smoothed_peak(Quantity::Torque).at_end);
    }

    /// Windows whose points are points of the search are summed from those, to the same figure.
    #[test]
    fn shared_points_change_nothing() {
        let rpm: Vec<f64> = (0..=80).map(|i| 3000.0 + 50.0 * f64::from(i)).collect();
        let curve = over_rpm(&rpm, |n| 300.0 - ((n - 5200.0) / 300.0).powi(2) + (n / 90.0).sin());
        let steps = 800;
        let grid: Vec<f64> = (0..=steps).map(|i| (3000.0 + 5.0 * f64::from(i)) * RPM).collect();
        for quantity in [Quantity::Torque, Quantity::Power] {
            let shared = curve.all_smoothed(quantity, &grid);
            for (w, value) in grid.iter().zip(shared) {
                let alone = curve.smoothed(quantity, *w);
                assert!((value / alone - 1.0).abs() < 1e-12, "{value} {alone}");
            }
        }
    }
}
