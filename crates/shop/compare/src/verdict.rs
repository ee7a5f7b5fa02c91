//! The only place a verdict comes from.

use crate::CompareError;
use crate::band::{Band, Says};
use crate::interval::Interval;

/// Smallest difference the owner would act on, a fraction above 0.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Margin(f64);

impl Margin {
    /// From per cent of torque.
    ///
    /// # Errors
    /// [`CompareError::Number`] unless it is finite and above 0.
    pub fn per_cent(value: f64) -> Result<Self, CompareError> {
        if value.is_finite() && value > 0.0 {
            return Ok(Self(value / 100.0));
        }
        let what = "difference worth having, %".to_string();
        Err(CompareError::Number { what, value, remedy: "give more than 0" })
    }

    /// As a fraction.
    pub fn fraction(self) -> f64 {
        self.0
    }
}

/// More or less.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// B gives more.
    Gain,
    /// B gives less.
    Loss,
}

/// What a real difference is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worth {
    /// At least the owner's margin.
    WorthHaving,
    /// May be less than the margin.
    MayBeLess,
    /// More at some speeds, less at others.
    GivesAndTakes,
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Whatever difference there is, it is smaller than the margin.
    NoDifferenceWorthHaving {
        /// Direction of a difference that is real all the same.
        real: Option<Direction>,
    },
    /// A real difference.
    Real {
        /// Which way.
        direction: Direction,
        /// What it is worth.
        worth: Worth,
    },
    /// Neither can be said.
    CantTell,
}

impl Verdict {
    /// True for a real gain or loss.
    pub fn is_real(&self) -> bool {
        matches!(self, Self::Real { .. })
    }
}

/// What a verdict is made from.
pub(crate) struct Evidence<'a> {
    pub delta: f64,
    pub interval: Interval,
    pub interval_90: Interval,
    pub band: &'a Band,
    pub margin: Margin,
    pub one_pull_a_side: bool,
}

/// The rule: no difference worth having is asked first, then real, else can't tell.
pub(crate) fn verdict(e: &Evidence) -> Verdict {
    let m = e.margin.fraction();
    let average_counts = e.interval.excludes_zero() && !e.one_pull_a_side;
    let sign = if e.delta > 0.0 { Direction::Gain } else { Direction::Loss };
    let beyond = e.band.stretches_beyond(m).iter().any(|s| s.says != Says::CantTell && s.counts());
    if e.interval_90.inside(m) && !beyond {
        return Verdict::NoDifferenceWorthHaving { real: average_counts.then_some(sign) };
    }
    if e.one_pull_a_side {
        return Verdict::CantTell;
    }
    let (more, less) = lengths(e.band);
    if !average_counts && more.is_none() && less.is_none() {
        return Verdict::CantTell;
    }
    let direction = if average_counts {
        sign
    } else if more > less {
        Direction::Gain
    } else {
        Direction::Loss
    };
    let least = match direction {
        Direction::Gain => e.interval.low,
        Direction::Loss => -e.interval.high,
    };
    let against = match direction {
        Direction::Gain => less,
        Direction::Loss => more,
    };
    let worth = if against.is_some() {
        Worth::GivesAndTakes
    } else if least > m {
        Worth::WorthHaving
    } else {
        Worth::MayBeLess
    };
    Verdict::Real { direction, worth }
}

/// Total length, rpm, of the stretches that count: more, less.
fn lengths(band: &Band) -> (Option<f64>, Option<f64>) {
    let total = |says| {
        band.stretches()
            .iter()
            .filter(|s| s.says == says && s.counts())
            .map(|s| s.to_rpm - s.from_rpm)
            .reduce(|a, b| a + b)
    };
    (total(Says::More), total(Says::Less))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(delta: &[f64], half: f64) -> Band {
        let speeds_rpm = (0..delta.len()).map(|i| 3000.0 + 100.0 * i as f64).collect();
        let half_width = vec![half; delta.len()];
        Band {
            speeds_rpm,
            delta: delta.to_vec(),
            half_width,
            critical: 3.0,
            dof: 10.0,
            resels: 4.0,
        }
    }

    fn asked(low: f64, high: f64, band: &Band, one: bool) -> Verdict {
        let interval = Interval { low, high };
        let middle = 0.5 * (low + high);
        let interval_90 = Interval::around(middle, 0.35 * (high - low));
        let margin = Margin::per_cent(0.5).unwrap();
        verdict(&Evidence {
            delta: middle,
            interval,
            interval_90,
            band,
            margin,
            one_pull_a_side: one,
        })
    }

    #[test]
    fn each_verdict_has_its_case() {
        let flat = band(&[0.0; 8], 0.01);
        let (gain, loss) = (Direction::Gain, Direction::Loss);
        let none = |real| Verdict::NoDifferenceWorthHaving { real };
        let real = |direction, worth| Verdict::Real { direction, worth };
        assert_eq!(asked(-0.004, 0.004, &flat, false), none(None));
        assert_eq!(asked(0.001, 0.004, &flat, false), none(Some(gain)));
        assert_eq!(asked(0.008, 0.02, &flat, false), real(gain, Worth::WorthHaving));
        assert_eq!(asked(0.002, 0.02, &flat, false), real(gain, Worth::MayBeLess));
        assert_eq!(asked(-0.02, -0.006, &flat, false), real(loss, Worth::WorthHaving));
        assert_eq!(asked(-0.01, 0.02, &flat, false), Verdict::CantTell);
        assert_eq!(asked(0.008, 0.02, &flat, true), Verdict::CantTell);
    }

    #[test]
    fn a_stretch_of_300_rpm_is_real_and_one_of_200_is_not() {
        let bump = |n: usize| {
            let delta: Vec<f64> = (0..8).map(|i| if i < n { 0.02 } else { 0.0 }).collect();
            band(&delta, 0.012)
        };
        assert!(asked(-0.003, 0.009, &bump(4), false).is_real());
        assert_eq!(asked(-0.003, 0.009, &bump(3), false), Verdict::CantTell);
        // The average is as good as nothing, but a stretch beyond the margin is no "no difference".
        assert!(asked(-0.004, 0.004, &bump(4), false).is_real());
    }

    #[test]
    fn gives_here_and_takes_there_is_said() {
        let delta = [0.02, 0.02, 0.02, 0.02, 0.0, -0.02, -0.02, -0.02, -0.02, -0.02];
        let verdict = asked(-0.01, 0.012, &band(&delta, 0.01), false);
        let (direction, worth) = (Direction::Loss, Worth::GivesAndTakes);
        assert_eq!(verdict, Verdict::Real { direction, worth });
    }
}
