//! Numbers with units, one for the engine or one per cylinder.

use shortblock_document::{Body, Finding, Node, Place, label, value_fault};
use shortblock_units::{Measure, Quantity, UnitError, parse_each, parse_one_of, units_of};

use crate::defaults;
use crate::item::Leaf;
use crate::schema::{Field, Kind};
use crate::value::Value;

use super::Reader;
use super::stated::Stated;

/// Reads a number; `None` when it can't be used.
pub fn leaf(reader: &mut Reader, stated: &Stated, path: &str, field: &Field) -> Option<Leaf> {
    let measures = measures(reader, stated.first(), path, &field.kind)?;
    let several = measures.len() > 1;
    let one_per_cylinder = stated.each || (several && field.each);
    if matches!(field.kind, Kind::Angles) {
        return Some(Leaf::Value(value_of(reader, stated, &measures)));
    }
    if one_per_cylinder && measures.len() != reader.cylinders {
        let what = format!("{} values for {} cylinders", measures.len(), reader.cylinders);
        let fault = Finding::new(what).at(&stated.place).about(path);
        reader.faults.push(fault.mark("one per cylinder is wanted"));
        return None;
    }
    if several && !one_per_cylinder {
        let what = format!("{} is one value, {} are given", label(path), measures.len());
        reader.wrong(&stated.place, path, what, "Leave one.");
        return None;
    }
    Some(Leaf::Value(value_of(reader, stated, &measures)))
}

/// The value that a list of measures makes: their mean, and each when there are several.
pub fn value_of(reader: &Reader, stated: &Stated, measures: &[Measure]) -> Value {
    let count = measures.len().max(1) as f64;
    let si = measures.iter().map(|m| m.si).sum::<f64>() / count;
    let stated_pm = measures.iter().filter_map(|m| m.plus_minus).reduce(f64::max);
    let last_place = measures.iter().map(|m| m.last_place).fold(0.0, f64::max);
    let quantity = measures.first().map_or(Quantity::Ratio, |m| m.quantity);
    Value {
        si,
        each: if measures.len() > 1 { measures.iter().map(|m| m.si).collect() } else { Vec::new() },
        plus_minus: stated_pm.unwrap_or(0.5 * last_place),
        plus_minus_stated: stated_pm.is_some(),
        quantity,
        origin: stated.origin,
        text: stated.text(),
        spot: Some(reader.spot(&stated.place)),
        why: String::new(),
        source: String::new(),
        remarks: stated.remarks.clone(),
        others: stated.others(),
    }
}

/// The numbers of a node, turned to the quantity the kind wants.
pub fn measures(reader: &mut Reader, node: &Node, path: &str, kind: &Kind) -> Option<Vec<Measure>> {
    let quantity = defaults::quantity_of_kind(kind);
    let text = match &node.body {
        Body::Text(text) => text.clone(),
        Body::Number(_, text) => text.replace('_', ""),
        _ => {
            let unit = units_of(quantity).first().map_or("", |u| u.symbol);
            let what =
                format!("{} is {} and not {}", label(path), quantity.with_article(), what_is(node));
            let remedy = format!("Write \"50 {unit}\" or the like, in quotes.");
            reader.wrong(&node.place, path, what, remedy.replace(" \"", "\"").trim());
            return None;
        }
    };
    let read =
        if matches!(kind, Kind::Opening) { opening(&text) } else { parse_each(&text, quantity) };
    match read {
        Ok(measures) if measures.iter().all(|m| m.at.is_none()) => Some(measures),
        Ok(_) => {
            let what = format!("{} is not stated \"at\" anything", label(path));
            reader.wrong(
                &node.place,
                path,
                what,
                "Take out what follows \"at\", or put it in a note.",
            );
            None
        }
        Err(error) => {
            let fault = value_fault(&error, &node.place, path, quantity);
            reader.faults.push(fault);
            None
        }
    }
}

/// A diameter, or an area as the diameter of the equal circle.
fn opening(text: &str) -> Result<Vec<Measure>, UnitError> {
    let lengths = parse_each(text, Quantity::Length);
    let areas = match &lengths {
        Err(UnitError::OtherQuantity { is: Quantity::Area, .. }) => {
            parse_each(text, Quantity::Area)
        }
        _ => return lengths,
    };
    let to_diameter = |m: Measure| {
        let diameter = (4.0 * m.si.max(0.0) / std::f64::consts::PI).sqrt();
        let slope = if m.si > 0.0 { diameter / (2.0 * m.si) } else { 0.0 };
        Measure {
            quantity: Quantity::Length,
            si: diameter,
            plus_minus: m.plus_minus.map(|pm| pm * slope),
            last_place: m.last_place * slope,
            ..m
        }
    };
    Ok(areas?.into_iter().map(to_diameter).collect())
}

/// Reads one text as the first of several kinds of quantity that fits.
pub fn one_of(
    reader: &mut Reader,
    text: &str,
    place: &Place,
    path: &str,
    kinds: &[Quantity],
) -> Option<Measure> {
    match parse_one_of(text, kinds) {
        Ok(measure) => Some(measure),
        Err(error) => {
            let quantity = kinds.first().copied().unwrap_or(Quantity::Ratio);
            let fault = value_fault(&error, place, path, quantity);
            reader.faults.push(fault);
            None
        }
    }
}

fn what_is(node: &Node) -> &'static str {
    match node.body {
        Body::List(_) => "a list",
        Body::Table(_) => "a table",
        Body::Flag(_) => "yes or no",
        Body::Date(_) => "a date",
        Body::Text(_) | Body::Number(..) => "this",
    }
}

/// The text of a node that must be one.
pub fn text(reader: &mut Reader, node: &Node, path: &str, example: &str) -> Option<String> {
    match node.text() {
        Some(text) => Some(text.to_owned()),
        None => {
            let what = format!("{} is a text in quotes, not {}", label(path), node);
            reader.wrong(&node.place, path, what, &format!("Write {example}."));
            None
        }
    }
}
