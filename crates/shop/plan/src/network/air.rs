//! The air around the engine: as stated, else the reference air of the standard that the figures
//! are corrected to.

use super::assembly::part;
use crate::PlanError;
use shortblock_engine::Build;
use shortblock_gas::HumidAir;

/// Air around the engine.
pub(super) struct Air {
    pub humid: HumidAir,
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
}

/// Reference air: words of the standard, pressure (Pa, vapour included), temperature (K), relative
/// humidity. All from memory.
const STANDARDS: [(&[&str], f64, f64, f64); 3] = [
    // SAE J607 and the gross ratings before 1972: 29.92 inHg dry, 60 °F.
    (&["j607", "j245", "gross", "stp"], 101_325.0, 288.71, 0.0),
    // DIN 70020: 1013 mbar, 20 °C.
    (&["din 70020", "70020"], 101_300.0, 293.15, 0.0),
    // SAE J1349, ISO 1585, UN R85: 99 kPa dry and 1 kPa vapour, 25 °C. Also the assumed air.
    (&["j1349", "1585", "3046", "r85", "ece", "eec"], 100_000.0, 298.15, 0.316),
];
/// The air that the engine file assumes, Pa, K, relative humidity: ISO 1585.
const ASSUMED: (f64, f64, f64) = (100_000.0, 298.15, 0.316);

/// The air of the build.
///
/// # Errors
/// Air that can't be.
pub(super) fn of(build: &Build, notes: &mut Vec<String>) -> Result<Air, PlanError> {
    let state = &build.state;
    let values = [&state.air_pressure, &state.air_temperature, &state.humidity];
    let mut own = (values[0].si, values[1].si, values[2].si);
    let said = build.tested_as.correction.to_lowercase();
    let standard =
        STANDARDS.iter().find(|(words, ..)| words.iter().any(|word| said.contains(word)));
    if let (Some((_, pressure, temperature, humidity)), true) =
        (standard, values.iter().all(|value| value.is_assumed()))
    {
        // What a sample moves the assumed air by moves the standard's as well.
        own.0 += pressure - ASSUMED.0;
        own.1 += temperature - ASSUMED.1;
        own.2 += humidity - ASSUMED.2;
        notes.push(format!("the air is the reference air of {}", build.tested_as.correction));
    }
    let (pressure, temperature, humidity) = (own.0, own.1, own.2.clamp(0.0, 1.0));
    let humid = HumidAir::new(pressure, temperature, humidity).map_err(|error| {
        part("air", &error, "check temperature, pressure and humidity of the air")
    })?;
    Ok(Air { humid, pressure, temperature })
}
