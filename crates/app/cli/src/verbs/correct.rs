//! `correct`: torque and power brought to the air of a standard, once and by its name, with the
//! formula, the air, the factor and what was observed beside it.

use crate::Done;
use crate::args::Correct;
use crate::failure::{Failure, NOT_WORKED_OUT};
use crate::json::{clean, line};
use crate::logs::{Day, DayPull, open_day};
use crate::manner::{Form, Manner};
use crate::text::csv_row;
use crate::verbs::check_pull::chosen;
use serde_json::{Value as Json, json};
use shortblock_pulls::Pull;
use shortblock_session::{AirFrom, InAir};
use shortblock_sheets::{Table, plain_number};
use shortblock_units::Quantity;
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// Speeds of the table on a page, rpm.
const EVERY: f64 = 250.0;

/// Corrects the pulls that are asked for.
pub fn run(args: &Correct, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let day = open_day(&args.day, shop)?;
    let pulls = chosen(&day, &args.pull)?;
    let text = match manner.form {
        Form::Text => {
            let always = always_beside(&pulls);
            let pages = pulls.iter().map(|pull| page(&day, pull, &always, manner));
            heading(&day, &always, manner) + &pages.collect::<Vec<_>>().join("\n")
        }
        Form::Json => line(&as_json(&day, &pulls, manner), manner),
        Form::Csv => as_csv(&day, &pulls, manner),
    };
    let whole = pulls.iter().all(|pull| pull.air.is_ok());
    Ok(Done { text, code: if whole { 0 } else { NOT_WORKED_OUT } })
}

/// The standard with its formula, said once.
fn heading(day: &Day, always: &[&str], manner: &Manner) -> String {
    let about = day.standard.about();
    let mut out = manner.heading(&day.standard.to_string());
    out += &manner.wrapped(&format!("revision: {}", about.revision), 2);
    if let Some(formula) = about.spark {
        out += &manner.wrapped(&format!("{formula}; reference: {}", about.reference), 2);
    }
    if !day.standard_said {
        let text = "Nobody named a standard; this is the usual one for spark ignition. Another one: \
                    --standard NAME";
        out += &manner.wrapped(text, 2);
    }
    out += &manner.wrapped(&format!("how far its text is known here: {}", about.source), 2);
    for remark in always {
        out += &manner.wrapped(remark, 2);
    }
    if day.pulls.iter().filter_map(|p| day.pull(p)).any(|p| p.with_inertia.is_some()) {
        let text = "\"As read\" holds the torque that accelerates the rotating parts.";
        out += &manner.wrapped(text, 2);
    }
    out + "\n"
}

/// What is to be said beside every pull that has a factor.
fn always_beside<'a>(pulls: &[&'a DayPull]) -> Vec<&'a str> {
    let mut all = pulls.iter().filter_map(|pull| pull.air.as_ref().ok()).map(|air| &air.beside);
    let first: Vec<&str> = all.next().into_iter().flatten().map(String::as_str).collect();
    let others: Vec<&Vec<String>> = all.collect();
    first.into_iter().filter(|one| others.iter().all(|o| o.iter().any(|x| x == one))).collect()
}

fn page(day: &Day, pull: &DayPull, always: &[&str], manner: &Manner) -> String {
    let mut out = manner.heading(&pull.label);
    let Some(found) = day.pull(pull) else {
        return out + &manner.wrapped("no pull could be made of this log; see  shortblock read", 2);
    };
    match &pull.air {
        Err(why) => out + &manner.wrapped(&format!("not corrected: {why}"), 2),
        Ok(air) => {
            out += &manner.wrapped(&of_air(air), 2);
            for remark in &air.against {
                out += &manner.wrapped(&format!("! {remark}"), 2);
            }
            for remark in air.beside.iter().filter(|one| !always.contains(&one.as_str())) {
                out += &manner.wrapped(remark, 2);
            }
            out + &table(day, pull, found, air, manner)
        }
    }
}

/// Air and factor in words.
fn of_air(air: &InAir) -> String {
    let a = &air.first().air;
    let from = match air.from {
        AirFrom::Log => "read by the log",
        AirFrom::Session => "read by the session file's station",
        AirFrom::Said => "as said",
    };
    format!(
        "factor {:.4}: {:.2} kPa, of it {:.2} kPa vapour, {:.1} degC, {from}",
        air.factor(),
        a.pressure() / 1e3,
        a.vapour_pressure() / 1e3,
        a.temperature() - 273.15
    )
}

/// A figure of a pull over speed, observed and corrected, in SI.
struct Columns {
    /// Torque at the crankshaft, or power at the wheels, whose torque is that of a gear.
    quantity: Quantity,
    word: &'static str,
    observed: Vec<f64>,
    corrected: Vec<f64>,
}

fn columns(day: &Day, pull: &DayPull, air: &InAir) -> Option<Columns> {
    let (quantity, word, observed) = match &day.roller {
        Some(_) => {
            let power = day.wheel(pull)?.power.iter().map(|power| power.0).collect();
            (Quantity::Power, "wheel power", power)
        }
        None => (Quantity::Torque, "torque", day.pull(pull)?.best_torque()?.mean.clone()),
    };
    let corrected: Vec<f64> = air.corrected(&observed).ok()?;
    Some(Columns { quantity, word, observed, corrected })
}

fn table(day: &Day, of_day: &DayPull, pull: &Pull, air: &InAir, manner: &Manner) -> String {
    let Some(columns) = columns(day, of_day, air) else {
        let why = match &day.roller {
            Some(Err(why)) => why,
            Some(Ok(_)) => &day.no_wheel(of_day).unwrap_or_default(),
            None => {
                "this log has no torque as read, or the standard wants friction that nobody measured"
            }
        };
        return manner.wrapped(why, 2);
    };
    let (torque, power) = (manner.unit(Quantity::Torque), manner.unit(Quantity::Power));
    let at_wheels = columns.quantity == Quantity::Power;
    let pair = |place: &str, unit| {
        ["as read", "corrected"].map(|word| format!("{word}, {place}{}", manner.symbol(unit)))
    };
    let mut headings = vec!["rpm".to_owned()];
    if at_wheels {
        headings.extend(pair("WHEEL ", power));
    } else {
        headings.extend(pair("", torque).into_iter().chain(pair("", power)));
    }
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings);
    let mut empty: Vec<String> = Vec::new();
    for ((w, o), c) in pull.speeds.iter().zip(&columns.observed).zip(&columns.corrected) {
        let rpm = w / RPM;
        let round = (rpm / EVERY - (rpm / EVERY).round()).abs() < 0.02;
        if !round && pull.speeds.len() > 30 {
            continue;
        }
        if !c.is_finite() {
            empty.push(plain_number(rpm, 0));
            continue;
        }
        let one = |si: f64, unit: &shortblock_units::Unit| plain_number(unit.from_si(si), 1);
        let mut row = vec![plain_number(rpm, 0)];
        if at_wheels {
            row.extend([one(*o, power), one(*c, power)]);
        } else {
            row.extend([one(*o, torque), one(*c, torque), one(o * w, power), one(c * w, power)]);
        }
        table.row(row);
    }
    let mut out = table.text(2);
    if !empty.is_empty() {
        let text = format!(
            "no row of the log with torque near {} rpm: a slower sweep or more rows a second",
            empty.join(", ")
        );
        out += &manner.wrapped(&text, 2);
    }
    out
}

fn as_json(day: &Day, pulls: &[&DayPull], manner: &Manner) -> Json {
    let one = |pull: &&DayPull| {
        let air = pull.air.as_ref();
        let columns = air.ok().and_then(|air| columns(day, pull, air));
        let curve = day.pull(pull).zip(columns).map(|(found, columns)| {
            let unit = manner.unit(columns.quantity);
            let list = |values: &[f64]| -> Vec<f64> {
                values.iter().map(|v| clean(unit.from_si(*v))).collect()
            };
            json!({
                "of": columns.word,
                "speed": { "unit": "rpm",
                    "values": found.speeds.iter().map(|w| clean(w / RPM)).collect::<Vec<_>>() },
                "observed": { "unit": unit.symbol, "values": list(&columns.observed) },
                "corrected": { "unit": unit.symbol, "values": list(&columns.corrected) },
            })
        });
        json!({
            "pull": pull.label,
            "factor": air.ok().map(|a| clean(a.factor())),
            "pressure_kpa": air.ok().map(|a| clean(a.first().air.pressure() / 1e3)),
            "vapour_pressure_kpa": air.ok().map(|a| clean(a.first().air.vapour_pressure() / 1e3)),
            "temperature_degc": air.ok().map(|a| clean(a.first().air.temperature() - 273.15)),
            "against": air.ok().map(|a| a.against.clone()),
            "beside": air.ok().map(|a| a.beside.clone()),
            "not_corrected": air.err().map(ToString::to_string),
            "curve": curve,
        })
    };
    let about = day.standard.about();
    json!({
        "format": "shortblock/correct/1",
        "standard": { "key": about.key, "name": day.standard.to_string(), "formula": about.spark },
        "pulls": pulls.iter().map(one).collect::<Vec<_>>(),
    })
}

fn as_csv(day: &Day, pulls: &[&DayPull], manner: &Manner) -> String {
    let (quantity, word) = match day.roller {
        Some(_) => (Quantity::Power, "wheel power"),
        None => (Quantity::Torque, "torque"),
    };
    let unit = manner.unit(quantity);
    let headings = [
        "pull".to_owned(),
        "standard".to_owned(),
        "factor".to_owned(),
        "speed rpm".to_owned(),
        format!("observed {word} {}", unit.symbol),
        format!("corrected {word} {}", unit.symbol),
    ];
    let mut out = csv_row(&headings);
    for pull in pulls {
        let (Some(found), Ok(air)) = (day.pull(pull), &pull.air) else { continue };
        let Some(columns) = columns(day, pull, air) else { continue };
        for ((w, o), c) in found.speeds.iter().zip(&columns.observed).zip(&columns.corrected) {
            if !c.is_finite() {
                continue;
            }
            out += &csv_row(&[
                pull.label.clone(),
                day.standard.about().key.to_owned(),
                clean(air.factor()).to_string(),
                clean(w / RPM).to_string(),
                clean(unit.from_si(*o)).to_string(),
                clean(unit.from_si(*c)).to_string(),
            ]);
        }
    }
    out
}
