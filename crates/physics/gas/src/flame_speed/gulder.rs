//! Laminar flame speed of Gulder, for iso-octane, methanol and ethanol.
//!
//! Equation: `S = W phi^eta exp(-xi (phi - 1.075)^2) (Tu/300 K)^alpha (p/101.3 kPa)^beta`, S and W in
//! m/s; beta of the alcohols falls with 1/sqrt(phi). The source's factor 1 - 2.3 Y for diluent is
//! left to [`super::rhodes_keck::residual_factor`].
//! Source: Gulder 1984, SAE 841000. Form and iso-octane constants confirmed in public source files of
//! a general CFD library; alcohol constants from memory.
//! Range (from memory): phi 0.7 to 1.4, Tu 300 to 700 K (ours from 298 K), p 1 to 8 bar.

use super::{FlameSpeed, PowerLaw, Range};

/// Reference temperature, K.
const T0: f64 = 300.0;
/// Reference pressure, Pa.
const P0: f64 = 1.013e5;
/// Centre of the bell over the equivalence ratio.
const PHI_CENTRE: f64 = 1.075;
/// Range of the relation.
const RANGE: Range = Range { phi: (0.7, 1.4), t: (298.0, 700.0), p: (1.0e5, 8.0e5) };

/// Fuels of the source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Constants {
    /// Iso-octane.
    Isooctane,
    /// Methanol.
    Methanol,
    /// Ethanol.
    Ethanol,
}

impl Constants {
    /// W (m/s), eta, xi, alpha.
    fn values(self) -> (f64, f64, f64, f64) {
        match self {
            Constants::Isooctane => (0.4658, -0.326, 4.48, 1.56),
            Constants::Methanol => (0.492, 0.25, 5.11, 1.75),
            Constants::Ethanol => (0.465, 0.25, 6.34, 1.75),
        }
    }

    /// Pressure exponent at `phi`.
    fn beta(self, phi: f64) -> f64 {
        match self {
            Constants::Isooctane => -0.22,
            Constants::Methanol => -0.2 / phi.sqrt(),
            Constants::Ethanol => -0.17 / phi.sqrt(),
        }
    }
}

/// Returns the flame speed without diluent at `phi`, over temperature and pressure.
pub fn law(fuel: Constants, phi: f64) -> PowerLaw {
    let (w, eta, xi, alpha) = fuel.values();
    let reference = w * phi.powf(eta) * (-xi * (phi - PHI_CENTRE).powi(2)).exp();
    PowerLaw::new(reference, (T0, alpha), (P0, fuel.beta(phi)), RANGE, phi)
}

/// Returns the flame speed without diluent at `phi`, unburned temperature `t` (K), pressure `p` (Pa).
pub fn speed(fuel: Constants, phi: f64, t: f64, p: f64) -> FlameSpeed {
    law(fuel, phi).speed(t, p)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressure_slows_and_heat_speeds_the_flame() {
        let s = |t, p| speed(Constants::Ethanol, 1.0, t, p).value;
        assert!(s(500.0, 2e5) < s(500.0, 1e5) && s(600.0, 1e5) > s(500.0, 1e5));
    }
}
