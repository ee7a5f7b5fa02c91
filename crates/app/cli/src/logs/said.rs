//! `--column "TQ=torque, lb.ft"`: what a person says of a column.

use crate::failure::Failure;
use shortblock_document::nearest;
use shortblock_pulls::{Channel, Said};

const HINT: &str = "hint: HEADING=CHANNEL, or HEADING=CHANNEL, UNIT: --column \"TQ=torque, lb.ft\", \
                    --column \"Aux 3=none\"";

/// Reads every `--column`.
///
/// # Errors
/// When one does not say what it should, with the nearest channel.
pub fn said(texts: &[String]) -> Result<Vec<Said>, Failure> {
    texts.iter().map(|text| one(text)).collect()
}

fn one(text: &str) -> Result<Said, Failure> {
    let fault =
        |what: String| Failure::NotUnderstood(format!("--column \"{text}\": {what}\n{HINT}"));
    let (heading, rest) = text.rsplit_once('=').ok_or_else(|| fault("has no =".to_owned()))?;
    let (name, unit) = rest.split_once(',').map_or((rest, None), |(name, unit)| (name, Some(unit)));
    let (heading, name) = (heading.trim().to_owned(), name.trim());
    let unit = unit.map(|unit| unit.trim().to_owned()).filter(|unit| !unit.is_empty());
    if matches!(name, "none" | "nothing") {
        return Ok(Said { heading, channel: None, unit: None });
    }
    let channel = Channel::parse(name).ok_or_else(|| {
        let names = Channel::names();
        let near = nearest(name, names.iter().map(String::as_str));
        let near = near.map_or_else(
            || format!("one of {}", names.join(", ")),
            |near| format!("did you mean {near}?"),
        );
        fault(format!("\"{name}\" is no channel; {near}"))
    })?;
    if let (Some(unit), Some(quantity)) = (&unit, channel.quantity()) {
        let mixture = matches!(channel, Channel::Lambda(_) | Channel::CylinderLambda(_));
        let air_fuel = mixture && unit.eq_ignore_ascii_case("afr");
        if !air_fuel && shortblock_units::unit(quantity, unit).is_none() {
            return Err(fault(format!("\"{unit}\" is no unit of {}", quantity.with_article())));
        }
    }
    Ok(Said { heading, channel: Some(channel), unit })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_is_said_with_and_without_unit() {
        let said = one("TQ = torque, lb.ft").unwrap();
        assert_eq!((said.heading.as_str(), said.channel), ("TQ", Some(Channel::Torque)));
        assert_eq!(said.unit.as_deref(), Some("lb.ft"));
        assert_eq!(one("A=B=oil pressure").unwrap().heading, "A=B");
        assert_eq!(one("Aux=none").unwrap().channel, None);
        assert_eq!(one("AFR=lambda, AFR").unwrap().unit.as_deref(), Some("AFR"));
        for wrong in ["TQ", "TQ=torqu", "TQ=torque, kPa", "="] {
            assert!(one(wrong).is_err(), "{wrong}");
        }
    }
}
