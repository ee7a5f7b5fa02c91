//! Chen and Flynn: friction from peak pressure and piston speed.
//!
//! `fmep = A + B p_max + C Sp`, bar, m/s, with A 0.137, B 0.005, C 0.162.
//! Source: Chen & Flynn 1965, SAE 650733 (from memory): one single-cylinder diesel, so far too high
//! for most petrol engines; A and C are meant to be fitted to the engine in hand.

/// Constants of the form, bar and m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Constant part, bar.
    pub a: f64,
    /// Per bar of peak pressure.
    pub b: f64,
    /// Per m/s of mean piston speed, bar s/m.
    pub c: f64,
}

/// As published for the diesel.
pub const PUBLISHED: Fit = Fit { a: 0.137, b: 0.005, c: 0.162 };

/// Returns the friction mean effective pressure, Pa, from peak pressure (Pa) and mean piston speed
/// (m/s).
pub fn fmep(fit: Fit, peak_pressure: f64, mean_piston_speed: f64) -> f64 {
    1e5 * (fit.a + fit.b * peak_pressure * 1e-5 + fit.c * mean_piston_speed)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sampled value: 70 bar, 8.6 m/s, 188.02 kPa.
    #[test]
    fn gives_the_sampled_value() {
        assert!((fmep(PUBLISHED, 70e5, 8.6) - 188.02e3).abs() < 5.0);
    }
}
