//! The prediction for people: charts, table, and what to know about it, in 80 columns.

use super::Answer;
use super::picture::{power_axis, torque_axis};
use crate::asking::Question;
use crate::figures::{knock_margin, peak_pressure};
use crate::manner::Manner;
use crate::text::{counted, harmless, source};
use shortblock_curve::Quantity as Column;
use shortblock_cycle::Point;
use shortblock_engine::Wish;
use shortblock_plan::{Best, Figure, GoalCheck, LimitCheck, Prediction, Quality, Verdict, Whose};
use shortblock_sheets::{
    Series, Slot, Table, TerminalStyle, plain_number, plus_minus_column, quantity_text,
    terminal_chart,
};
use shortblock_units::{Origin, Quantity};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Column in which what is said about a heading begins.
const ENTRY: usize = 15;

/// The whole page.
pub fn page(answer: &Answer, manner: &Manner) -> String {
    let prediction = &answer.prediction;
    let series = [Series::predicted(Slot::A, prediction.curve.clone())];
    let mut out = heading(&answer.question, manner);
    out += &charts(&series, prediction.curve.speed().len(), manner);
    out += &format!("\n{}\n", table(prediction, manner));
    out += &summary(answer, manner);
    out
}

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
    let title = manner.wrapped(&title(question), 0);
    let mut out = manner.strong(title.trim_end()) + "\n";
    for (path, old, new) in &question.tried {
        let old = old.as_deref().unwrap_or("not stated");
        out += &manner.wrapped(&format!("tried: {path} {old} → {new}"), 2);
    }
    out + &manner.wrapped(&air_of(question, manner), 2)
}

/// The engine's address and name.
pub fn title(question: &Question) -> String {
    let identity = &question.opened.build.identity;
    let address = [identity.number.as_str(), identity.build.as_str()];
    let address: Vec<&str> = address.into_iter().filter(|word| !word.is_empty()).collect();
    let words = [address.join("/"), identity.name.clone()];
    let words: Vec<String> = words.into_iter().filter(|word| !word.is_empty()).collect();
    let title = if words.is_empty() { question.opened.name.clone() } else { words.join(", ") };
    harmless(&title)
}

/// The air of the prediction, in words.
pub fn air_of(question: &Question, manner: &Manner) -> String {
    let state = &question.opened.build.state;
    let (temperature, pressure, humidity) = match &question.ask.conditions {
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

fn table(prediction: &Prediction, manner: &Manner) -> String {
    let curve = &prediction.curve;
    let power = column(curve.power(), curve.plus_minus(Column::Power), Quantity::Power, manner);
    let torque = column(curve.torque(), curve.plus_minus(Column::Torque), Quantity::Torque, manner);
    let unit = |quantity| manner.symbol(manner.unit(quantity));
    let pressure = manner.unit(Quantity::AbsolutePressure);
    let headings = [
        "rpm".to_owned(),
        format!("torque, {}", unit(Quantity::Torque)),
        format!("power, {}", unit(Quantity::Power)),
        "filling, %".to_owned(),
        "spark, deg".to_owned(),
        "margin, deg".to_owned(),
        format!("peak, {}", manner.symbol(pressure)),
    ];
    let mut table = Table::new(&headings.each_ref().map(String::as_str));
    for (i, point) in prediction.points.iter().enumerate() {
        let rest = |of: Option<f64>, places| of.map_or("-".to_owned(), |v| plain_number(v, places));
        let peak = peak_pressure(point).map(|si| three_figures(pressure.from_si(si)));
        table.row(vec![
            manner.text(&plain_number(point.speed / RPM, 0)),
            manner.text(torque.get(i).map_or("", String::as_str)),
            manner.text(power.get(i).map_or("", String::as_str)),
            rest(Some(100.0 * point.volumetric_efficiency), 0),
            spark(point),
            manner.text(&rest(knock_margin(point).map(f64::to_degrees), 0)),
            rest(peak, 0),
        ]);
    }
    let mut text = table.text(2);
    if prediction.points.iter().any(limited_by_knock) {
        text += "  k: knock, not torque, sets the spark\n";
    }
    text + "  margin: from spark to knock limit (- none in reach); peak: in the cylinder\n"
}

fn limited_by_knock(point: &Point) -> bool {
    point.cylinders.iter().any(|cylinder| cylinder.knock_limited)
}

fn spark(point: &Point) -> String {
    let degrees = point.mean(|cylinder| cylinder.spark_advance).to_degrees();
    let mark = if limited_by_knock(point) { "k" } else { " " };
    format!("{}{mark}", plain_number(degrees, 0))
}

/// A number without ± to three figures.
fn three_figures(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10_f64.powi(value.abs().log10().floor() as i32 - 2);
    (value / step).round() * step
}

fn column(
    values: &[f64],
    plus_minus: Option<&[f64]>,
    quantity: Quantity,
    manner: &Manner,
) -> Vec<String> {
    let unit = manner.unit(quantity);
    let shown: Vec<f64> = values.iter().map(|si| unit.from_si(*si)).collect();
    let pm: Vec<Option<f64>> =
        plus_minus.unwrap_or_default().iter().map(|si| Some(unit.span_from_si(*si))).collect();
    plus_minus_column(&shown, &pm)
}

fn summary(answer: &Answer, manner: &Manner) -> String {
    let prediction = &answer.prediction;
    let mut out = String::new();
    let mut entry = |heading: &str, text: &str| out += &wrapped_entry(heading, text, manner);
    entry("best torque", &best(&prediction.best_torque, Quantity::Torque, manner));
    entry("best power", &best(&prediction.best_power, Quantity::Power, manner));
    entry("holds", &holds(prediction));
    if let Some(mean) = &prediction.averages {
        let torque = cells(&mean.torque, Quantity::Torque, manner);
        let power = cells(&mean.power, Quantity::Power, manner);
        let range = range(mean.low, mean.high);
        entry("on average", &format!("{torque} and {power} over {range}"));
    }
    for check in &prediction.goals {
        entry("goal", &goal(check, answer, manner));
    }
    for (i, line) in limits(&prediction.limits, manner).iter().enumerate() {
        entry(if i == 0 { "limits" } else { "" }, line);
    }
    for failure in &prediction.failures {
        let reason = failure.reason.to_string().replace('\n', "; ");
        entry("not worked out", &format!("{}: {reason}", place(failure.speed)));
    }
    for (i, remark) in prediction.remarks.iter().enumerate() {
        entry(if i == 0 { "note" } else { "" }, remark);
    }
    entry("assumed", &assumed(answer));
    entry("± from", &plus_minus_from(prediction));
    entry("worked out", &worked_out(answer));
    out
}

/// A heading and what is said about it, broken before the edge.
pub fn wrapped_entry(heading: &str, text: &str, manner: &Manner) -> String {
    let block = manner.wrapped(text, ENTRY + 2);
    let heading = format!("{:<ENTRY$}", manner.text(heading));
    format!("  {heading}{}", block.trim_start())
}

fn best(best: &Best, quantity: Quantity, manner: &Manner) -> String {
    let end = if best.at_end { ", at the end of the curve: the best may lie outside" } else { "" };
    let figure = cells(&best.figure, quantity, manner);
    let near = best.speed_plus_minus.filter(|pm| *pm >= 25.0 * RPM);
    let near = near.map_or(String::new(), |pm| {
        format!(" ±{}", plain_number((pm / RPM / 50.0).ceil() * 50.0, 0))
    });
    let speed = plain_number((best.speed / RPM / 50.0).round() * 50.0, 0);
    format!("{figure} at {speed}{near} rpm{end}")
}

/// A predicted figure with its mark and ±; without marks the word says it.
pub fn cells(figure: &Figure, quantity: Quantity, manner: &Manner) -> String {
    let unit = manner.unit(quantity);
    let pm = figure.plus_minus.map(|si| unit.span_from_si(si));
    let text = quantity_text(unit.from_si(figure.value), pm, &manner.symbol(unit));
    if manner.plain {
        format!("predicted {text}")
    } else {
        format!("{} {text}", manner.mark(Origin::Predicted))
    }
}

/// An engine speed in words.
pub fn place(speed: f64) -> String {
    format!("{} rpm", plain_number(speed / RPM, 0))
}

fn range(low: f64, high: f64) -> String {
    let round = |speed: f64| plain_number((speed / RPM / 50.0).round() * 50.0, 0);
    format!("{} to {} rpm", round(low), round(high))
}

fn holds(prediction: &Prediction) -> String {
    let held = &prediction.holding;
    let open = match (held.open_below, held.open_above) {
        (true, true) => ", the whole curve: it may reach further both ways",
        (true, false) => ", from the start of the curve: it may reach lower",
        (false, true) => ", to the end of the curve: it may reach higher",
        (false, false) => "",
    };
    format!("95 % of best torque from {}{open}", range(held.low, held.high))
}

fn goal(check: &GoalCheck, answer: &Answer, manner: &Manner) -> String {
    let build = &answer.question.opened.build;
    let (quantity, word, wish) = match check.quantity {
        Column::Power => (Quantity::Power, "power", &build.goal.power),
        Column::Torque => (Quantity::Torque, "torque", &build.goal.torque),
    };
    let wished = wish.as_ref().map_or(String::new(), |wish: &Wish| harmless(&wish.value.text));
    let unit = manner.unit(quantity);
    let short = unit.span_from_si(check.short_by());
    let (by, how) = if short > 0.0 { (short, "short") } else { (-short, "to spare") };
    // The difference has the ± of what is reached: the goal is exact.
    let by = quantity_text(
        by,
        check.reached.plus_minus.map(|pm| unit.span_from_si(pm)),
        &manner.symbol(unit),
    );
    let chance = match check.chances_in_ten() {
        Some(10) => "; as good as certain".to_owned(),
        Some(0) => "; next to no chance".to_owned(),
        Some(n) => format!("; about {n} {} in 10", if n == 1 { "chance" } else { "chances" }),
        None => String::new(),
    };
    let wished = if wished.is_empty() {
        format!("{} {}", plain_number(unit.from_si(check.wanted), 0), manner.symbol(unit))
    } else {
        wished
    };
    let speed = place((check.speed / RPM / 50.0).round() * 50.0 * RPM);
    format!("{word} {wished}: {by} {how} at {speed}{chance}")
}

fn limits(checks: &[LimitCheck], manner: &Manner) -> Vec<String> {
    let mut lines: Vec<String> = checks
        .iter()
        .filter(|check| check.verdict != Verdict::InOrder)
        .map(|check| {
            let word = manner.alarming(check.verdict.word());
            format!("{word}: {}. {}", limit(check, manner), check.reason)
        })
        .collect();
    let in_order = checks.iter().filter(|check| check.verdict == Verdict::InOrder);
    let in_order: Vec<&str> = in_order.map(|check| check.name).collect();
    if !in_order.is_empty() {
        lines.push(format!("in order: {}", in_order.join(", ")));
    }
    lines
}

/// What is limited, its value and place, the limit and whose it is.
fn limit(check: &LimitCheck, manner: &Manner) -> String {
    let value = |si: f64| manner.shown(si, check.quantity);
    let at = check.speed.map_or(String::new(), |speed| format!(" at {}", place(speed)));
    let limit = match check.limit {
        (Some(low), Some(high)) => format!(", wanted {} to {}", value(low), value(high)),
        (Some(low), None) => format!(", at least {}", value(low)),
        (None, Some(high)) => format!(", at most {}", value(high)),
        (None, None) => String::new(),
    };
    let whose = match &check.whose {
        Whose::File => " (your limit)".to_owned(),
        Whose::Shipped(short) => format!(" ({})", source(short)),
    };
    format!("{} {}{at}{limit}{whose}", check.name, value(check.value))
}

fn assumed(answer: &Answer) -> String {
    match answer.prediction.assumed {
        0 => "nothing".to_owned(),
        n => {
            let name = &answer.question.opened.name;
            format!("{}; see them: shortblock show {name} --assumed", counted(n, "value"))
        }
    }
}

/// The parts of the ± of best power, largest first.
fn plus_minus_from(prediction: &Prediction) -> String {
    let Some(parts) = &prediction.best_power.parts else {
        return "not worked out (--coarse)".to_owned();
    };
    let mut all = vec![
        (parts.inputs, "your values"),
        (parts.model, "the model"),
        (parts.mesh, "the mesh"),
        (parts.rating, "the rating"),
    ];
    all.retain(|(share, _)| *share > 0.0);
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let words: Vec<String> =
        all.iter().map(|(share, word)| format!("{word} {}", percent(*share))).collect();
    format!("{}; 19 times in 20, at best power", words.join(", "))
}

fn percent(share: f64) -> String {
    format!("{} %", plain_number(100.0 * share, 1))
}

fn worked_out(answer: &Answer) -> String {
    let prediction = &answer.prediction;
    let mesh = prediction.two_mesh.iter().map(|share| share.abs()).reduce(f64::max);
    let mesh = mesh.map_or(String::new(), |share| format!(", two-mesh error {}", percent(share)));
    let coarse = answer.question.ask.quality == Quality::Coarse;
    let quality = if coarse { " on the coarse mesh" } else { "" };
    let seconds = plain_number(answer.took.as_secs_f64(), 1);
    let speeds = counted(prediction.points.len(), "speed");
    format!("{speeds}{quality} in {seconds} s{mesh}, {}", prediction.record.level)
}
