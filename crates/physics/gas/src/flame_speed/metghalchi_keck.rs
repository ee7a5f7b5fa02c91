//! Laminar flame speed of Metghalchi & Keck.
//!
//! Equation: `S = (BM + B2 (phi - phiM)^2) (Tu/298 K)^alpha (p/1 atm)^beta`,
//! `alpha = 2.18 - 0.8 (phi - 1)`, `beta = -0.16 + 0.22 (phi - 1)`, S in m/s.
//! The source's factor for diluent, 1 - 2.1 Y, is left to [`super::rhodes_keck::residual_factor`].
//! Source: Metghalchi & Keck 1982, Combustion and Flame 48:191-210. Form, fuels and ranges confirmed
//! in the abstract; the numbers from memory.
//! Range (source): phi 0.8 to 1.5, p 0.4 to 50 atm, Tu 298 to 700 K; fit within 10 %.

use super::{FlameSpeed, PowerLaw, Range};
use crate::constants::P_STANDARD;

/// Reference temperature, K.
const T0: f64 = 298.0;
/// Temperature exponent at phi = 1 and its slope over phi.
const ALPHA: (f64, f64) = (2.18, -0.8);
/// Pressure exponent at phi = 1 and its slope over phi.
const BETA: (f64, f64) = (-0.16, 0.22);
/// Range of the source.
const RANGE: Range =
    Range { phi: (0.8, 1.5), t: (298.0, 700.0), p: (0.4 * P_STANDARD, 50.0 * P_STANDARD) };

/// Fuels of the source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Constants {
    /// Methanol.
    Methanol,
    /// Iso-octane.
    Isooctane,
    /// A reference petrol of the 1980s.
    ReferencePetrol,
}

impl Constants {
    /// phiM, BM (m/s), B2 (m/s).
    fn values(self) -> (f64, f64, f64) {
        match self {
            Constants::Methanol => (1.11, 0.3692, -1.4051),
            Constants::Isooctane => (1.13, 0.2632, -0.8472),
            Constants::ReferencePetrol => (1.13, 0.2758, -0.7834),
        }
    }
}

/// Returns the flame speed without diluent at `phi`, over temperature and pressure.
pub fn law(fuel: Constants, phi: f64) -> PowerLaw {
    let (phi_m, b_m, b_2) = fuel.values();
    let alpha = ALPHA.0 + ALPHA.1 * (phi - 1.0);
    let beta = BETA.0 + BETA.1 * (phi - 1.0);
    let reference = b_m + b_2 * (phi - phi_m).powi(2);
    PowerLaw::new(reference, (T0, alpha), (P_STANDARD, beta), RANGE, phi)
}

/// Returns the flame speed without diluent at `phi`, unburned temperature `t` (K), pressure `p` (Pa).
pub fn speed(fuel: Constants, phi: f64, t: f64, p: f64) -> FlameSpeed {
    law(fuel, phi).speed(t, p)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fastest_mixture_is_slightly_rich() {
        let s = |phi| speed(Constants::Isooctane, phi, 298.0, P_STANDARD).value;
        assert!(s(1.13) > s(1.0) && s(1.13) > s(1.3));
    }

    #[test]
    fn range_is_that_of_the_source() {
        assert!(speed(Constants::Isooctane, 1.0, 600.0, 1e6).in_range);
        assert!(!speed(Constants::Isooctane, 1.0, 750.0, 1e6).in_range);
        assert!(!speed(Constants::Isooctane, f64::NAN, 600.0, 1e6).in_range);
    }
}
