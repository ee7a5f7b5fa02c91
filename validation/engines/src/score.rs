//! Predicted against published: peaks, points, bounds.

use crate::case::{Case, Published};
use crate::figures::{Best, Figures, nearest};
use crate::residuals::plus_minus;
use shortblock_curve::{Curve, Peak, Predicted};
use shortblock_engine::build::RatingKind;
use shortblock_plan::{DiscrepancyTerm, discrepancy_table};

/// One published figure beside the predicted one.
#[derive(Clone)]
pub struct Row {
    /// What was published.
    pub published: Published,
    /// Predicted: the peak of the curve for a peak, the curve at its speed for a point.
    pub predicted: f64,
    /// ± of the prediction (coverage 95 %), same unit.
    pub plus_minus: Option<f64>,
    /// Speed of the predicted peak, rad/s.
    pub peak_speed: Option<f64>,
    /// ± of the place of the command's own peak, rad/s.
    pub place: Option<f64>,
    /// Whether that peak lies at an end of the curve.
    pub at_end: bool,
    /// Predicted at the published speed.
    pub at_speed: f64,
    /// ± (share, coverage 95 %) there.
    pub share_at_speed: Option<f64>,
}

impl Row {
    /// Predicted over published, less 1.
    pub fn error(&self) -> f64 {
        self.predicted / self.published.value - 1.0
    }

    /// The same at the published speed.
    pub fn error_at_speed(&self) -> f64 {
        self.at_speed / self.published.value - 1.0
    }

    /// ± of the difference as a share of the published figure: the prediction's and the rating's.
    pub fn together(&self) -> Option<f64> {
        let own = self.plus_minus? / self.published.value;
        Some(own.hypot(self.published.tolerance))
    }

    /// Whether the published figure lies within the ±.
    pub fn covered(&self) -> Option<bool> {
        self.together().map(|pm| self.error().abs() <= pm)
    }

    /// As [`Row::together`] with other discrepancy terms than the shipped ones, of the figure itself
    /// or, with `at_speed`, of the published speed.
    pub fn together_with(&self, terms: &[DiscrepancyTerm], at_speed: bool) -> Option<f64> {
        let (of, share) = match (at_speed, self.peak_speed) {
            (false, Some(_)) => ("peak", self.plus_minus? / self.predicted),
            _ => ("engine", self.share_at_speed?),
        };
        let inputs = (share.powi(2) - plus_minus(discrepancy_table(), of).powi(2)).max(0.0).sqrt();
        Some(inputs.hypot(plus_minus(terms, of)).hypot(self.published.tolerance))
    }

    /// Whether a lower bound holds.
    pub fn holds(&self) -> bool {
        self.predicted >= self.published.value
    }

    /// Predicted peak's speed less the published one, rad/s.
    pub fn speed_error(&self) -> Option<f64> {
        self.peak_speed.map(|speed| speed - self.published.speed)
    }
}

/// The curve through the points.
pub fn curve(points: &[Figures]) -> Option<Curve<Predicted>> {
    let column = |of: fn(&Figures) -> f64| points.iter().map(of).collect::<Vec<f64>>();
    Curve::from_torque("predicted", column(|p| p.speed), column(|p| p.torque)).ok()
}

/// Every published figure of a case beside the prediction; `best` holds the ± of peaks.
pub fn rows(case: &Case, points: &[Figures], best: &[Best]) -> Vec<Row> {
    let Some(curve) = curve(points) else { return Vec::new() };
    case.published().iter().filter_map(|published| row(*published, points, best, &curve)).collect()
}

fn row(
    published: Published,
    points: &[Figures],
    best: &[Best],
    curve: &Curve<Predicted>,
) -> Option<Row> {
    // A hair of rounding may put an end point's own speed outside.
    let inside = published.speed.clamp(curve.lowest_speed(), curve.highest_speed());
    if (inside - published.speed).abs() > 1e-6 * inside {
        return None;
    }
    let at_speed = curve.at(published.quantity, inside)?;
    let peak: Option<Peak> =
        (published.kind == RatingKind::Peak).then(|| curve.smoothed_peak(published.quantity));
    let predicted = peak.map_or(at_speed, |p| p.value);
    let near = nearest(points, inside)?;
    let share_at_speed = near.plus_minus.map(|pm| pm / near.torque);
    let best = best.iter().find(|best| best.quantity == published.quantity);
    let share = if peak.is_some() { best.map(|best| best.share) } else { share_at_speed };
    Some(Row {
        published,
        predicted,
        plus_minus: share.map(|share| share * predicted),
        peak_speed: peak.map(|p| p.speed),
        place: best.filter(|_| peak.is_some()).map(|best| best.place),
        at_end: peak.is_some_and(|p| p.at_end),
        at_speed,
        share_at_speed,
    })
}

/// Median, and the value with the greatest size, of errors; `None` for none.
pub fn median_and_worst(errors: &[f64]) -> Option<(f64, f64)> {
    let mut sizes: Vec<f64> = errors.iter().map(|e| e.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let n = sizes.len();
    let median = match n {
        0 => return None,
        n if n % 2 == 1 => sizes[n / 2],
        n => 0.5 * (sizes[n / 2 - 1] + sizes[n / 2]),
    };
    let worst = errors.iter().copied().max_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    Some((median, worst))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_of_sizes_and_the_worst_keeps_its_sign() {
        assert_eq!(median_and_worst(&[0.01, -0.05, 0.03]), Some((0.03, -0.05)));
        assert_eq!(median_and_worst(&[0.01, -0.03]), Some((0.02, -0.03)));
        assert_eq!(median_and_worst(&[]), None);
    }
}
