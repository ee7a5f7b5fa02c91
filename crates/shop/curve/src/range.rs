//! Ranges of engine speed: where the torque holds, and averages over a range.

use crate::curve::{Curve, Quantity};
use crate::error::CurveError;
use crate::kind::Kind;

/// A range of engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedRange {
    /// Lower end, rad/s.
    pub low: f64,
    /// Upper end, rad/s.
    pub high: f64,
    /// The curve starts here: the range may reach lower.
    pub open_below: bool,
    /// The curve ends here: the range may reach higher.
    pub open_above: bool,
}

/// Mean of a column over a range of speeds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Average {
    /// Torque, N·m, or power, W.
    pub value: f64,
    /// ± (coverage 95 %): the mean of the ± along the range, that is, all
    /// points taken as wrong together. Never too small.
    pub plus_minus: Option<f64>,
}

impl<K: Kind> Curve<K> {
    /// The unbroken range of speeds around the peak in which the column stays
    /// at or above `share` (0 to 1) of its peak value.
    ///
    /// With `Quantity::Torque` and 0.95: the range holding 95 % of best torque.
    /// A second hump beyond a dip is not part of it.
    #[must_use]
    pub fn range_holding(&self, quantity: Quantity, share: f64) -> SpeedRange {
        let peak = self.peak(quantity);
        // Written as a drop so that it also lies below a peak under zero (an engine being turned).
        let enough = peak.value - (1.0 - share) * peak.value.abs();
        let low = self.walk(quantity, peak.speed, enough, self.speed().iter().rev());
        let high = self.walk(quantity, peak.speed, enough, self.speed().iter());
        SpeedRange {
            low: low.unwrap_or(self.lowest_speed()),
            high: high.unwrap_or(self.highest_speed()),
            open_below: low.is_none(),
            open_above: high.is_none(),
        }
    }

    /// Mean torque (N·m) or power (W) from `low` to `high` (rad/s).
    ///
    /// # Errors
    /// The range is empty, reversed or not within the curve.
    pub fn average(&self, quantity: Quantity, low: f64, high: f64) -> Result<Average, CurveError> {
        if !(self.covers(low) && self.covers(high) && low < high) {
            return Err(CurveError::Outside {
                label: self.label().to_owned(),
                low: self.lowest_speed(),
                high: self.highest_speed(),
                asked_low: low,
                asked_high: high,
            });
        }
        let nodes = self.nodes_between(low, high);
        let mean = |f: &dyn Fn(f64) -> f64| {
            nodes.windows(2).map(|p| gauss(p[0], p[1], f)).sum::<f64>() / (high - low)
        };
        let plus_minus = self
            .plus_minus(quantity)
            .map(|column| mean(&|w| crate::interpolate::linear(self.speed(), column, w)));
        Ok(Average { value: mean(&|w| self.value(quantity, w)), plus_minus })
    }

    /// Going outwards from `from` along `stations`, the first speed at which the
    /// column falls below `enough`; `None` when it never does.
    fn walk<'a>(
        &self,
        quantity: Quantity,
        from: f64,
        enough: f64,
        stations: impl DoubleEndedIterator<Item = &'a f64> + Clone,
    ) -> Option<f64> {
        let outward = |w: f64, towards: f64| (towards - from) * (w - from) > 0.0;
        let end = *stations.clone().next_back()?;
        let mut inside = from;
        for &station in stations.filter(|&&w| outward(w, end)) {
            if self.value(quantity, station) < enough {
                return Some(self.bisect(quantity, enough, inside, station));
            }
            inside = station;
        }
        None
    }

    fn bisect(&self, quantity: Quantity, enough: f64, mut inside: f64, mut outside: f64) -> f64 {
        for _ in 0..60 {
            let middle = 0.5 * (inside + outside);
            if self.value(quantity, middle) >= enough {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        0.5 * (inside + outside)
    }

    fn nodes_between(&self, low: f64, high: f64) -> Vec<f64> {
        let inner = self.speed().iter().copied().filter(|&w| w > low && w < high);
        std::iter::once(low).chain(inner).chain(std::iter::once(high)).collect()
    }
}

/// Integral by three-point Gauss-Legendre quadrature, exact to degree five
/// (power between points is of degree four).
fn gauss(low: f64, high: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let middle = 0.5 * (low + high);
    let half = 0.5 * (high - low);
    let offset = half * 0.6_f64.sqrt();
    half / 9.0 * (5.0 * f(middle - offset) + 8.0 * f(middle) + 5.0 * f(middle + offset))
}

#[cfg(test)]
mod tests {
    use crate::curve::{Curve, Quantity};
    use crate::kind::Measured;

    fn curve(speed: &[f64], torque: &[f64]) -> Curve<Measured> {
        Curve::from_torque("p7", speed.to_vec(), torque.to_vec()).unwrap()
    }

    #[test]
    fn average_agrees_with_an_independent_program() {
        // SciPy 1.17.1: PchipInterpolator(...).integrate(320, 760) / 440.
        let curve = curve(
            &[300.0, 350.0, 460.0, 500.0, 640.0, 700.0, 800.0],
            &[240.0, 250.0, 251.0, 300.0, 310.0, 310.0, 255.0],
        );
        let found = curve.average(Quantity::Torque, 320.0, 760.0).unwrap();
        assert!((found.value - 285.653_739_715_855_47).abs() < 1e-9, "{}", found.value);
        assert_eq!(found.plus_minus, None);
    }

    #[test]
    fn average_power_of_constant_torque_is_that_at_mid_range() {
        let curve = curve(&[300.0, 500.0], &[200.0, 200.0]);
        let curve = curve.with_torque_plus_minus(vec![4.0, 6.0]).unwrap();
        let power = curve.average(Quantity::Power, 300.0, 400.0).unwrap();
        assert!((power.value - 200.0 * 350.0).abs() < 1e-8);
        let torque = curve.average(Quantity::Torque, 300.0, 500.0).unwrap();
        assert!((torque.plus_minus.unwrap() - 5.0).abs() < 1e-12);
    }

    #[test]
    fn average_outside_or_of_nothing_is_refused() {
        let curve = curve(&[300.0, 500.0], &[200.0, 200.0]);
        for (low, high) in [(299.0, 400.0), (400.0, 501.0), (400.0, 400.0), (450.0, 400.0)] {
            assert!(curve.average(Quantity::Torque, low, high).is_err());
        }
        assert!(curve.average(Quantity::Torque, f64::NAN, 400.0).is_err());
    }

    #[test]
    fn range_holding_a_share_stops_at_the_crossings() {
        // Straight flanks: 95 % of 300 is 285, half way down each flank.
        let curve =
            curve(&[200.0, 300.0, 400.0, 500.0, 600.0], &[240.0, 270.0, 300.0, 270.0, 240.0]);
        let range = curve.range_holding(Quantity::Torque, 0.95);
        assert!((curve.at(Quantity::Torque, range.low).unwrap() - 285.0).abs() < 1e-9);
        assert!((curve.at(Quantity::Torque, range.high).unwrap() - 285.0).abs() < 1e-9);
        assert!(((range.low + range.high) / 2.0 - 400.0).abs() < 1e-9);
        assert!(!range.open_below && !range.open_above);
    }

    #[test]
    fn range_holding_is_open_where_the_curve_ends_and_leaves_out_a_second_hump() {
        let curve =
            curve(&[200.0, 300.0, 400.0, 500.0, 600.0], &[300.0, 299.0, 200.0, 295.0, 200.0]);
        let range = curve.range_holding(Quantity::Torque, 0.95);
        assert!(range.open_below && !range.open_above);
        assert!(range.low == 200.0 && range.high > 300.0 && range.high < 400.0);
        let rising = curve.range_holding(Quantity::Torque, 0.5);
        assert!(rising.open_below && rising.open_above && rising.high == 600.0);
    }
}
