//! Is the value possible, is it likely, or is it a slip of the unit?

use crate::defaults::{self, Standing};
use crate::item::{Item, Leaf};
use crate::value::Value;
use shortblock_document::{Finding, Place, label};

use super::Reader;

/// Air-fuel ratios by mass that people write for lambda: methanol rich to petrol lean.
const AIR_FUEL_RATIOS: std::ops::RangeInclusive<f64> = 4.0..=20.0;

/// Notes a fault or a doubt when a number lies outside its range; false for a fault.
pub fn check(reader: &mut Reader, path: &str, item: &Item) -> bool {
    let Some(place) = &item.place else { return true };
    let Some(standing) = defaults::default_of(path) else { return true };
    let faults_before = reader.faults.len();
    let doubt_ok = item.remarks.doubt_ok.as_str();
    match &item.leaf {
        Leaf::Value(value) => number(reader, path, place, standing, value, doubt_ok),
        Leaf::Count(count) => {
            let value =
                Value::worked_out(*count as f64, 0.0, shortblock_units::Quantity::Ratio, "");
            let value = Value { text: item.text.clone(), ..value };
            number(reader, path, place, standing, &value, doubt_ok);
        }
        Leaf::FlowAtDrop(value, _) | Leaf::DropAtFlow(value, _) => {
            number(reader, path, place, standing, value, doubt_ok);
        }
        Leaf::Wish(wish) => number(reader, path, place, standing, &wish.value, doubt_ok),
        Leaf::Durations(list) => {
            for duration in list {
                number(reader, path, place, standing, &duration.angle, doubt_ok);
            }
        }
        _ => {}
    }
    reader.faults.len() == faults_before
}

fn number(
    reader: &mut Reader,
    path: &str,
    place: &Place,
    standing: &Standing,
    value: &Value,
    doubt_ok: &str,
) {
    let range = value.range();
    let outside = |limits: Option<(f64, f64)>| {
        limits.is_some_and(|(low, high)| {
            let room = 1e-9 * (high.abs() + low.abs());
            range.start < low - room || range.end > high + room
        })
    };
    let name = label(path);
    if outside(standing.fault) {
        let what = format!(
            "{name} of {} can't be: it must lie in {}",
            value.text,
            words(&standing.fault_text)
        );
        let slip = slip(path, standing, value);
        let fault = Finding::new(what).at(place).about(path).mark(slip);
        reader.faults.push(fault.remedy("Check the figure and its unit."));
    } else if outside(standing.doubt) {
        let what =
            format!("{name} of {} is far outside {}", value.text, words(&standing.doubt_text));
        let slip = slip(path, standing, value);
        let mark = if slip.is_empty() { "is it right?".to_owned() } else { slip };
        let doubt = Finding::new(what).at(place).about(path).mark(mark);
        let remedy = "If it is, add  doubt_ok = \"reason\"  to this table.";
        reader.doubt(doubt.remedy(remedy), doubt_ok);
    }
}

fn words(range: &Option<(String, String)>) -> String {
    match range {
        Some((low, high)) => match (low.split_once(' '), high.split_once(' ')) {
            (Some((number, unit)), Some((_, other))) if unit == other => {
                format!("{number} to {high}")
            }
            _ => format!("{low} to {high}"),
        },
        None => String::new(),
    }
}

/// The usual slips of the bench: inches for millimetres, a decimal point moved by one.
fn slip(path: &str, standing: &Standing, value: &Value) -> String {
    if path == "fuel.lambda" && AIR_FUEL_RATIOS.contains(&value.si) {
        return "an air-fuel ratio? lambda is that over the fuel's own, 0.88 for 12.9".to_owned();
    }
    let Some((low, high)) = standing.doubt.or(standing.fault) else { return String::new() };
    let fits = |factor: f64| (low..=high).contains(&(value.si * factor));
    let is_length = value.quantity == shortblock_units::Quantity::Length;
    if is_length && fits(25.4) {
        "inches written as mm? 25.4 times that would fit".to_owned()
    } else if is_length && fits(1.0 / 25.4) {
        "mm written as inches? a 25.4th of that would fit".to_owned()
    } else if fits(10.0) || fits(0.1) {
        "is a digit missing, or one too many?".to_owned()
    } else {
        String::new()
    }
}
