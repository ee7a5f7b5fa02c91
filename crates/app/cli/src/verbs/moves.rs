//! `moves`: what a sensible step of each value does, ranked.

use crate::Done;
use crate::args::Moves;
use crate::asking::{self, Question};
use crate::difference::signed;
use crate::failure::Failure;
use crate::json::{clean, line, quantity};
use crate::manner::{Form, Manner};
use crate::text::{counted, csv_row};
use crate::verbs::predict::{figure, heading, wrapped_entry};
use serde_json::{Value as Json, json};
use shortblock_plan::{Effect, Moves as Found};
use shortblock_sheets::{Table, plain_number};
use shortblock_units::{Origin, Quantity};
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// The widest path in the table; longer ones lose their head, which the file's tables repeat.
const WIDEST: usize = 32;

/// Works the steps out and ranks them.
pub fn run(args: &Moves, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let question = asking::question(&args.asked, &[], manner, shop)?;
    let found = shortblock_plan::moves(
        &question.subject.opened.build,
        &question.ask,
        args.most,
        &question.threads,
        &question.progress,
    );
    question.progress.clear();
    let found = found.map_err(|error| asking::failure(error, &question))?;
    let text = match manner.form {
        Form::Text => page(&question, &found, args.most, manner),
        Form::Json => line(&as_json(&question, &found, manner), manner),
        Form::Csv => as_csv(&found, manner),
    };
    Ok(Done::well(text))
}

fn page(question: &Question, found: &Found, most: usize, manner: &Manner) -> String {
    let mut out = heading(question, manner);
    let power = manner.unit(Quantity::Power);
    let torque = manner.unit(Quantity::Torque);
    let headings = [
        "value".to_owned(),
        "step".to_owned(),
        format!("power, {}", manner.symbol(power)),
        format!("mean, {}", manner.symbol(torque)),
        "unknown".to_owned(),
    ];
    let mut table = Table::new(&headings.each_ref().map(String::as_str)).first_left();
    for effect in found.effects.iter().take(most) {
        let cells = [
            named(effect, manner),
            step(effect, manner),
            signed(&effect.best_power, power),
            signed(&effect.average_torque, torque),
            format!("±{}", short(power.span_from_si(effect.not_knowing))),
        ];
        table.row(cells.iter().map(|cell| manner.text(cell)).collect());
    }
    out += &format!("\n{}\n", table.text(0));
    let range = |speed: f64| plain_number((speed / RPM / 50.0).round() * 50.0, 0);
    let (low, high) = (range(found.range.0), range(found.range.1));
    let text = match low == high {
        true => format!("change of power and of torque at {low} rpm"),
        false => format!("change of best power, and of mean torque over {low} to {high} rpm"),
    };
    out += &wrapped_entry("power, mean", &text, manner);
    let text = "what best power may be off by because the value is only known to its ±: measure \
                the largest first";
    out += &wrapped_entry("unknown", text, manner);
    if found.effects.iter().all(|effect| effect.best_power.plus_minus.is_none()) {
        let text = "not known on the coarse mesh: the order is a first look. Leave --coarse out.";
        out += &wrapped_entry("±", text, manner);
    }
    let left = found.effects.len().saturating_sub(most);
    if left > 0 {
        let text = format!("{} move less; see them with --most {}", left, found.effects.len());
        out += &wrapped_entry("further", &text, manner);
    }
    for (path, why) in &found.failed {
        let why = why.replace('\n', "; ");
        out += &wrapped_entry("not worked out", &format!("{path}: {why}"), manner);
    }
    let marks = [Origin::Measured, Origin::Given, Origin::Maker, Origin::Assumed];
    let there = |origin: &Origin| found.effects.iter().take(most).any(|e| e.origin == *origin);
    let marks: Vec<String> = marks
        .into_iter()
        .filter(there)
        .map(|origin| format!("{} {}", manner.mark(origin), origin.word()))
        .collect();
    out += &format!("\n{}", manner.wrapped(&marks.join(", "), 2));
    manner.say(&format!("{} worked out", counted(found.effects.len(), "step")));
    out
}

fn named(effect: &Effect, manner: &Manner) -> String {
    let letters: Vec<char> = effect.path.chars().collect();
    let cut = letters.len().saturating_sub(WIDEST);
    let path: String = letters[cut..].iter().collect();
    let head = if cut > 0 { "…" } else { "" };
    format!("{} {head}{path}", manner.mark(effect.origin))
}

/// The step with its sign, in the unit that is shown.
fn step(effect: &Effect, manner: &Manner) -> String {
    let unit = manner.unit(effect.quantity);
    let size = unit.span_from_si(effect.step);
    let sign = if size < 0.0 { "−" } else { "+" };
    // Three figures; what a step is rounds well.
    let size: f64 = format!("{:.2e}", size.abs()).parse().unwrap_or(size.abs());
    format!("{sign}{size} {}", manner.symbol(unit)).trim_end().to_owned()
}

/// A number of two figures or so.
fn short(value: f64) -> String {
    plain_number(value, if value.abs() < 9.95 { 1 } else { 0 })
}

fn as_json(question: &Question, found: &Found, manner: &Manner) -> Json {
    let rpm = manner.unit(Quantity::EngineSpeed);
    let effects = found.effects.iter().map(|effect| {
        let torque = manner.unit(Quantity::Torque);
        let curve: Vec<f64> =
            effect.torque.iter().map(|f| clean(torque.span_from_si(f.value))).collect();
        json!({
            "path": effect.path,
            "from": quantity(effect.from, None, effect.quantity, effect.origin, manner),
            "step": { "value": clean(manner.unit(effect.quantity).span_from_si(effect.step)),
                "unit": manner.unit(effect.quantity).symbol },
            "best_power": figure(&effect.best_power, Quantity::Power, manner),
            "best_torque": figure(&effect.best_torque, Quantity::Torque, manner),
            "average_torque": figure(&effect.average_torque, Quantity::Torque, manner),
            "not_knowing": { "value": clean(manner.unit(Quantity::Power).span_from_si(effect.not_knowing)),
                "unit": manner.unit(Quantity::Power).symbol },
            "torque": { "unit": torque.symbol, "values": curve, "kind": Origin::Predicted.key() },
        })
    });
    let effects: Vec<Json> = effects.collect();
    let speeds: Vec<f64> = found.speeds.iter().map(|si| clean(rpm.from_si(*si))).collect();
    let failed: Vec<Json> =
        found.failed.iter().map(|(path, why)| json!({ "path": path, "why": why })).collect();
    json!({ "format": "shortblock/moves/1", "file": question.subject.opened.name,
        "speed": { "unit": rpm.symbol, "values": speeds }, "effects": effects,
        "not_worked_out": failed })
}

fn as_csv(found: &Found, manner: &Manner) -> String {
    let (power, torque) = (manner.unit(Quantity::Power), manner.unit(Quantity::Torque));
    let mut headings = vec!["path".to_owned(), "origin".to_owned(), "from".to_owned()];
    headings.extend(["step".to_owned(), "unit".to_owned()]);
    for (word, unit) in [("best power", power), ("best torque", torque), ("mean torque", torque)] {
        headings.extend([format!("{word} {}", unit.symbol), format!("{word} ± {}", unit.symbol)]);
    }
    headings.extend([format!("not knowing ± {}", power.symbol), "kind".to_owned()]);
    let mut out = csv_row(&headings);
    for effect in &found.effects {
        let unit = manner.unit(effect.quantity);
        let text = |number: f64| clean(number).to_string();
        let mut cells = vec![effect.path.clone(), effect.origin.key().to_owned()];
        cells.extend([text(unit.from_si(effect.from)), text(unit.span_from_si(effect.step))]);
        cells.push(unit.symbol.to_owned());
        let all = [(&effect.best_power, power), (&effect.best_torque, torque)];
        for (figure, unit) in all.into_iter().chain([(&effect.average_torque, torque)]) {
            cells.push(text(unit.span_from_si(figure.value)));
            let pm = figure.plus_minus.map(|pm| text(unit.span_from_si(pm)));
            cells.push(pm.unwrap_or_default());
        }
        cells.push(text(power.span_from_si(effect.not_knowing)));
        cells.push(Origin::Predicted.key().to_owned());
        out += &csv_row(&cells);
    }
    out
}
