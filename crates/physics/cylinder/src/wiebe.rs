//! Wiebe function: mass fraction burned given over crank angle.
//!
//! `x = 1 - exp(-a y^(m+1))`, `y = (theta - theta_0)/duration`.
//! Source: Heywood 1988 eq. 9.25 (from memory); a = 5 and m = 2 are usual.
//! Used for fixed burns in checks and first looks; not a prediction.

use shortblock_lanes::Lane;

/// Usual efficiency parameter.
pub const A: f64 = 5.0;
/// Usual form factor.
pub const M: f64 = 2.0;

/// Returns the mass fraction burned, 0 to 1, `y` durations after the start.
#[inline(always)]
pub fn burned<V: Lane>(y: V, a: V, m: V) -> V {
    let (zero, one) = (V::splat(0.0), V::splat(1.0));
    let power = ((m + one) * y.max(V::splat(f64::MIN_POSITIVE)).ln()).exp();
    V::select_lt(zero, y, one - (-(a * power)).exp(), zero)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: with a = 5, exp(-5) is left at the end (0.674 %).
    #[test]
    fn starts_at_nothing_and_leaves_exp_minus_a() {
        assert_eq!(burned(-0.1, A, M), 0.0);
        assert!((burned(1.0, A, M) - 0.993_262_053).abs() < 1e-9);
        assert!((burned(0.5, A, M) - 0.464_738_6).abs() < 1e-6);
    }
}
