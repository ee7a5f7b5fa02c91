//! The barometer trap: a weather report or a telephone gives the pressure reduced to sea level.
//!
//! Used as station pressure it makes the factor 4 % too low at 300 m and 20 % at 1600 m. The
//! elevation of the shop, asked once, tells the two apart: the standard atmosphere says what a
//! barometer there should read, within 4 kPa. Rule and limits are ours.

use crate::error::{KILOPASCAL, WeatherError, within};
use crate::psychrometer::PRESSURES;
use shortblock_gas::atmosphere::{self, ELEVATIONS};
use std::fmt;

/// Farther from the standard atmosphere no weather takes a barometer, Pa.
const WEATHER: f64 = 4_000.0;
/// Up to here the two readings are too near each other to be told apart, m.
const LOW_GROUND: f64 = 150.0;
/// No weather but a deep storm brings the pressure at sea level below this, Pa.
const LEAST_AT_SEA_LEVEL: f64 = 96_000.0;

/// What a barometer reading looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BarometerSays {
    /// As the station's own pressure should be.
    Station,
    /// Nearer to sea level than to this elevation: to be asked about.
    LooksReducedToSeaLevel {
        /// What the station pressure is if so, Pa.
        station: f64,
    },
    /// Neither: unit, number or elevation is wrong.
    Neither,
    /// The elevation is not known, and the number could be either.
    CannotTell,
}

/// A reading held against its elevation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Barometer {
    /// The reading, Pa.
    pub reading: f64,
    /// What the standard atmosphere has there, Pa, where the elevation is known.
    pub expected: Option<f64>,
    /// What it looks like.
    pub says: BarometerSays,
}

/// Holds a reading (Pa) against the elevation (m) of the dyno, or against what is plausible.
///
/// # Errors
/// [`WeatherError::OutOfRange`] outside 50 to 115 kPa and -500 m to 11 km.
pub fn barometer(reading: f64, elevation: Option<f64>) -> Result<Barometer, WeatherError> {
    let remedy = "check the number and its unit";
    within("barometer", reading, PRESSURES, KILOPASCAL, remedy)?;
    let Some(elevation) = elevation else {
        let low = reading < LEAST_AT_SEA_LEVEL;
        let says = if low { BarometerSays::Station } else { BarometerSays::CannotTell };
        return Ok(Barometer { reading, expected: None, says });
    };
    let expected = expected_pressure(elevation)?;
    let sea_level = expected_pressure(0.0)?;
    let nearer_to_sea = (reading - sea_level).abs() < (reading - expected).abs();
    let says = if nearer_to_sea && elevation > LOW_GROUND && (reading - sea_level).abs() <= WEATHER
    {
        let station = station_from_sea_level(reading, elevation)?;
        BarometerSays::LooksReducedToSeaLevel { station }
    } else if (reading - expected).abs() <= WEATHER {
        BarometerSays::Station
    } else {
        BarometerSays::Neither
    };
    Ok(Barometer { reading, expected: Some(expected), says })
}

/// Station pressure, Pa, from one reduced to sea level (Pa) at an elevation (m).
///
/// # Errors
/// [`WeatherError::OutOfRange`] outside -500 m to 11 km.
pub fn station_from_sea_level(sea_level: f64, elevation: f64) -> Result<f64, WeatherError> {
    Ok(sea_level * (expected_pressure(elevation)? / expected_pressure(0.0)?))
}

fn expected_pressure(elevation: f64) -> Result<f64, WeatherError> {
    atmosphere::pressure_at(elevation).ok_or(WeatherError::OutOfRange {
        what: "elevation",
        value: elevation,
        low: *ELEVATIONS.start(),
        high: *ELEVATIONS.end(),
        unit: "m",
        remedy: "give the elevation of the dyno above sea level",
    })
}

impl fmt::Display for Barometer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kpa = |pascal: f64| format!("{:.1} kPa", pascal / 1e3);
        let reading = kpa(self.reading);
        let here = self.expected.map(kpa).unwrap_or_default();
        match self.says {
            BarometerSays::Station => match self.expected {
                Some(_) => write!(f, "{reading} fits this elevation ({here} in standard air)"),
                None => write!(f, "{reading} is too low to be reduced to sea level"),
            },
            BarometerSays::LooksReducedToSeaLevel { station } => write!(
                f,
                "{reading} is a pressure of sea level; at this elevation {here} is usual. Station \
                 or reduced to sea level? If reduced, the station pressure is {}, and power would \
                 be corrected {:.1} % too low",
                kpa(station),
                (1.0 - station / self.reading) * 100.0
            ),
            BarometerSays::Neither => write!(
                f,
                "{reading} fits neither this elevation ({here} in standard air) nor sea level; \
                 check number, unit and elevation"
            ),
            BarometerSays::CannotTell => write!(
                f,
                "{reading} can be the station's or reduced to sea level; give the elevation of the \
                 dyno once (each 100 m between them is 1.2 % of power)"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_used_at_elevation_is_asked_about() {
        for elevation in [300.0, 500.0, 1600.0] {
            let Barometer { says, .. } = barometer(101_325.0, Some(elevation)).unwrap();
            let BarometerSays::LooksReducedToSeaLevel { station } = says else {
                unreachable!("{elevation} m: {says:?}")
            };
            let right = barometer(station, Some(elevation)).unwrap();
            assert_eq!(right.says, BarometerSays::Station);
        }
    }

    #[test]
    fn high_and_low_days_are_not_asked_about_at_the_station() {
        for (elevation, weather) in [(500.0, -3e3), (500.0, 2e3), (1600.0, 3e3), (50.0, 3e3)] {
            let reading = atmosphere::pressure_at(elevation).unwrap() + weather;
            assert_eq!(barometer(reading, Some(elevation)).unwrap().says, BarometerSays::Station);
        }
    }

    #[test]
    fn without_elevation_only_low_readings_speak() {
        let says = |reading| barometer(reading, None).unwrap().says;
        assert_eq!(says(84e3), BarometerSays::Station);
        assert_eq!(says(101e3), BarometerSays::CannotTell);
        assert_eq!(barometer(90e3, Some(100.0)).unwrap().says, BarometerSays::Neither);
        assert!(barometer(f64::NAN, None).is_err() && barometer(1e5, Some(f64::NAN)).is_err());
    }

    #[test]
    fn the_question_says_what_is_at_stake() {
        let said = barometer(101_325.0, Some(500.0)).unwrap().to_string();
        let wanted = "101.3 kPa is a pressure of sea level; at this elevation 95.5 kPa is usual. \
                      Station or reduced to sea level? If reduced, the station pressure is 95.5 kPa, \
                      and power would be corrected 5.8 % too low";
        assert_eq!(said, wanted);
    }
}
