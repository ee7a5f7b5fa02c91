//! A bare barometer number, as a log's column without unit has it: what unit it can be in.
//!
//! The guess is shown, never just used. Only millimetres of mercury and hectopascal overlap (600 to
//! 825); the elevation parts them, or sea level where none is known.

use crate::error::WeatherError;
use shortblock_gas::atmosphere::pressure_at;
use shortblock_units::{Quantity, Unit, unit};

/// Pressures that a barometer on a dyno can show, Pa: below sea level to 4200 m (ours).
const BAROMETERS: (f64, f64) = (60_000.0, 110_000.0);
/// Units of barometers.
const SYMBOLS: [&str; 7] = ["hPa", "kPa", "inHg", "mmHg", "psi", "bar", "Pa"];

/// One unit that a bare number can be in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarometerGuess {
    /// The unit.
    pub unit: &'static Unit,
    /// The pressure then, Pa.
    pub pressure: f64,
}

/// Units that a bare barometer `number` can be in, the likeliest first, given the elevation (m) of
/// the dyno where it is known. More than one: ask.
///
/// # Errors
/// [`WeatherError::NoBarometer`] when no unit makes it a pressure of the air.
pub fn guess_barometer_unit(
    number: f64,
    elevation: Option<f64>,
) -> Result<Vec<BarometerGuess>, WeatherError> {
    let expected = pressure_at(elevation.unwrap_or(0.0)).unwrap_or(101_325.0);
    let mut guesses: Vec<BarometerGuess> = SYMBOLS
        .iter()
        .filter_map(|symbol| unit(Quantity::AbsolutePressure, symbol))
        .map(|unit| BarometerGuess { unit, pressure: unit.to_si(number) })
        .filter(|guess| guess.pressure >= BAROMETERS.0 && guess.pressure <= BAROMETERS.1)
        .collect();
    if guesses.is_empty() {
        return Err(WeatherError::NoBarometer { number });
    }
    let off = |guess: &BarometerGuess| (guess.pressure - expected).abs();
    guesses.sort_by(|a, b| off(a).total_cmp(&off(b)));
    Ok(guesses)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn symbols(number: f64, elevation: Option<f64>) -> Vec<&'static str> {
        let guesses = guess_barometer_unit(number, elevation).unwrap();
        guesses.iter().map(|guess| guess.unit.symbol).collect()
    }

    #[test]
    fn each_unit_is_known_by_its_size() {
        for (number, symbol) in [
            (1013.0, "hPa"),
            (98.7, "kPa"),
            (29.92, "inHg"),
            (14.6, "psi"),
            (0.98, "bar"),
            (100_200.0, "Pa"),
        ] {
            assert_eq!(symbols(number, None), [symbol], "{number}");
        }
    }

    #[test]
    fn millimetres_and_hectopascal_are_parted_by_elevation_and_both_shown() {
        assert_eq!(symbols(752.0, None), ["mmHg", "hPa"]);
        assert_eq!(symbols(752.0, Some(2400.0)), ["hPa", "mmHg"]);
    }

    #[test]
    fn what_is_no_pressure_of_the_air_is_refused() {
        for number in [0.0, -1.0, 45.0, 5e6, f64::NAN, f64::INFINITY] {
            assert!(guess_barometer_unit(number, None).is_err(), "{number}");
        }
    }
}
