//! Vapour pressure over a liquid fuel.
//!
//! Equation: `ln(p/p0) = L M/R (1/Tb - 1/T)` with the molar latent heat at 298.15 K and the boiling
//! point `Tb` at `p0`, one atmosphere; a blend adds up its parts by their shares of the molecules.
//! Source: own, from Clausius and Clapeyron with constant latent heat and Raoult's law.
//! Petrol counts as one liquid that boils where half of it is distilled over: right for the second
//! half to evaporate, too low for the light ends before it.
//! Range: 250 to 400 K within 20 % of measured vapour pressures, 4 K of temperature. Alcohols in petrol
//! press more than Raoult says, so that less evaporates here than does.

use crate::constants::{P_STANDARD, R_UNIVERSAL};
use crate::fuel::{Fuel, boiling_of};

/// Temperatures through which [`law`] passes, K.
const LAW_T: (f64, f64) = (270.0, 350.0);

/// Returns the vapour pressure over liquid `fuel` at `temperature` (K, above 0), Pa. A component that
/// is not in the shipped table presses nothing.
pub fn vapour_pressure(fuel: &Fuel, temperature: f64) -> f64 {
    let of = |(name, share): &(String, f64)| {
        boiling_of(name).map_or(0.0, |(latent, boiling)| {
            share * (latent / R_UNIVERSAL * (1.0 / boiling - 1.0 / temperature)).exp()
        })
    };
    P_STANDARD * fuel.components.iter().map(of).sum::<f64>()
}

/// Returns `(a, b)` of `ln(p/Pa) = a - b/T` through the vapour pressure at 270 and 350 K: exact for a
/// pure fuel. A fuel without a known component gets a pressure above all others, so that nothing is
/// held back by it.
pub fn law(fuel: &Fuel) -> (f64, f64) {
    let at = |t| vapour_pressure(fuel, t).ln();
    let (low, high) = (at(LAW_T.0), at(LAW_T.1));
    if !low.is_finite() {
        return (50.0, 0.0);
    }
    let b = (high - low) / (1.0 / LAW_T.0 - 1.0 / LAW_T.1);
    (low + b / LAW_T.0, b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fuel;

    /// Pa at 273.15, 298.15 and 350 K. Sources: Antoine constants of Poling, Prausnitz & O'Connell
    /// 2001, appendix A; nitromethane and mtbe Perry 8th ed., table 2-8; both as collected by the PyPI
    /// package chemicals 1.5.2.
    const MEASURED: [(&str, [f64; 3]); 8] = [
        ("isooctane", [1733.1, 6582.7, 51_292.6]),
        ("n-heptane", [1515.2, 6097.9, 51_368.3]),
        ("toluene", [891.1, 3789.0, 34_833.7]),
        ("methanol", [4030.5, 16_940.7, 161_454.1]),
        ("ethanol", [1581.5, 7876.4, 95_797.1]),
        ("nitromethane", [1143.2, 4807.5, 45_179.1]),
        ("mtbe", [10_538.7, 33_321.3, 197_347.3]),
        ("acetone", [9326.9, 30_779.2, 196_163.7]),
    ];

    #[test]
    fn pure_fuels_press_as_measured() {
        for (name, measured) in MEASURED {
            let fuel = fuel::find(name).unwrap();
            for (t, p) in [273.15, 298.15, 350.0].into_iter().zip(measured) {
                let error = vapour_pressure(&fuel, t) / p - 1.0;
                assert!(error.abs() < 0.20, "{name} at {t} K: {error:+.3}");
            }
        }
    }

    #[test]
    fn the_law_is_that_of_a_pure_fuel_and_near_that_of_a_blend() {
        for (name, within) in [("nitromethane", 1e-9), ("e85_nominal", 0.02), ("e10", 0.02)] {
            let fuel = fuel::find(name).unwrap();
            let (a, b) = law(&fuel);
            for t in [255.0, 300.0, 390.0] {
                let error = (a - b / t).exp() / vapour_pressure(&fuel, t) - 1.0;
                assert!(error.abs() < within, "{name} at {t} K: {error:+.4}");
            }
        }
    }

    #[test]
    fn a_fuel_that_nobody_knows_holds_nothing_back() {
        let mut fuel = fuel::find("ethanol").unwrap();
        fuel.components = vec![("secret".to_owned(), 1.0)];
        let (a, b) = law(&fuel);
        assert!((a - b / 250.0).exp() > 1e9);
    }
}
