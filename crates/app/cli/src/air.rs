//! `--at`: the air to predict in, as a person says it.
//!
//! Pressure at an elevation: `p = P0 (1 - L h / T0)^E` of the standard atmosphere (ISO 2533:1975,
//! troposphere; constants from memory, the exponent is g/(R L)). Range: -500 m to 11 km.

use crate::failure::Failure;
use shortblock_engine::Build;
use shortblock_plan::Conditions;
use shortblock_units::{Quantity, parse};

/// Pressure at sea level, Pa. ISO 2533.
const SEA_LEVEL_PRESSURE: f64 = 101_325.0;
/// Temperature at sea level, K. ISO 2533.
const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
/// Fall of temperature with height, K/m. ISO 2533.
const LAPSE: f64 = 0.0065;
/// Gravity over gas constant and lapse. ISO 2533.
const EXPONENT: f64 = 5.255_88;
/// Lowest and highest elevation, m.
const ELEVATIONS: (f64, f64) = (-500.0, 11_000.0);

const HINT: &str = "hint: an elevation or a pressure, a temperature, a humidity, parted by commas: \
                    \"1500 m, 15 degC\" or \"98.2 kPa, 28 degC, 60 %\"";

/// The air that `text` says; what it leaves out stays as the build has it.
pub fn conditions(text: &str, build: &Build) -> Result<Conditions, Failure> {
    let state = &build.state;
    let mut air = Conditions {
        temperature: state.air_temperature.si,
        pressure: state.air_pressure.si,
        humidity: state.humidity.si,
    };
    let mut said: Vec<&str> = Vec::new();
    for part in text.split(',').map(str::trim) {
        let word = take(part, &mut air)
            .map_err(|what| Failure::NotUnderstood(format!("--at \"{text}\": {what}\n{HINT}")))?;
        if said.contains(&word) {
            let what = format!("--at \"{text}\": {word} is said twice");
            return Err(Failure::NotUnderstood(format!("{what}\n{HINT}")));
        }
        said.push(word);
    }
    Ok(air)
}

/// Takes one part over; says which kind it was, or what is wrong with it.
fn take(part: &str, air: &mut Conditions) -> Result<&'static str, String> {
    if let Ok(elevation) = parse(part, Quantity::Length) {
        air.pressure = pressure_at(elevation.si)
            .ok_or(format!("{part} is not between {} m and {} m", ELEVATIONS.0, ELEVATIONS.1))?;
        return Ok("pressure or elevation");
    }
    if let Ok(pressure) = parse(part, Quantity::AbsolutePressure) {
        air.pressure = pressure.si;
        return Ok("pressure or elevation");
    }
    if let Ok(humidity) = parse(part, Quantity::Fraction) {
        air.humidity = humidity.si;
        return Ok("humidity");
    }
    let temperature = parse(part, Quantity::Temperature).map_err(|error| error.what())?;
    air.temperature = temperature.si;
    Ok("temperature")
}

/// Pressure of the standard atmosphere at an elevation in m, Pa; `None` outside its range.
fn pressure_at(elevation: f64) -> Option<f64> {
    let inside = (ELEVATIONS.0..=ELEVATIONS.1).contains(&elevation);
    let ratio = 1.0 - LAPSE * elevation / SEA_LEVEL_TEMPERATURE;
    inside.then(|| SEA_LEVEL_PRESSURE * ratio.powf(EXPONENT))
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
    }
}
