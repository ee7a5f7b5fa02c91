//! Pressure of the standard atmosphere at an elevation.
//!
//! `p = P0 (1 - L h / T0)^E`, the troposphere of ISO 2533:1975 (constants from memory; the exponent
//! is g/(R L)). Range: -500 m to 11 km, [`ELEVATIONS`].

use std::ops::RangeInclusive;

/// Pressure at sea level, Pa. ISO 2533.
const SEA_LEVEL_PRESSURE: f64 = 101_325.0;
/// Temperature at sea level, K. ISO 2533.
const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
/// Fall of temperature with height, K/m. ISO 2533.
const LAPSE: f64 = 0.0065;
/// Gravity over gas constant and lapse. ISO 2533.
const EXPONENT: f64 = 5.255_88;

/// Elevations that the formula is used for, m.
pub const ELEVATIONS: RangeInclusive<f64> = -500.0..=11_000.0;

/// Pressure at an elevation in m, Pa; `None` outside [`ELEVATIONS`].
#[must_use]
pub fn pressure_at(elevation: f64) -> Option<f64> {
    let ratio = 1.0 - LAPSE * elevation / SEA_LEVEL_TEMPERATURE;
    ELEVATIONS.contains(&elevation).then(|| SEA_LEVEL_PRESSURE * ratio.powf(EXPONENT))
}

#[cfg(test)]
mod tests {
    use super::pressure_at;

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
}
