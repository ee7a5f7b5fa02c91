//! What is said about a prediction, phrase by phrase.

use super::Answer;
use crate::asking::Subject;
use crate::manner::Manner;
use crate::text::{counted, harmless, source};
use shortblock_curve::Quantity as Column;
use shortblock_engine::{Build, Wish};
use shortblock_plan::{
    Best, Failure, Figure, GoalCheck, LimitCheck, Prediction, Quality, Verdict, Whose,
};
use shortblock_sheets::{plain_number, quantity_text};
use shortblock_units::{Origin, Quantity};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Column in which what is said about a heading begins.
const ENTRY: usize = 15;

/// A heading and what is said about it, broken before the edge.
pub fn wrapped_entry(heading: &str, text: &str, manner: &Manner) -> String {
    let block = manner.wrapped(text, ENTRY + 2);
    let heading = format!("{:<ENTRY$}", manner.text(heading));
    format!("  {heading}{}", block.trim_start())
}

pub fn best(best: &Best, quantity: Quantity, manner: &Manner) -> String {
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

/// A speed that could not be worked out, and why.
pub fn failed(failure: &Failure) -> String {
    let reason = failure.reason.to_string().replace('\n', "; ");
    // Most reasons name the speed where they name the part.
    let place = place(failure.speed);
    if reason.contains(" rpm") { reason } else { format!("{place}: {reason}") }
}

/// An engine speed in words.
pub fn place(speed: f64) -> String {
    format!("{} rpm", plain_number(speed / RPM, 0))
}

pub fn range(low: f64, high: f64) -> String {
    let round = |speed: f64| plain_number((speed / RPM / 50.0).round() * 50.0, 0);
    format!("{} to {} rpm", round(low), round(high))
}

pub fn holds(prediction: &Prediction) -> String {
    let held = &prediction.holding;
    let open = match (held.open_below, held.open_above) {
        (true, true) => ", the whole curve: it may reach further both ways",
        (true, false) => ", from the start of the curve: it may reach lower",
        (false, true) => ", to the end of the curve: it may reach higher",
        (false, false) => "",
    };
    format!("95 % of best torque from {}{open}", range(held.low, held.high))
}

pub fn goal(check: &GoalCheck, build: &Build, manner: &Manner) -> String {
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
    let chance = check.chances_in_ten().map_or(String::new(), |n| format!("; {}", chances(n)));
    let wished = if wished.is_empty() {
        format!("{} {}", plain_number(unit.from_si(check.wanted), 0), manner.symbol(unit))
    } else {
        wished
    };
    let speed = place((check.speed / RPM / 50.0).round() * 50.0 * RPM);
    format!("{word} {wished}: {by} {how} at {speed}{chance}")
}

/// So many chances in ten, in words.
pub fn chances(in_ten: u32) -> String {
    match in_ten {
        10.. => "as good as certain".to_owned(),
        0 => "next to no chance".to_owned(),
        n => format!("about {} in 10", counted(n as usize, "chance")),
    }
}

pub fn limits(checks: &[LimitCheck], manner: &Manner) -> Vec<String> {
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
    let apart = |bound: f64| manner.shown_apart(check.value, bound, check.quantity);
    let shown = |si: f64| manner.shown(si, check.quantity);
    let (value, limit) = match check.limit {
        (Some(low), Some(high)) => {
            (shown(check.value), format!(", wanted {} to {}", shown(low), shown(high)))
        }
        (Some(low), None) => {
            let (value, low) = apart(low);
            (value, format!(", at least {low}"))
        }
        (None, Some(high)) => {
            let (value, high) = apart(high);
            (value, format!(", at most {high}"))
        }
        (None, None) => (shown(check.value), String::new()),
    };
    let at = check.speed.map_or(String::new(), |speed| format!(" at {}", place(speed)));
    let whose = match &check.whose {
        Whose::File => " (your limit)".to_owned(),
        Whose::Shipped(short) => format!(" ({})", source(short)),
    };
    format!("{} {value}{at}{limit}{whose}", check.name)
}

pub fn assumed(subject: &Subject, prediction: &Prediction) -> String {
    match prediction.assumed {
        0 => "nothing".to_owned(),
        n => {
            let name = &subject.opened.name;
            format!("{}; see them: shortblock show {name} --assumed", counted(n, "value"))
        }
    }
}

/// The parts of the ± of best power, largest first.
pub fn plus_minus_from(prediction: &Prediction) -> String {
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

/// How far the torque of a first look is off the answer, 19 times in 20: at 168 speeds of the road
/// four of the demo and the published engines (the example `plan_speed`) the root mean square is 0.8 %,
/// the most 3 %.
const FIRST_LOOK: &str = "2 %";

/// How many speeds, how long it took, how fine, on which instructions.
pub fn worked_out(answer: &Answer) -> String {
    let meshes = answer.each().flat_map(|one| one.prediction.two_mesh.iter());
    let mesh = meshes.map(|share| share.abs()).reduce(f64::max);
    let mesh = mesh.map_or(String::new(), |share| format!(", two-mesh error {}", percent(share)));
    let coarse = answer.question.ask.quality == Quality::Coarse;
    let quality = if coarse { ", a first look" } else { "" };
    let seconds = plain_number(answer.took.as_secs_f64(), 1);
    let points = answer.each().map(|one| one.prediction.points.len()).sum();
    let points = match answer.others.is_empty() {
        true => counted(points, "speed"),
        false => counted(points, "point"),
    };
    let off = if coarse { format!(", mostly within {FIRST_LOOK} of the answer") } else { mesh };
    format!("{points}{quality} in {seconds} s{off}, {}", answer.prediction.record.level)
}
