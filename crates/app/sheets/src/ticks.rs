//! Round numbers along an axis.

/// The smallest of 1, 2, 5 × 10ⁿ not below `least`.
pub(crate) fn round_step(least: f64) -> f64 {
    if !(least.is_finite() && least > 0.0) {
        return 1.0;
    }
    let decade = 10_f64.powf(least.log10().floor());
    let ratio = least / decade;
    let factor = [1.0, 2.0, 5.0].into_iter().find(|f| ratio <= f * (1.0 + 1e-9));
    factor.unwrap_or(10.0) * decade
}

/// Multiples of `step` from `low` to `high`, ends included; at most 200.
pub(crate) fn multiples(low: f64, high: f64, step: f64) -> Vec<f64> {
    let slack = 1e-9;
    let first = (low / step - slack).ceil();
    let count = ((high / step + slack).floor() - first).clamp(-1.0, 199.0) as i64;
    (0..=count).map(|i| (first + i as f64) * step).collect()
}

/// Decimal places a multiple of `step` needs.
pub(crate) fn places(step: f64) -> usize {
    usize::try_from(-(step.log10() + 1e-9).floor() as i64).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::{multiples, places, round_step};

    #[test]
    fn steps_are_one_two_five() {
        let steps = [0.13, 0.2, 3.0, 7.0, 43.0, 100.0].map(round_step);
        let wanted = [0.2, 0.2, 5.0, 10.0, 50.0, 100.0];
        assert!(steps.iter().zip(wanted).all(|(a, b)| (a / b - 1.0).abs() < 1e-9), "{steps:?}");
        assert_eq!(round_step(0.0), 1.0);
    }

    #[test]
    fn multiples_include_the_ends_and_may_be_none() {
        assert_eq!(multiples(100.0, 300.0, 100.0), [100.0, 200.0, 300.0]);
        assert_eq!(multiples(-10.0, 10.0, 10.0), [-10.0, 0.0, 10.0]);
        assert!(multiples(101.0, 199.0, 100.0).is_empty());
    }

    #[test]
    fn places_follow_the_step() {
        assert_eq!([100.0, 1.0, 0.5, 0.02].map(places), [0, 0, 1, 2]);
    }
}
