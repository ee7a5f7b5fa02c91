//! The standard atmosphere: pressure at an elevation, and the elevation of a pressure or a density.
//!
//! `p = P0 (1 - L h / T0)^E`, `rho = rho0 (1 - L h / T0)^(E - 1)`, the troposphere of ISO 2533:1975
//! (constants from memory; the exponent is g/(R L)). Range: -500 m to 11 km, [`ELEVATIONS`]; h is
//! geopotential, 0.3 m less than the surveyed elevation at 1500 m.

use std::ops::RangeInclusive;

/// Pressure at sea level, Pa. ISO 2533.
const SEA_LEVEL_PRESSURE: f64 = 101_325.0;
/// Temperature at sea level, K. ISO 2533.
const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
/// Fall of temperature with height, K/m. ISO 2533.
const LAPSE: f64 = 0.0065;
/// Gas constant of air, J/(kg K). ISO 2533.
const R_AIR: f64 = 287.052_87;
/// Gravity over gas constant and lapse: 5.25588. ISO 2533.
const EXPONENT: f64 = 9.806_65 / (R_AIR * LAPSE);

/// Elevations that the formula is used for, m.
pub const ELEVATIONS: RangeInclusive<f64> = -500.0..=11_000.0;

/// Pressure at an elevation in m, Pa; `None` outside [`ELEVATIONS`].
#[must_use]
pub fn pressure_at(elevation: f64) -> Option<f64> {
    let ratio = 1.0 - LAPSE * elevation / SEA_LEVEL_TEMPERATURE;
    ELEVATIONS.contains(&elevation).then(|| SEA_LEVEL_PRESSURE * ratio.powf(EXPONENT))
}

/// Elevation, m, at which the pressure is `pressure` (Pa); outside [`ELEVATIONS`] the same formula.
#[must_use]
pub fn elevation_of_pressure(pressure: f64) -> f64 {
    elevation_of_ratio((pressure / SEA_LEVEL_PRESSURE).powf(1.0 / EXPONENT))
}

/// Elevation, m, at which the density is `density` (kg/m³); outside [`ELEVATIONS`] the same formula.
#[must_use]
pub fn elevation_of_density(density: f64) -> f64 {
    let at_sea_level = SEA_LEVEL_PRESSURE / (R_AIR * SEA_LEVEL_TEMPERATURE);
    elevation_of_ratio((density / at_sea_level).powf(1.0 / (EXPONENT - 1.0)))
}

/// Elevation, m, at which the temperature is `ratio` of that at sea level.
fn elevation_of_ratio(ratio: f64) -> f64 {
    SEA_LEVEL_TEMPERATURE / LAPSE * (1.0 - ratio)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// U.S. Standard Atmosphere 1976, table I, geopotential height (the same up to 11 km as
    /// ISO 2533; from memory): 1000 m 898.74 hPa, 3000 m 701.08 hPa, 11 km 226.32 hPa.
    #[test]
    fn pressure_falls_as_in_the_standard_atmosphere() {
        for (elevation, hectopascal) in [(1000.0, 898.74), (3000.0, 701.08), (11_000.0, 226.32)] {
            let found = pressure_at(elevation).unwrap() / 100.0;
            assert!((found - hectopascal).abs() < 0.05, "{elevation} m: {found}");
        }
        assert_eq!(pressure_at(12_000.0), None);
        assert_eq!(pressure_at(f64::NAN), None);
    }

    #[test]
    fn elevations_read_back() {
        for elevation in [-400.0, 0.0, 1500.0, 10_000.0] {
            let pressure = pressure_at(elevation).unwrap();
            assert!((elevation_of_pressure(pressure) - elevation).abs() < 1e-8);
        }
        // U.S. Standard Atmosphere 1976 (from memory): 1.1117 kg/m3 at 1000 m.
        assert!((elevation_of_density(1.1117) - 1000.0).abs() < 0.7);
    }
}
