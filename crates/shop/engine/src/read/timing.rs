//! Durations and events of a cam, always with the lift they are stated at and of what.

use shortblock_document::{Body, Finding, Node, Place, label, value_fault};
use shortblock_units::{Measure, Quantity, lead, parse};

use crate::item::{CheckingLift, Duration, From, Leaf, LiftBasis};

use super::Reader;
use super::number::{text, value_of};
use super::stated::Stated;

/// One duration or several.
pub fn durations(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let nodes: Vec<Node> = match &stated.first().body {
        Body::List(list) => list.iter().take(20).cloned().collect(),
        _ => vec![stated.first().clone()],
    };
    let read = nodes.iter().filter_map(|node| duration(reader, stated, node, path));
    let mut list: Vec<Duration> = read.collect();
    list.sort_by(|a, b| a.at.lift.total_cmp(&b.at.lift));
    (!list.is_empty()).then_some(Leaf::Durations(list))
}

fn duration(reader: &mut Reader, stated: &Stated, node: &Node, path: &str) -> Option<Duration> {
    let example = "\"244 deg at 1.0 mm of valve\"";
    let typed = text(reader, node, path, example)?;
    let (head, rest) = cut_at(&typed);
    let measure = read(reader, head, &node.place, path, Quantity::Angle)?;
    let at = match rest {
        Some(rest) => checking_lift(reader, rest, &node.place, path)?,
        None => {
            let what = format!("{} does not say at which lift it was taken", label(path));
            let fault = Finding::new(what).at(&node.place).about(path).mark("at which lift?");
            let remedy = format!("Write {example}, \"… at 0.050 in of lifter\" or \"… at seat\".");
            reader.faults.push(fault.remedy(remedy));
            return None;
        }
    };
    let mut angle = value_of(reader, stated, &[measure]);
    angle.text = typed;
    Some(Duration { angle, at })
}

/// A valve event: angle, dead centre, checking lift.
pub fn event(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let place = stated.place.clone();
    let example = "\"34 deg BTDC at 1.0 mm of valve\"";
    let typed = text(reader, stated.first(), path, example)?;
    let (head, lift) = cut_at(&typed);
    let found = match lead(head, Quantity::Angle) {
        Ok(found) => found,
        Err(error) => {
            let fault = value_fault(&error, &place, path, Quantity::Angle);
            reader.faults.push(fault);
            return None;
        }
    };
    let word = head.get(found.rest.clone()).unwrap_or_default();
    let from = match word.to_uppercase().as_str() {
        "BTDC" => From::Btdc,
        "ATDC" => From::Atdc,
        "BBDC" => From::Bbdc,
        "ABDC" => From::Abdc,
        _ => {
            let what = format!("{} does not say from which dead centre it counts", label(path));
            reader.wrong(
                &place,
                path,
                what,
                &format!("Write {example}: BTDC, ATDC, BBDC or ABDC."),
            );
            return None;
        }
    };
    let at = match lift {
        Some(rest) => checking_lift(reader, rest, &place, path)?,
        None => {
            let what = format!("{} does not say at which lift it was taken", label(path));
            reader.wrong(&place, path, what, &format!("Write {example}, or \"… at seat\"."));
            return None;
        }
    };
    let mut value = value_of(reader, stated, &[found.measure]);
    value.text = typed.clone();
    Some(Leaf::Event(value, from, at))
}

/// The text before " at " and after it.
fn cut_at(text: &str) -> (&str, Option<&str>) {
    match text.split_once(" at ") {
        Some((head, rest)) => (head.trim(), Some(rest.trim())),
        None => (text.trim(), None),
    }
}

fn read(
    reader: &mut Reader,
    text: &str,
    place: &Place,
    path: &str,
    quantity: Quantity,
) -> Option<Measure> {
    match parse(text, quantity) {
        Ok(measure) => Some(measure),
        Err(error) => {
            let fault = value_fault(&error, place, path, quantity);
            reader.faults.push(fault);
            None
        }
    }
}

/// `0.050 in of lifter`, `1.0 mm of valve`, `1.0 mm of valve at zero lash`, `seat`.
fn checking_lift(
    reader: &mut Reader,
    text: &str,
    place: &Place,
    path: &str,
) -> Option<CheckingLift> {
    let plain = text.to_lowercase();
    if matches!(plain.trim_start_matches("the ").trim(), "seat" | "the seat") {
        return Some(CheckingLift { lift: 0.0, basis: LiftBasis::Seat, stated: true });
    }
    let found = match lead(text, Quantity::Length) {
        Ok(found) => found,
        Err(error) => {
            let fault = value_fault(&error, place, path, Quantity::Length);
            reader.faults.push(fault);
            return None;
        }
    };
    let lift = found.measure.si;
    if !(0.0..=0.02).contains(&lift) {
        let what = format!("a checking lift of {} can't be: 0 to 20 mm", found.measure.text);
        reader.wrong(place, path, what, "Usual ones are 0.050 in of lifter and 1.0 mm of valve.");
        return None;
    }
    let words = text.get(found.rest).unwrap_or_default().to_lowercase();
    let idle = |word: &&str| !matches!(*word, "" | "the" | "of" | "at" | "rise" | "lift");
    let words: Vec<&str> = words.split([' ', ',']).filter(idle).collect();
    let basis = match words.as_slice() {
        [] => None,
        ["lifter" | "tappet" | "cam" | "lobe"] => Some(LiftBasis::Lifter),
        ["valve"] | ["valve", "with", "lash"] => Some(LiftBasis::Valve),
        ["valve", "zero" | "without", "lash"] => Some(LiftBasis::ValveZeroLash),
        _ => {
            let what = format!("\"{}\" does not say what the lift is of", words.join(" "));
            let remedy =
                "Write \"of lifter\", \"of valve\" (lash set) or \"of valve at zero lash\".";
            reader.wrong(place, path, what, remedy);
            return None;
        }
    };
    // Not said of what: settled when the kind of valve train is known.
    let inch = found.measure.unit.symbol != "mm";
    let guess = if inch { LiftBasis::Lifter } else { LiftBasis::Valve };
    Some(CheckingLift { lift, basis: basis.unwrap_or(guess), stated: basis.is_some() })
}
