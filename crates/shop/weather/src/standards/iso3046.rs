//! ISO 3046-1: power **adjusted** to a site. It says what an engine of stated power will give in
//! other air, the other way round from a correction, so it is no [`crate::Standard`].
//!
//! Equation: `k = ((p_x - a phi_x p_sx) / (p_r - a phi_r p_sr))^m (T_r / T_x)^n (T_cr / T_cx)^q`,
//! `alpha = k - 0.7 (1 - k) (1 / eta - 1)`, `P_x = alpha P_r`.
//! Source: ISO 3046-1, formula and exponents from memory.
//! Reference: 100 kPa, 298 K, 30 % relative humidity, charge coolant 298 K, eta = 0.8.
//! Range: not known here.

use super::heat_ratio;
use crate::air::Air;
use crate::error::{CELSIUS, PLAIN, WeatherError, within};
use shortblock_gas::saturation::saturation_pressure;

/// Reference pressure, Pa.
const PRESSURE: f64 = 100e3;
/// Reference relative humidity.
const HUMIDITY: f64 = 0.3;
/// Reference temperature, K; 298 as printed.
const TEMPERATURE: f64 = 298.15;

/// What limits an engine's power in thin air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Engine3046 {
    /// Diesel, natural aspiration, limited by excess of air.
    NaturalDieselByAir,
    /// Diesel, natural aspiration, limited by heat.
    NaturalDieselByHeat,
    /// Diesel, turbocharged, charge not cooled.
    TurbochargedDiesel,
    /// Diesel, turbocharged, charge cooled by a coolant of this temperature, K.
    CooledDiesel {
        /// Coolant into the charge cooler, K.
        coolant_temperature: f64,
    },
    /// Spark ignition, natural aspiration, gas or petrol.
    NaturalSpark,
}

/// Exponents of one kind of engine.
struct Exponents {
    humidity: f64,
    pressure: f64,
    temperature: f64,
    coolant: f64,
}

impl Engine3046 {
    fn exponents(self) -> Exponents {
        let [humidity, pressure, temperature, coolant] = match self {
            Self::NaturalDieselByAir => [1.0, 1.0, 0.75, 0.0],
            Self::NaturalDieselByHeat => [0.0, 1.0, 1.0, 0.0],
            Self::TurbochargedDiesel => [0.0, 0.7, 2.0, 0.0],
            Self::CooledDiesel { .. } => [0.0, 0.7, 1.2, 1.0],
            Self::NaturalSpark => [1.0, 0.86, 0.55, 0.0],
        };
        Exponents { humidity, pressure, temperature, coolant }
    }
}

/// What is left of stated power at a site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adjustment {
    /// Ratio of indicated power, k.
    pub indicated: f64,
    /// Ratio of brake power, alpha: site power is this times stated power.
    pub brake: f64,
}

/// Power at a site in `air` over stated power, with mechanical `efficiency` (0.8 where not known).
///
/// # Errors
/// [`WeatherError::OutOfRange`] for an efficiency outside 0.4 to 1 or a coolant outside 0 to 100 °C.
pub fn adjustment(
    engine: Engine3046,
    air: &Air,
    efficiency: f64,
) -> Result<Adjustment, WeatherError> {
    let remedy = "give the share of indicated power that reaches the flywheel, 0.8 if not known";
    within("mechanical efficiency", efficiency, (0.4, 1.0), PLAIN, remedy)?;
    let e = engine.exponents();
    let reference = PRESSURE - e.humidity * HUMIDITY * saturation_pressure(TEMPERATURE)?;
    let site = air.pressure() - e.humidity * air.vapour_pressure();
    let mut indicated = (site / reference).powf(e.pressure) * heat_ratio(air).powf(-e.temperature);
    if let Engine3046::CooledDiesel { coolant_temperature } = engine {
        let remedy = "give the coolant's temperature into the charge cooler";
        within("charge coolant", coolant_temperature, (273.15, 373.15), CELSIUS, remedy)?;
        indicated *= (298.0 / (coolant_temperature - 0.15)).powf(e.coolant);
    }
    let brake = indicated - 0.7 * (1.0 - indicated) * (1.0 / efficiency - 1.0);
    Ok(Adjustment { indicated, brake })
}
