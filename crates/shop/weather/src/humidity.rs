//! Humidity as an operator has it, to the vapour pressure that goes into the engine.
//!
//! Vapour pressure (or dew point) is what air carries from the sensor to the inlet; relative
//! humidity is not: outdoors at 20 °C and 80 % it is 18.7 hPa, while 80 % at 35 °C would be 45 hPa,
//! 3 % of factor apart. So a relative humidity always comes with the temperature at **its** sensor.
//!
//! Saturation is that of IAPWS with the enhancement of moist air, as in `shortblock_gas::air`; the
//! wet bulb goes by the WMO guide's own equations ([`crate::psychrometer`]).

use crate::error::{CELSIUS, KILOPASCAL, PER_CENT, WeatherError, within};
use crate::psychrometer::psychrometer_vapour_pressure;
use shortblock_gas::air::{T_RANGE, vapour_pressure};

/// How the humidity was got.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Humidity {
    /// Relative humidity over water, and the temperature of the sensor that read it.
    Relative {
        /// Share, 0 to 1.
        fraction: f64,
        /// Temperature at the sensor, K.
        sensor_temperature: f64,
    },
    /// Dew point over water, K.
    DewPoint(f64),
    /// Aspirated psychrometer.
    WetBulb {
        /// Dry bulb of the instrument, K.
        dry: f64,
        /// Wet bulb, K.
        wet: f64,
    },
    /// Vapour pressure, Pa, worked out elsewhere.
    VapourPressure(f64),
    /// Nobody said: worked with as dry, and said so in every factor.
    NotStated,
}

impl Humidity {
    /// Vapour pressure, Pa, in air of `pressure` (station, Pa).
    ///
    /// # Errors
    /// [`WeatherError::OutOfRange`], and for a wet bulb [`WeatherError::WetAboveDry`] or
    /// [`WeatherError::WetTooDry`].
    pub fn vapour_pressure(self, pressure: f64) -> Result<f64, WeatherError> {
        match self {
            Self::Relative { fraction, sensor_temperature } => {
                let remedy = "give 0 to 100 %; a sensor that reads more wants calibrating";
                within("relative humidity", fraction, (0.0, 1.0), PER_CENT, remedy)?;
                let remedy = "give the temperature at the humidity sensor";
                within(
                    "temperature at humidity sensor",
                    sensor_temperature,
                    T_RANGE,
                    CELSIUS,
                    remedy,
                )?;
                Ok(vapour_pressure(pressure, sensor_temperature, fraction)?)
            }
            Self::DewPoint(dew) => {
                within("dew point", dew, T_RANGE, CELSIUS, "check the number and its unit")?;
                Ok(vapour_pressure(pressure, dew, 1.0)?)
            }
            Self::WetBulb { dry, wet } => psychrometer_vapour_pressure(pressure, dry, wet),
            Self::VapourPressure(vapour) => {
                let remedy = "check the number and its unit";
                within("vapour pressure", vapour, (0.0, 0.5 * pressure), KILOPASCAL, remedy)
            }
            Self::NotStated => Ok(0.0),
        }
    }

    /// How it was got, in words.
    pub fn how(self) -> &'static str {
        match self {
            Self::Relative { .. } => "relative humidity at its sensor",
            Self::DewPoint(_) => "dew point",
            Self::WetBulb { .. } => "wet and dry bulb, aspirated",
            Self::VapourPressure(_) => "vapour pressure as given",
            Self::NotStated => "not stated, taken as dry",
        }
    }
}

/// Dew point over water, K, of air of `pressure` with `vapour` pressure, both Pa; `None` below
/// -40 °C and above 70 °C.
pub fn dew_point(pressure: f64, vapour: f64) -> Option<f64> {
    let (mut low, mut high) = T_RANGE;
    let at = |temperature| vapour_pressure(pressure, temperature, 1.0).ok();
    if !(vapour >= at(low)? && vapour <= at(high)?) {
        return None;
    }
    // Saturation rises with temperature: halving the range to the last bit cannot go astray.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if at(middle)? < vapour { low = middle } else { high = middle }
    }
    Some(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dew_point_reads_back() {
        for dew in [250.0, 285.15, 300.0] {
            let vapour = Humidity::DewPoint(dew).vapour_pressure(99_000.0).unwrap();
            assert!((dew_point(99_000.0, vapour).unwrap() - dew).abs() < 1e-9);
        }
        assert_eq!(dew_point(99_000.0, 0.0), None);
        assert_eq!(dew_point(f64::NAN, 1000.0), None);
    }

    /// 20 °C and 80 % outdoors: 18.7 hPa; 35 °C and 80 %: 45 hPa (worked out with IAPWS).
    #[test]
    fn relative_humidity_belongs_to_the_temperature_at_its_sensor() {
        let at = |sensor_temperature| {
            Humidity::Relative { fraction: 0.8, sensor_temperature }.vapour_pressure(1e5).unwrap()
        };
        assert!((at(293.15) - 1870.0).abs() < 15.0);
        assert!((at(308.15) - 4500.0).abs() < 30.0);
    }

    #[test]
    fn what_was_typed_wrongly_is_said_in_its_own_unit() {
        let wrong = Humidity::Relative { fraction: 45.0, sensor_temperature: 293.15 };
        let said = wrong.vapour_pressure(1e5).unwrap_err().to_string();
        assert_eq!(
            said,
            "relative humidity: 4500 % is not between 0 and 100 %; give 0 to 100 %; a sensor that \
             reads more wants calibrating"
        );
    }
}
