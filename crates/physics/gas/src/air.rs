//! Humid air: composition, molar mass, density.
//!
//! Dry air is that of the U.S. Standard Atmosphere 1976 (its four main gases, renormalised).
//! Water vapour follows [`crate::saturation`] times the enhancement factor of moist air,
//! `f = 1.0007 + 3.46e-6 p_hPa` (Buck 1981, J. Appl. Meteorol. 20:1527, from memory), and the gas
//! is ideal: density within 0.08 % of the real gas over -10 to 45 C and 80 to 101 kPa.

use crate::constants::R_UNIVERSAL;
use crate::error::{GasError, in_range};
use crate::saturation::saturation_pressure;
use crate::species::{AR, CO2, H2O, MOLAR_MASS, N2, O2};

/// Mole fractions of N2, O2, Ar, CO2 in dry air before renormalising. Source: USSA 1976, table 3.
const DRY: [f64; 4] = [0.780_84, 0.209_476, 0.009_34, 0.000_314];
/// Enhancement factor at zero pressure, dimensionless. Source: Buck 1981.
const ENHANCEMENT: f64 = 1.0007;
/// Rise of the enhancement factor with pressure, 1/Pa. Source: Buck 1981.
const ENHANCEMENT_PER_PA: f64 = 3.46e-8;
/// Pressures accepted, Pa (ours).
pub const P_RANGE: (f64, f64) = (1.0e4, 1.0e6);
/// Temperatures accepted, K (ours).
pub const T_RANGE: (f64, f64) = (233.15, 343.15);

/// Air with or without water vapour: mole fractions and molar mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HumidAir {
    /// Mole fraction of nitrogen.
    pub n2: f64,
    /// Mole fraction of oxygen.
    pub o2: f64,
    /// Mole fraction of argon.
    pub ar: f64,
    /// Mole fraction of carbon dioxide.
    pub co2: f64,
    /// Mole fraction of water vapour.
    pub h2o: f64,
    /// Molar mass, kg/mol.
    pub molar_mass: f64,
}

impl HumidAir {
    /// Returns dry air.
    pub fn dry() -> HumidAir {
        Self::with_water(0.0)
    }

    /// Returns air at `pressure` (Pa, absolute), `temperature` (K) and `relative_humidity` (0 to 1,
    /// over liquid water at every temperature).
    ///
    /// # Errors
    /// [`GasError::OutOfRange`] outside [`P_RANGE`], [`T_RANGE`], or when the vapour pressure would
    /// exceed half the pressure.
    pub fn new(
        pressure: f64,
        temperature: f64,
        relative_humidity: f64,
    ) -> Result<HumidAir, GasError> {
        let pv = vapour_pressure(pressure, temperature, relative_humidity)?;
        Ok(Self::with_water(in_range(
            "share of water vapour in the air",
            pv / pressure,
            0.0,
            0.5,
            "",
        )?))
    }

    /// Returns air whose mole fraction of water is `h2o`.
    fn with_water(h2o: f64) -> HumidAir {
        let dry = (1.0 - h2o) / DRY.iter().sum::<f64>();
        let [n2, o2, ar, co2] = DRY.map(|x| x * dry);
        let molar_mass = n2 * MOLAR_MASS[N2]
            + o2 * MOLAR_MASS[O2]
            + ar * MOLAR_MASS[AR]
            + co2 * MOLAR_MASS[CO2]
            + h2o * MOLAR_MASS[H2O];
        HumidAir { n2, o2, ar, co2, h2o, molar_mass }
    }

    /// Returns the mass of water per mass of humid air, kg/kg.
    pub fn water_mass_fraction(&self) -> f64 {
        self.h2o * MOLAR_MASS[H2O] / self.molar_mass
    }

    /// Returns the mass of water per mass of dry air, kg/kg.
    pub fn humidity_ratio(&self) -> f64 {
        let water = self.water_mass_fraction();
        water / (1.0 - water)
    }

    /// Returns the specific gas constant, J/(kg K).
    pub fn r(&self) -> f64 {
        R_UNIVERSAL / self.molar_mass
    }

    /// Returns the density at `pressure` (Pa) and `temperature` (K), kg/m3, as an ideal gas.
    pub fn density(&self, pressure: f64, temperature: f64) -> f64 {
        pressure / (self.r() * temperature)
    }
}

/// Returns the partial pressure of water vapour in air, Pa.
///
/// # Errors
/// As [`HumidAir::new`].
pub fn vapour_pressure(
    pressure: f64,
    temperature: f64,
    relative_humidity: f64,
) -> Result<f64, GasError> {
    let p = in_range("air pressure", pressure, P_RANGE.0, P_RANGE.1, "Pa")?;
    let t = in_range("air temperature", temperature, T_RANGE.0, T_RANGE.1, "K")?;
    let rh = in_range("relative humidity", relative_humidity, 0.0, 1.0, "")?;
    Ok(rh * (ENHANCEMENT + ENHANCEMENT_PER_PA * p) * saturation_pressure(t)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// U.S. Standard Atmosphere 1976: 1.2250 kg/m3 at 101325 Pa, 288.15 K.
    #[test]
    fn sea_level_density_is_that_of_the_standard_atmosphere() {
        assert!((HumidAir::dry().density(101_325.0, 288.15) - 1.2250).abs() < 5e-5);
    }

    #[test]
    fn mole_fractions_add_up_to_one() {
        let a = HumidAir::new(99_000.0, 303.15, 0.7).unwrap();
        assert!((a.n2 + a.o2 + a.ar + a.co2 + a.h2o - 1.0).abs() < 1e-15);
    }

    #[test]
    fn impossible_air_is_refused() {
        for (p, t, rh) in
            [(0.0, 300.0, 0.5), (1e5, 20.0, 0.5), (1e5, 300.0, 1.2), (f64::NAN, 300.0, 0.5)]
        {
            assert!(matches!(HumidAir::new(p, t, rh), Err(GasError::OutOfRange { .. })));
        }
    }
}
