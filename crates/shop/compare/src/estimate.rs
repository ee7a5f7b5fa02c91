//! A difference with its standard uncertainty and degrees of freedom.

use crate::interval::{BesidePull, Interval};
use crate::student;

/// Difference B less A of the logarithm of torque: a fraction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Difference, fraction.
    pub delta: f64,
    /// Standard uncertainty u, fraction.
    pub standard: f64,
    /// Effective degrees of freedom (Welch-Satterthwaite; JCGM 100:2008 G.4).
    pub dof: f64,
}

impl Estimate {
    /// Half-width that is exceeded with probability `level`, both sides together.
    pub fn half_width(&self, level: f64) -> BesidePull {
        BesidePull(student::quantile(1.0 - level / 2.0, self.dof) * self.standard)
    }

    /// Interval that misses with probability `level` (0.03: 97 times in 100).
    pub fn interval(&self, level: f64) -> Interval {
        Interval::around(self.delta, self.half_width(level).0)
    }

    /// Probability of a difference at least as large when there is none.
    pub fn p_value(&self) -> f64 {
        if self.standard <= 0.0 {
            return if self.delta == 0.0 { 1.0 } else { 0.0 };
        }
        (2.0 * student::upper_tail((self.delta / self.standard).abs(), self.dof)).min(1.0)
    }
}

/// u² and its degrees of freedom from parts (share of u², degrees of freedom):
/// ν = u⁴ / Σ (part²/ν_part).
pub(crate) fn satterthwaite(parts: impl Iterator<Item = (f64, f64)>) -> (f64, f64) {
    let (mut sum, mut weight) = (0.0, 0.0);
    for (part, dof) in parts {
        sum += part;
        weight += part * part / dof;
    }
    (sum, if weight > 0.0 { sum * sum / weight } else { f64::INFINITY })
}
