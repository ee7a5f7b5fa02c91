//! `--at`: the air to predict in, as a person says it.

use crate::failure::Failure;
use shortblock_engine::{Build, Faults};
use shortblock_gas::atmosphere::{ELEVATIONS, pressure_at};
use shortblock_plan::Conditions;
use shortblock_units::{Quantity, parse};

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
        let word = take(part, &mut air, build)
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
fn take(part: &str, air: &mut Conditions, build: &Build) -> Result<&'static str, String> {
    if let Ok(elevation) = parse(part, Quantity::Length) {
        let (low, high) = (ELEVATIONS.start(), ELEVATIONS.end());
        air.pressure = pressure_at(elevation.si)
            .ok_or(format!("{part} is not between {low} m and {high} m"))?;
        return Ok("pressure or elevation");
    }
    if let Ok(pressure) = parse(part, Quantity::AbsolutePressure) {
        fits(build, "air.pressure", part)?;
        air.pressure = pressure.si;
        return Ok("pressure or elevation");
    }
    if let Ok(humidity) = parse(part, Quantity::Fraction) {
        fits(build, "air.humidity", part)?;
        air.humidity = humidity.si;
        return Ok("humidity");
    }
    let temperature = parse(part, Quantity::Temperature).map_err(|error| error.what())?;
    fits(build, "air.temperature", part)?;
    air.temperature = temperature.si;
    Ok("temperature")
}

/// The range is that of the engine file.
fn fits(build: &Build, path: &str, text: &str) -> Result<(), String> {
    let first = |faults: Faults| faults.faults.into_iter().next().map(|fault| fault.what);
    build.with(path, text).map(drop).map_err(|faults| first(faults).unwrap_or_default())
}
