//! Weather of a day, and what it does to torque.

use shortblock_lanes::Lane;

use crate::curve::line;

/// What the station beside the inlet showed, and when.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Minutes since midnight.
    pub minute: u32,
    /// Station pressure, kPa.
    pub pressure_kpa: f64,
    /// Temperature, °C.
    pub temperature_degc: f64,
    /// Relative humidity, %.
    pub humidity_percent: f64,
}

/// A reading at a time of day: pressure in kPa, temperature in °C, relative humidity in %.
pub(crate) const fn reading(hour: u32, minute: u32, kpa: f64, degc: f64, percent: f64) -> Reading {
    Reading {
        minute: 60 * hour + minute,
        pressure_kpa: kpa,
        temperature_degc: degc,
        humidity_percent: percent,
    }
}

/// The readings in their order; between them the air moves on straight lines.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Weather(pub &'static [Reading]);

impl Weather {
    /// The air at a time of day, s.
    pub fn at(&self, second: f64) -> Reading {
        let of = |value: fn(&Reading) -> f64| {
            let points: Vec<(f64, f64)> =
                self.0.iter().map(|r| (f64::from(r.minute) * 60.0, value(r))).collect();
            line(&points, second)
        };
        Reading {
            minute: (second / 60.0) as u32,
            pressure_kpa: of(|r| r.pressure_kpa),
            temperature_degc: of(|r| r.temperature_degc),
            humidity_percent: of(|r| r.humidity_percent),
        }
    }
}

impl Reading {
    /// Factor from torque in this air to torque at 99 kPa dry and 25 °C.
    ///
    /// `1.180 (99 / dry) sqrt((t + 273) / 298) - 0.180`, SAE J1349 JUN90 for spark ignition with
    /// friction not measured; saturation by `6.112 exp(17.62 t / (243.12 + t))` hPa, WMO-No. 8.
    /// Both from memory.
    pub fn factor(&self) -> f64 {
        let t = self.temperature_degc;
        let saturation_kpa = 0.6112 * Lane::exp(17.62 * t / (243.12 + t));
        let dry_kpa = self.pressure_kpa - 0.01 * self.humidity_percent * saturation_kpa;
        1.180 * (99.0 / dry_kpa) * ((t + 273.0) / 298.0).sqrt() - 0.180
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 98.5 kPa, 30 °C, 1.5 kPa of vapour: case B of `correction_examples.csv` of `shop/weather`,
    /// worked out there to 40 digits.
    #[test]
    fn the_factor_is_that_of_the_standard() {
        let humidity_percent = 100.0 * 1.5 / (0.6112 * Lane::exp(17.62 * 30.0 / 273.12));
        let reading =
            Reading { minute: 0, pressure_kpa: 98.5, temperature_degc: 30.0, humidity_percent };
        assert!((reading.factor() - 1.034_391_307_2).abs() < 1e-8);
    }
}
