//! `--standard` and `--air`.

use crate::failure::Failure;
use crate::text::harmless;
use shortblock_document::nearest;
use shortblock_units::{Quantity, parse};
use shortblock_weather::{Air, Humidity, Standard};

/// A standard by its short name or its name as printed.
pub fn standard(text: &str) -> Result<Standard, Failure> {
    let plain = |t: &str| t.to_lowercase().replace([' ', ',', '-', '_'], "");
    let names = |s: Standard| [s.about().key.to_owned(), s.to_string()];
    let found =
        Standard::ALL.into_iter().find(|s| names(*s).iter().any(|n| plain(n) == plain(text)));
    found.ok_or_else(|| {
        let keys: Vec<&str> = Standard::ALL.iter().map(|s| s.about().key).collect();
        let near = nearest(text, keys.iter().copied());
        let hint = near.map_or_else(
            || format!("one of {}", keys.join(", ")),
            |near| format!("did you mean {near}? There is {}", keys.join(", ")),
        );
        Failure::NotUnderstood(format!(
            "--standard {}: no such standard\nhint: {hint}",
            harmless(text)
        ))
    })
}

/// `98.9 kPa, 18.5 degC, 52 %`: station pressure, inlet temperature, humidity.
pub fn air(text: &str) -> Result<Air, Failure> {
    let hint = "hint: station pressure, inlet temperature and humidity, parted by commas: --air \
                \"98.9 kPa, 18.5 degC, 52 %\"";
    let fault = |what: String| Failure::NotUnderstood(format!("--air \"{text}\": {what}\n{hint}"));
    let (mut pressure, mut temperature, mut humidity) = (None, None, None);
    for part in text.split(',').map(str::trim) {
        if let Ok(found) = parse(part, Quantity::AbsolutePressure) {
            pressure = Some(found.si);
        } else if let Ok(found) = parse(part, Quantity::Fraction) {
            humidity = Some(found.si);
        } else {
            let found = parse(part, Quantity::Temperature).map_err(|error| fault(error.what()))?;
            temperature = Some(found.si);
        }
    }
    let (Some(pressure), Some(temperature)) = (pressure, temperature) else {
        return Err(fault("pressure and temperature are needed".to_owned()));
    };
    let humidity = humidity.map_or(Humidity::NotStated, |fraction| Humidity::Relative {
        fraction,
        sensor_temperature: temperature,
    });
    Air::new(pressure, temperature, humidity).map_err(|error| fault(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standards_go_by_key_and_by_name() {
        assert_eq!(standard("j1349-jun1990").unwrap(), Standard::J1349Jun1990);
        assert_eq!(standard("ISO 1585").unwrap(), Standard::Iso1585);
        assert!(standard("j1350").is_err());
    }

    #[test]
    fn air_is_read_in_any_order_and_without_humidity() {
        let found = air("60 %, 30 degC, 98.5 kPa").unwrap();
        assert!((found.pressure() - 98_500.0).abs() < 1e-6);
        assert!(air("98.5 kPa, 30 degC").is_ok());
        assert!(air("98.5 kPa").is_err() && air("98.5 kPa, hot").is_err());
    }
}
