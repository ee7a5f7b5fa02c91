//! NASA 7-coefficient polynomials.
//!
//! `cp/R = a0 + a1 T + a2 T^2 + a3 T^3 + a4 T^4`,
//! `h/R = a5 + a0 T + a1 T^2/2 + ... + a4 T^5/5`,
//! `s/R = a6 + a0 ln T + a1 T + a2 T^2/2 + a3 T^3/3 + a4 T^4/4`.
//! Source: McBride, Gordon & Reno 1993, NASA TM-4513. Range 200 to 6000 K, break at 1000 K.

/// Temperature at which the two ranges meet, K.
pub const T_BREAK: f64 = 1000.0;

/// One third: a multiplication where a division would cost as much as the rest.
const THIRD: f64 = 1.0 / 3.0;

/// Two ranges of coefficients, per mole (or, summed over a mixture, per kilogram).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nasa7 {
    /// Coefficients below [`T_BREAK`].
    pub low: [f64; 7],
    /// Coefficients from [`T_BREAK`] up.
    pub high: [f64; 7],
}

impl Nasa7 {
    /// All coefficients zero: the start of a sum.
    pub const ZERO: Nasa7 = Nasa7 { low: [0.0; 7], high: [0.0; 7] };

    #[inline(always)]
    fn range(&self, t: f64) -> &[f64; 7] {
        if t < T_BREAK { &self.low } else { &self.high }
    }

    /// Returns cp/R at temperature `t` (K), dimensionless.
    #[inline(always)]
    pub fn cp(&self, t: f64) -> f64 {
        let a = self.range(t);
        a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * a[4])))
    }

    /// Returns h/R at temperature `t` (K), in K; formation enthalpy included.
    #[inline(always)]
    pub fn h(&self, t: f64) -> f64 {
        let a = self.range(t);
        a[5] + t
            * (a[0] + t * (a[1] * 0.5 + t * (a[2] * THIRD + t * (a[3] * 0.25 + t * (a[4] * 0.2)))))
    }

    /// Returns s/R at temperature `t` (K) and standard pressure, dimensionless.
    #[inline(always)]
    pub fn s(&self, t: f64) -> f64 {
        self.s_with_ln(t, t.ln())
    }

    /// Returns s/R as [`Nasa7::s`] does, with `ln_t` = ln(t / K) already known.
    #[inline(always)]
    pub fn s_with_ln(&self, t: f64, ln_t: f64) -> f64 {
        let a = self.range(t);
        a[6] + a[0] * ln_t + t * (a[1] + t * (a[2] * 0.5 + t * (a[3] * THIRD + t * (a[4] * 0.25))))
    }

    /// Adds `weight` times `other` to every coefficient.
    pub fn add(&mut self, weight: f64, other: &Nasa7) {
        for i in 0..7 {
            self.low[i] += weight * other.low[i];
            self.high[i] += weight * other.high[i];
        }
    }

    /// Returns the coefficients times `factor`.
    pub fn scaled(&self, factor: f64) -> Nasa7 {
        let mut out = Nasa7::ZERO;
        out.add(factor, self);
        out
    }
}
