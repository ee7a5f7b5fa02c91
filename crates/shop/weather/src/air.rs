//! The air an engine breathes at the dyno.

use crate::density::cipm_density;
use crate::error::{CELSIUS, KILOPASCAL, WeatherError, within};
use crate::humidity::{self, Humidity};
use crate::psychrometer::PRESSURES;
use shortblock_gas::air::{T_RANGE, vapour_pressure};
use shortblock_gas::atmosphere;

/// Share by which vapour may pass saturation before it is refused: what two good sensors differ by
/// in air near its dew point (ours).
const SATURATION_SLACK: f64 = 0.03;

/// Air at the inlet: station pressure, temperature and vapour pressure, and how the last was got.
/// The fields are checked together once, so they are read only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    pressure: f64,
    temperature: f64,
    vapour_pressure: f64,
    humidity: Humidity,
}

impl Air {
    /// From the **station** pressure (Pa; not reduced to sea level, see [`crate::barometer()`]), the
    /// temperature of the air that goes into the engine (K) and what is known of its humidity.
    ///
    /// # Errors
    /// [`WeatherError::OutOfRange`] outside 50 to 115 kPa and -40 to 70 °C,
    /// [`WeatherError::TooHumid`] when it would hold more vapour than it can, and what
    /// [`Humidity::vapour_pressure`] says.
    pub fn new(pressure: f64, temperature: f64, humidity: Humidity) -> Result<Self, WeatherError> {
        let remedy = "check the number and its unit";
        within("station pressure", pressure, PRESSURES, KILOPASCAL, remedy)?;
        within("inlet air temperature", temperature, T_RANGE, CELSIUS, remedy)?;
        let vapour = humidity.vapour_pressure(pressure)?;
        let most = vapour_pressure(pressure, temperature, 1.0)?;
        if vapour > most * (1.0 + SATURATION_SLACK) {
            let (vapour_hpa, most_hpa) = (vapour / 100.0, most / 100.0);
            return Err(WeatherError::TooHumid { vapour_hpa, most_hpa });
        }
        Ok(Self { pressure, temperature, vapour_pressure: vapour, humidity })
    }

    /// Station pressure, Pa: dry air and vapour together.
    pub fn pressure(&self) -> f64 {
        self.pressure
    }

    /// Temperature at the inlet, K.
    pub fn temperature(&self) -> f64 {
        self.temperature
    }

    /// Vapour pressure, Pa.
    pub fn vapour_pressure(&self) -> f64 {
        self.vapour_pressure
    }

    /// How the humidity was got.
    pub fn humidity(&self) -> Humidity {
        self.humidity
    }

    /// Pressure without the vapour's share, Pa.
    pub fn dry_pressure(&self) -> f64 {
        self.pressure - self.vapour_pressure
    }

    /// Relative humidity at the inlet's temperature, a share.
    ///
    /// # Errors
    /// [`WeatherError::Vapour`]; not for air that [`Air::new`] took.
    pub fn relative_humidity(&self) -> Result<f64, WeatherError> {
        Ok(self.vapour_pressure / vapour_pressure(self.pressure, self.temperature, 1.0)?)
    }

    /// Dew point, K; `None` for air drier than -40 °C.
    pub fn dew_point(&self) -> Option<f64> {
        humidity::dew_point(self.pressure, self.vapour_pressure)
    }

    /// Density of the moist air, kg/m³, CIPM-2007.
    pub fn density(&self) -> f64 {
        cipm_density(self.pressure, self.temperature, self.vapour_pressure)
    }

    /// Elevation in the standard atmosphere where air is as dense as this moist air, m. A label for
    /// people: engines do not follow density, and the standards weight temperature by half as much.
    pub fn density_altitude(&self) -> f64 {
        atmosphere::elevation_of_density(self.density())
    }

    /// Elevation in the standard atmosphere where the pressure is this, m.
    pub fn pressure_altitude(&self) -> f64 {
        atmosphere::elevation_of_pressure(self.pressure)
    }

    /// Temperature as the standards print it, t °C + 273: 0.15 less than the absolute one, in both
    /// parts of a ratio, and less than 0.003 % of any factor.
    pub(crate) fn printed_kelvin(&self) -> f64 {
        self.temperature - 0.15
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn vapour_carried_in_from_a_warmer_place_than_it_can_be_is_refused() {
        let outside = Humidity::Relative { fraction: 0.8, sensor_temperature: 308.15 };
        let said = Air::new(1e5, 293.15, outside).unwrap_err();
        assert!(
            said.to_string().starts_with("humidity: 45.2 hPa of vapour in air that holds 23.5")
        );
        assert!(Air::new(1e5, 308.15, outside).is_ok());
    }

    #[test]
    fn a_pressure_in_another_unit_is_refused_in_kilopascal() {
        let said = Air::new(1013.0, 293.15, Humidity::NotStated).unwrap_err().to_string();
        let wanted = "station pressure: 1.013 kPa is not between 50 and 115 kPa; check the number \
                      and its unit";
        assert_eq!(said, wanted);
    }

    #[test]
    fn moist_air_is_lighter_and_higher() {
        let dry = Air::new(101_325.0, 303.15, Humidity::DewPoint(240.0)).unwrap();
        let moist = Air::new(101_325.0, 303.15, Humidity::DewPoint(300.0)).unwrap();
        assert!(moist.density() < dry.density());
        assert!(moist.density_altitude() > dry.density_altitude());
        assert!((moist.relative_humidity().unwrap() - 0.84).abs() < 0.01);
    }
}
