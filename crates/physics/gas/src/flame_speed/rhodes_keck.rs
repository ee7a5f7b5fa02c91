//! Laminar flame speed of petrol and the effect of residual gas, Rhodes & Keck.
//!
//! Equation: `S = (BM + B2 (phi - 1.21)^2) (Tu/298 K)^alpha (p/1 atm)^beta`,
//! `alpha = 2.4 - 0.271 phi^3.51`, `beta = -0.357 + 0.14 phi^2.77`, S in m/s;
//! residual: factor `1 - 2.06 x^0.77`, x the mole fraction of burned gas.
//! Source: Rhodes & Keck 1985, SAE 850047, as in Heywood 1988, table 9.3 and eq. 9.33 to 9.35 (from
//! memory).
//! Range (ours, after the experiments' kind): phi 0.7 to 1.6, Tu 298 to 700 K, p 0.4 to 50 atm, x 0 to
//! 0.3.

use super::{FlameSpeed, PowerLaw, Range};
use crate::constants::P_STANDARD;

/// Reference temperature, K.
const T0: f64 = 298.0;
/// Equivalence ratio of the fastest mixture.
const PHI_M: f64 = 1.21;
/// Flame speed of the fastest mixture at the reference state, m/s.
const B_M: f64 = 0.305;
/// Curvature over the equivalence ratio, m/s.
const B_2: f64 = -0.549;
/// Temperature exponent: constant, factor and exponent of phi.
const ALPHA: (f64, f64, f64) = (2.4, -0.271, 3.51);
/// Pressure exponent: constant, factor and exponent of phi.
const BETA: (f64, f64, f64) = (-0.357, 0.14, 2.77);
/// Residual factor: slope and exponent.
const RESIDUAL: (f64, f64) = (2.06, 0.77);
/// Least residual factor, so that a flame never stands still or runs backwards (ours).
const FACTOR_MIN: f64 = 0.05;
/// Greatest mole fraction of residual.
const RESIDUAL_MAX: f64 = 0.3;
/// Range of the relation.
const RANGE: Range =
    Range { phi: (0.7, 1.6), t: (298.0, 700.0), p: (0.4 * P_STANDARD, 50.0 * P_STANDARD) };

/// Returns petrol's flame speed without residual at `phi`, over temperature and pressure.
pub fn law(phi: f64) -> PowerLaw {
    let alpha = ALPHA.0 + ALPHA.1 * phi.powf(ALPHA.2);
    let beta = BETA.0 + BETA.1 * phi.powf(BETA.2);
    let reference = B_M + B_2 * (phi - PHI_M).powi(2);
    PowerLaw::new(reference, (T0, alpha), (P_STANDARD, beta), RANGE, phi)
}

/// Returns petrol's flame speed without residual at `phi`, unburned temperature `t` (K), `p` (Pa).
pub fn speed(phi: f64, t: f64, p: f64) -> FlameSpeed {
    law(phi).speed(t, p)
}

/// Returns the factor on the flame speed from the mole fraction `x` of residual gas, and whether `x` is
/// within 0 to 0.3; beyond, the factor stops at its least value.
pub fn residual_factor(x: f64) -> FlameSpeed {
    let factor = (1.0 - RESIDUAL.0 * x.max(0.0).powf(RESIDUAL.1)).max(FACTOR_MIN);
    FlameSpeed::new(factor, (0.0..=RESIDUAL_MAX).contains(&x))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn residual_slows_the_flame() {
        assert_eq!(residual_factor(0.0).value, 1.0);
        assert!((residual_factor(0.1).value - 0.650).abs() < 1e-3);
        let far = residual_factor(0.9);
        assert!(far.value > 0.0 && !far.in_range);
    }
}
