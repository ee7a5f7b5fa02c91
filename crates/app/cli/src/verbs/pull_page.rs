//! One pull over speed: torque and power, what follows from the channels, and on request every
//! channel at its points with count and scatter.

use crate::json::clean;
use crate::logs::{Day, DayPull, fuel_of, fuel_used};
use crate::manner::Manner;
use crate::text::{COLUMNS, csv_row};
use crate::verbs::pulls::day_curve;
use serde_json::{Map, Value as Json, json};
use shortblock_pulls::Pull;
use shortblock_pulls::derived::{Density, Figures, figures};
use shortblock_sheets::{Table, plain_number};
use shortblock_units::{Origin, Quantity, Unit};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Speeds of the table on a page, rpm.
const EVERY: f64 = 250.0;

/// A column of a pull: its heading, what it is, its values in SI at the points.
struct Column {
    heading: &'static str,
    quantity: Quantity,
    values: Vec<f64>,
}

/// Torque and power of the day's standard, then what the channels allow.
fn columns(day: &Day, of_day: &DayPull, pull: &Pull) -> Vec<Column> {
    let mut out = Vec::new();
    let mut add = |heading, quantity, values: Option<Vec<f64>>| {
        let values = values.filter(|values| values.iter().any(|v| v.is_finite()));
        out.extend(values.map(|values| Column { heading, quantity, values }));
    };
    if let Some((curve, _)) = day_curve(day, of_day) {
        let at = |values: &[f64]| -> Vec<f64> {
            let of = |w: &f64| curve.speed().iter().position(|s| (s - w).abs() < 1e-6 * w);
            pull.speeds.iter().map(|w| of(w).map_or(f64::NAN, |i| values[i])).collect()
        };
        match day.roller {
            Some(_) => add("WHEEL power", Quantity::Power, Some(at(curve.power()))),
            None => {
                add("torque", Quantity::Torque, Some(at(curve.torque())));
                add("power", Quantity::Power, Some(at(curve.power())));
            }
        }
    }
    let found = derived(day, of_day, pull);
    add("BMEP", Quantity::PressureDifference, found.brake_mean_effective_pressure);
    add("BSFC", Quantity::FuelConsumption, found.brake_specific_fuel_consumption);
    add("lambda", Quantity::Ratio, found.lambda);
    add("filling", Quantity::Fraction, found.volumetric_efficiency);
    add("air", Quantity::MassFlow, found.air_flow);
    add("efficiency", Quantity::Fraction, found.brake_thermal_efficiency);
    add("piston speed", Quantity::Speed, found.mean_piston_speed);
    out
}

/// What the channels allow, with the engine of the session file, the fuel and the air of the pull.
fn derived(day: &Day, of_day: &DayPull, pull: &Pull) -> Figures {
    let geometry = day.engine.as_ref().and_then(|engine| engine.geometry.as_ref());
    let density = of_day.air.as_ref().ok().map(|air| Density::Inlet(air.first().air.density()));
    figures(pull, geometry, fuel_used(day, of_day), density)
}

/// The page of one pull.
pub fn page(day: &Day, of_day: &DayPull, manner: &Manner) -> String {
    let mut out = manner.strong(&of_day.label) + "\n";
    let Some(pull) = day.pull(of_day) else {
        return out + &manner.wrapped("no pull could be made of this log; see  shortblock read", 2);
    };
    let columns = columns(day, of_day, pull);
    let fits = |count: &usize| {
        let table = table(pull, &columns[..*count], manner).text(2);
        table.lines().all(|line| line.chars().count() <= COLUMNS)
    };
    let shown = (1..=columns.len()).rev().find(fits).unwrap_or(0);
    out += &table(pull, &columns[..shown], manner).text(2);
    out.push('\n');
    out += &manner.wrapped(&foot(day, of_day, &columns), 2);
    let further: Vec<&str> = columns[shown..].iter().map(|column| column.heading).collect();
    if !further.is_empty() {
        let text = format!("Further, with --csv or --json: {}.", further.join(", "));
        out += &manner.wrapped(&text, 2);
    }
    out
}

fn table(pull: &Pull, columns: &[Column], manner: &Manner) -> Table {
    let unit = |column: &Column| manner.symbol(manner.unit(column.quantity));
    let heading = |column: &Column| match column.quantity {
        Quantity::Ratio => column.heading.to_owned(),
        _ => format!("{}, {}", column.heading, unit(column)),
    };
    let headings: Vec<String> = columns.iter().map(heading).collect();
    let all: Vec<&str> = ["rpm"].into_iter().chain(headings.iter().map(String::as_str)).collect();
    let mut table = Table::new(&all);
    for (i, w) in pull.speeds.iter().enumerate() {
        let rpm = w / RPM;
        let round = (rpm / EVERY - (rpm / EVERY).round()).abs() < 0.02;
        if !round && pull.speeds.len() > 30 {
            continue;
        }
        let cell = |column: &Column| cell(column, i, manner);
        let row: Vec<String> = columns.iter().map(cell).collect();
        if row.iter().any(|cell| !cell.is_empty()) {
            table.row([plain_number(rpm, 0)].into_iter().chain(row).collect());
        }
    }
    table
}

/// A value to about a part in a thousand; empty where there is none.
fn cell(column: &Column, point: usize, manner: &Manner) -> String {
    let value = manner.unit(column.quantity).from_si(column.values[point]);
    if !value.is_finite() {
        return String::new();
    }
    let decimals = match value.abs() {
        v if v >= 1000.0 => 0,
        v if v >= 10.0 => 1,
        _ => 3,
    };
    plain_number(value, decimals)
}

/// What torque is, what air and fuel the figures are of, and what is missing for more.
fn foot(day: &Day, of_day: &DayPull, columns: &[Column]) -> String {
    let mut says: Vec<String> = Vec::new();
    if let Some((_, word)) = day_curve(day, of_day) {
        says.push(format!("Torque and power: {word}; everything else of what was read."));
    }
    let has = |heading: &str| columns.iter().any(|column| column.heading == heading);
    match day.engine.as_ref().map(|engine| engine.geometry) {
        Some(Some(geometry)) => {
            let litres = 1e3 * geometry.displacement;
            says.push(format!("Displacement {litres:.3} L by the engine's file."));
        }
        Some(None) => says.push(
            "The engine's file states no bore and stroke, so there is no BMEP and no filling: name \
             the file of a build."
                .to_owned(),
        ),
        None => says.push(
            "No engine is named, so there is no BMEP and no filling: write  engine = \"FILE\"  in \
             session.toml."
                .to_owned(),
        ),
    }
    if let Ok(air) = &of_day.air {
        let air = &air.first().air;
        let (density, height) = (air.density(), air.density_altitude());
        let of = if has("filling") { ", which filling is of" } else { "" };
        says.push(format!(
            "Air at the inlet {density:.3} kg/m³{of}; density altitude {height:.0} m."
        ));
    }
    if has("BSFC") || has("air") {
        says.push(format!("Fuel: {}.", fuel_of(day, of_day).name));
    }
    says.join(" ")
}

/// The columns of a pull, and every channel with count and scatter, as JSON.
pub fn as_json(day: &Day, of_day: &DayPull, manner: &Manner) -> Option<Json> {
    let pull = day.pull(of_day)?;
    let list = |values: &[f64], unit: Option<&Unit>| -> Vec<Option<f64>> {
        let shown = |v: &f64| v.is_finite().then(|| clean(unit.map_or(*v, |u| u.from_si(*v))));
        values.iter().map(shown).collect()
    };
    let mut figures = Map::new();
    for column in columns(day, of_day, pull) {
        let unit = manner.unit(column.quantity);
        let values = list(&column.values, Some(unit));
        figures.insert(column.heading.into(), json!({ "unit": unit.symbol, "values": values }));
    }
    let channels = pull.channels.iter().map(|points| {
        let unit = points.channel.quantity().map(|quantity| manner.unit(quantity));
        let spread = unit.map(|unit| unit.from_si(1.0) - unit.from_si(0.0));
        let scatter = points.scatter.iter().map(|s| s * spread.unwrap_or(1.0)).collect::<Vec<_>>();
        json!({
            "channel": points.channel.name(), "heading": points.heading,
            "unit": unit.map(|unit| unit.symbol), "kind": Origin::Measured.key(),
            "mean": list(&points.mean, unit), "scatter": list(&scatter, None),
            "count": points.count,
        })
    });
    Some(json!({
        "speed": { "unit": "rpm", "values": pull.speeds.iter().map(|w| clean(w / RPM)).collect::<Vec<_>>() },
        "done": pull.done.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "figures": figures,
        "channels": channels.collect::<Vec<_>>(),
    }))
}

/// The columns of pulls as CSV, one line a point.
pub fn as_csv(day: &Day, pulls: &[&DayPull], manner: &Manner) -> String {
    let mut out = csv_row(&["pull", "speed rpm", "figure", "value", "unit"]);
    for of_day in pulls {
        let Some(pull) = day.pull(of_day) else { continue };
        for column in columns(day, of_day, pull) {
            let unit = manner.unit(column.quantity);
            for (w, value) in pull.speeds.iter().zip(&column.values) {
                if value.is_finite() {
                    out += &csv_row(&[
                        of_day.label.clone(),
                        clean(w / RPM).to_string(),
                        column.heading.to_owned(),
                        clean(unit.from_si(*value)).to_string(),
                        unit.symbol.to_owned(),
                    ]);
                }
            }
        }
    }
    out
}
