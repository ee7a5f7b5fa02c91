//! Values said in a short phrase: a flow at a drop, a wish over a range, a plan for the spark.

use shortblock_document::{Body, label, value_fault};
use shortblock_units::{Measure, Quantity, lead, parse};

use crate::defaults;
use crate::item::{Item, Leaf, Wish};
use crate::schema::{Field, TableKind};
use crate::value::Value;

use super::number::{text, value_of};
use super::stated::Stated;
use super::{Reader, number, table};

/// `700 cfm at 1.5 inHg`.
pub fn flow_at_drop(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let (flow, at) = two(
        reader,
        stated,
        path,
        Quantity::VolumeFlow,
        &[Quantity::PressureDifference],
        "\"700 cfm at 1.5 inHg\"",
    )?;
    Some(Leaf::FlowAtDrop(flow, at))
}

/// `35 kPa at 0.20 kg/s`, `35 kPa at 225 hp`.
pub fn drop_at_flow(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let (drop, at) = two(
        reader,
        stated,
        path,
        Quantity::PressureDifference,
        &[Quantity::MassFlow, Quantity::VolumeFlow, Quantity::Power],
        "\"35 kPa at 0.20 kg/s\" or \"35 kPa at 225 hp\"",
    )?;
    Some(Leaf::DropAtFlow(drop, at))
}

/// A value, "at", and the value it is stated at; both must be positive.
fn two(
    reader: &mut Reader,
    stated: &Stated,
    path: &str,
    first: Quantity,
    second: &[Quantity],
    example: &str,
) -> Option<(Value, Value)> {
    let typed = text(reader, stated.first(), path, example)?;
    let (head, rest) = typed.split_once(" at ").unwrap_or((typed.as_str(), ""));
    let head = number::one_of(reader, head, &stated.place, path, &[first])?;
    if rest.is_empty() {
        let what = format!("{} does not say at what it was found", label(path));
        reader.wrong(&stated.place, path, what, &format!("Write {example}."));
        return None;
    }
    let at = number::one_of(reader, rest, &stated.place, path, second)?;
    if at.si <= 0.0 {
        let what = "what follows \"at\" must be more than zero";
        reader.wrong(&stated.place, path, what, &format!("Write {example}."));
        return None;
    }
    let mut value = with_spread(value_of(reader, stated, &[head]), path);
    value.text.clone_from(&typed);
    let at = Value { text: typed, ..value_of(reader, stated, &[at]) };
    Some((value, at))
}

/// The shipped ± of the word, when nobody stated one and it is the larger.
fn with_spread(mut value: Value, path: &str) -> Value {
    let spread = defaults::default_of(path).map_or("", |d| d.spread.as_str());
    if let (false, Some(pm)) =
        (value.plus_minus_stated, defaults::span(spread, value.si, value.quantity))
    {
        value.plus_minus = value.plus_minus.max(pm);
    }
    value
}

/// `340 hp below 8400 rpm`, `270 N.m from 5000 rpm`, `400 lb.ft from 3200 rpm to 5000 rpm`.
pub fn wish(reader: &mut Reader, stated: &Stated, path: &str, kinds: &[Quantity]) -> Option<Leaf> {
    let quantity = kinds.first().copied().unwrap_or(Quantity::Ratio);
    let typed = text(reader, stated.first(), path, "\"340 hp below 8400 rpm\"")?;
    let found = match lead(&typed, quantity) {
        Ok(found) => found,
        Err(error) => {
            let fault = value_fault(&error, &stated.place, path, quantity);
            reader.faults.push(fault);
            return None;
        }
    };
    let Some((from, to)) = span_of_speed(typed.get(found.rest).unwrap_or_default()) else {
        let what = format!("over which speeds {} is wanted can't be read", label(path));
        let remedy =
            "Write \"… below 8400 rpm\", \"… from 3200 rpm to 5000 rpm\" or \"… at 5000 rpm\".";
        reader.wrong(&stated.place, path, what, remedy);
        return None;
    };
    let value = Value { text: typed.clone(), ..value_of(reader, stated, &[found.measure]) };
    Some(Leaf::Wish(Wish { value, from, to }))
}

/// The speeds of a wish, rad/s; `None` when the words are not understood.
fn span_of_speed(words: &str) -> Option<(Option<f64>, Option<f64>)> {
    let speed = |text: &str| -> Option<f64> {
        let read: Result<Measure, _> = parse(text.trim(), Quantity::EngineSpeed);
        read.ok().map(|m| m.si)
    };
    if words.is_empty() {
        return Some((None, None));
    }
    if let Some(rest) = words.strip_prefix("below ").or_else(|| words.strip_prefix("to ")) {
        return Some((None, Some(speed(rest)?)));
    }
    if let Some(rest) = words.strip_prefix("at ") {
        let at = speed(rest)?;
        return Some((Some(at), Some(at)));
    }
    let rest = words.strip_prefix("from ").or_else(|| words.strip_prefix("above "))?;
    match rest.split_once(" to ") {
        Some((from, to)) => {
            let (from, to) = (speed(from)?, speed(to)?);
            (from <= to).then_some((Some(from), Some(to)))
        }
        None => Some((Some(speed(rest)?), None)),
    }
}

/// Words that ask for the spark instead of giving it.
pub const BEST_TORQUE: &str = "best torque";
/// The same, held back by knock.
pub const KNOCK_LIMITED: &str = "best torque, knock limited";

/// A fixed angle, a table over speed, or a request; `…, margin 2 deg` sets the knock margin too.
pub fn spark(
    reader: &mut Reader,
    stated: &Stated,
    path: &str,
    kind: &'static TableKind,
) -> Option<Leaf> {
    if matches!(stated.first().body, Body::Table(_)) {
        return table::leaf(reader, stated, path, kind);
    }
    let typed = text(reader, stated.first(), path, "\"31 deg\" or \"best torque, knock limited\"")?;
    let (request, margin) = typed.split_once(", margin ").unwrap_or((typed.as_str(), ""));
    let asked = [BEST_TORQUE, KNOCK_LIMITED].into_iter().find(|w| *w == request.trim());
    let Some(asked) = asked else {
        return angle_or_request(reader, stated, path, &typed);
    };
    if !margin.is_empty() {
        let measure = number::one_of(reader, margin, &stated.place, path, &[Quantity::Angle])?;
        let value = Value { text: margin.to_owned(), ..value_of(reader, stated, &[measure]) };
        let item = Item {
            leaf: Leaf::Value(value),
            origin: stated.origin,
            text: margin.to_owned(),
            place: Some(stated.place.clone()),
            spot: Some(reader.spot(&stated.place)),
            remarks: stated.remarks.clone(),
            why: String::new(),
            source: String::new(),
        };
        reader.items.entry("spark.knock_margin".to_owned()).or_insert(item);
    }
    Some(Leaf::Word(asked.to_owned()))
}

fn angle_or_request(reader: &mut Reader, stated: &Stated, path: &str, typed: &str) -> Option<Leaf> {
    if !typed.trim_start().starts_with(|c: char| c.is_ascii_digit() || "+-−.".contains(c)) {
        let what = format!("\"{typed}\" is not a way to set the spark");
        let remedy = "Write \"31 deg\", a table over speed, \"best torque\" or \"best torque, knock limited\".";
        reader.wrong(&stated.place, path, what, remedy);
        return None;
    }
    let measure = number::one_of(reader, typed, &stated.place, path, &[Quantity::Angle])?;
    Some(Leaf::Value(with_spread(value_of(reader, stated, &[measure]), path)))
}

/// A number, or a table over engine speed.
pub fn number_or_table(
    reader: &mut Reader,
    stated: &Stated,
    path: &str,
    field: &'static Field,
    kind: &'static TableKind,
) -> Option<Leaf> {
    if matches!(stated.first().body, Body::Table(_)) {
        return table::leaf(reader, stated, path, kind);
    }
    number::leaf(reader, stated, path, field)
}
