//! What stands above every page of predictions: charts, which build, in which air.

use super::picture::{power_axis, torque_axis};
use crate::asking::{Question, Subject};
use crate::manner::Manner;
use crate::text::harmless;
use shortblock_plan::Conditions;
use shortblock_sheets::{Series, TerminalStyle, plain_number, terminal_chart};
use shortblock_units::Quantity;

/// Torque over power; nothing for curves of a single speed, which the table says better.
pub fn charts(series: &[Series], speeds: usize, manner: &Manner) -> String {
    if speeds < 2 {
        return String::new();
    }
    let style = if manner.plain { TerminalStyle::Plain } else { TerminalStyle::Braille };
    let axes = [torque_axis(manner), power_axis(manner)];
    axes.iter().map(|axis| format!("\n{}", terminal_chart(series, axis, style))).collect()
}

/// Which build, what is tried, in which air.
pub fn heading(question: &Question, manner: &Manner) -> String {
    let title = manner.wrapped(&title(&question.subject), 0);
    let air = air_of(&question.subject, question.ask.conditions.as_ref(), manner);
    manner.strong(title.trim_end())
        + "\n"
        + &tried(&question.subject, manner)
        + &manner.wrapped(&air, 2)
}

/// What is tried in place of what the file says, a line each.
pub fn tried(subject: &Subject, manner: &Manner) -> String {
    let line = |(path, old, new): &(String, Option<String>, String)| {
        let old = old.as_deref().unwrap_or("not stated");
        manner.wrapped(&format!("tried: {path} {old} → {new}"), 2)
    };
    subject.tried.iter().map(line).collect()
}

/// The engine's address and name.
pub fn title(subject: &Subject) -> String {
    let identity = &subject.opened.build.identity;
    let address = [identity.number.as_str(), identity.build.as_str()];
    let address: Vec<&str> = address.into_iter().filter(|word| !word.is_empty()).collect();
    let words = [address.join("/"), identity.name.clone()];
    let words: Vec<String> = words.into_iter().filter(|word| !word.is_empty()).collect();
    let title = if words.is_empty() { subject.opened.name.clone() } else { words.join(", ") };
    harmless(&title)
}

/// The air of the prediction, the one asked for or the build's own, in words.
pub fn air_of(subject: &Subject, asked: Option<&Conditions>, manner: &Manner) -> String {
    let state = &subject.opened.build.state;
    let (temperature, pressure, humidity) = match asked {
        Some(air) => (air.temperature, air.pressure, air.humidity),
        None => (state.air_temperature.si, state.air_pressure.si, state.humidity.si),
    };
    let shown = |si: f64, quantity: Quantity, places: usize| {
        let unit = manner.unit(quantity);
        let symbol = if manner.plain { unit.symbol.to_owned() } else { unit.pretty() };
        format!("{} {symbol}", plain_number(unit.from_si(si), places))
    };
    format!(
        "air {}, {}, {} humidity",
        shown(pressure, Quantity::AbsolutePressure, 1),
        shown(temperature, Quantity::Temperature, 0),
        shown(humidity, Quantity::Fraction, 0),
    )
}
