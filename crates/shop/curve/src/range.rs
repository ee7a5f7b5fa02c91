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
        let enough = share * peak.value;
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
