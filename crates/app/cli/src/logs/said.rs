//! `--column "TQ=torque, lb.ft"`: what a person says of a column.

use super::Logged;
use crate::failure::Failure;
use crate::text::{first_of_each, harmless};
use shortblock_document::nearest;
use shortblock_pulls::{Channel, Said, is_unit_of};
use shortblock_units::{Quantity, units_of};

/// Headings and units that are listed where none is near.
const HEADINGS: usize = 24;
const UNITS: usize = 6;

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
    if matches!(name, "none" | "nothing" | "not used") {
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
    if let (Some(unit), Some(quantity)) = (&unit, channel.quantity())
        && !is_unit_of(channel, unit)
        && shortblock_units::unit(quantity, unit).is_none()
    {
        let near = near_unit(quantity, unit);
        let what = format!("\"{unit}\" is no unit of {}; {near}", quantity.with_article());
        return Err(fault(what));
    }
    Ok(Said { heading, channel: Some(channel), unit })
}

/// Units to choose from, the nearest first where one is near.
fn near_unit(quantity: Quantity, typed: &str) -> String {
    let units = units_of(quantity);
    let spellings = units.iter().flat_map(|u| std::iter::once(&u.symbol).chain(u.spellings));
    if let Some(near) = nearest(typed, spellings.copied()) {
        return format!("did you mean {near}?");
    }
    let symbols = units.iter().map(|u| u.symbol).filter(|symbol| !symbol.is_empty());
    match symbols.take(UNITS).collect::<Vec<_>>().join(", ") {
        none if none.is_empty() => "leave the unit out: it is a plain number".to_owned(),
        some => format!("one of {some}"),
    }
}

/// Looks for every heading that a person spoke of among those of the logs that were read.
///
/// # Errors
/// When no log has a column of that heading, with the nearest ones.
pub fn all_found(said: &[Said], files: &[Logged]) -> Result<(), Failure> {
    match said.iter().find_map(|one| not_found(one, files)) {
        Some((what, hint)) => {
            Err(Failure::NotUnderstood(format!("--column: {what}\nhint: {hint}")))
        }
        None => Ok(()),
    }
}

/// What is wrong with a heading that no log has, and what there is; `None` where one has it.
pub fn not_found(said: &Said, files: &[Logged]) -> Option<(String, String)> {
    let logs = || files.iter().filter_map(|file| file.read());
    let columns = || logs().flat_map(|log| &log.log.groups).flat_map(|group| &group.columns);
    if logs().next().is_none() || columns().any(|column| said.is_about(column)) {
        return None;
    }
    let headings = first_of_each(columns().map(|column| column.name.as_str()));
    let near = nearest(&said.heading, headings.iter().copied());
    let near = near.map_or(String::new(), |near| format!("did you mean \"{near}\"? "));
    let more = if headings.len() > HEADINGS { ", ..." } else { "" };
    let some: Vec<&str> = headings.into_iter().take(HEADINGS).collect();
    let there = harmless(&format!("{near}The headings are {}{more}", some.join(", ")));
    Some((harmless(&format!("no log has a column \"{}\"", said.heading)), there))
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
        assert_eq!(one("Md=torque, mkp").unwrap().unit.as_deref(), Some("mkp"));
        assert_eq!(one("n=engine speed, U/min").unwrap().unit.as_deref(), Some("U/min"));
        let slip = one("TQ=torque, N.mm").unwrap_err().to_string();
        assert!(slip.contains("did you mean N.m?"), "{slip}");
        let slip = one("TQ=torque, bananas").unwrap_err().to_string();
        assert!(slip.contains("one of N.m, "), "{slip}");
        for wrong in ["TQ", "TQ=torqu", "TQ=torque, kPa", "="] {
            assert!(one(wrong).is_err(), "{wrong}");
        }
    }
}
