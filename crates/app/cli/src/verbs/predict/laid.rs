//! Builds laid over each other, for people: one chart, one table, and what the differences tell.

use super::heading::{air_of, charts, title, tried};
use super::phrases::{assumed, chances, failed, goal, place, range, worked_out, wrapped_entry};
use super::{Answer, One, differences};
use crate::difference::{signed, tells};
use crate::manner::Manner;
use shortblock_engine::diff;
use shortblock_plan::{BuildDifference, Figure, Prediction, Verdict};
use shortblock_sheets::{Series, plain_number};
use shortblock_units::Quantity;
use std::collections::BTreeSet;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Why the ± of a difference is not that of two curves.
const SMALLER: &str = "The ± of a difference is smaller than the ± of the two: what is not known of \
                   both builds alike, and what the model has wrong in both, drops out of it.";
/// Why it can be wider than that of both.
const WIDER: &str = "Between builds as unlike as these, what the model has wrong of one need not be \
                     wrong of the other: the ± of a difference is not the smaller one.";
/// What is missing without ±.
const NO_PLUS_MINUS: &str = "No ± on the coarse mesh: whether a difference is real can't be told. Leave \
                             --coarse out.";

/// What the ± of the differences is, beside that of the curves.
pub fn why(answer: &Answer) -> &'static str {
    let own = |one: &Prediction| one.best_power.figure.plus_minus.unwrap_or(0.0);
    let wider = answer.others.iter().any(|laid| {
        let larger = own(&answer.prediction).max(own(&laid.prediction));
        laid.difference.best_power.plus_minus.is_some_and(|difference| difference > larger)
    });
    if wider { WIDER } else { SMALLER }
}

/// The whole page.
pub fn page(answer: &Answer, manner: &Manner) -> String {
    let mut out = headings(answer, manner);
    let speeds = answer.each().map(|one| one.prediction.curve.speed().len()).max().unwrap_or(0);
    out += &charts(&lines(answer), speeds, manner);
    out += &format!("\n{}\n", differences::table(answer, manner));
    out += &told(answer, manner);
    out += &beside(answer, manner);
    out + &wrapped_entry("worked out", &worked_out(answer), manner)
}

/// The curves, named by letter and address.
pub fn lines(answer: &Answer) -> Vec<Series> {
    let line = |one: One| {
        let label = format!("{} {}", one.letter, one.prediction.curve.label());
        let curve = one.prediction.curve.clone().relabelled(label.trim_end());
        Series::predicted(one.slot, curve)
    };
    answer.each().map(line).collect()
}

/// Which builds, what they have that the first has not, in which air.
fn headings(answer: &Answer, manner: &Manner) -> String {
    let asked = answer.question.ask.conditions.as_ref();
    let airs: Vec<String> = answer.each().map(|one| air_of(one.subject, asked, manner)).collect();
    let same_air = airs.windows(2).all(|pair| pair[0] == pair[1]);
    let mut out = String::new();
    for (one, air) in answer.each().zip(&airs) {
        let words = format!("{}  {}", one.letter, title(one.subject));
        out += &(manner.strong(manner.wrapped(&words, 0).trim_end()) + "\n");
        if one.letter != 'A' {
            out += &manner.wrapped(&unlike(answer, &one), 3);
        }
        out += &tried(one.subject, manner);
        if !same_air {
            out += &manner.wrapped(air, 3);
        }
    }
    match airs.first() {
        Some(air) if same_air => out += &manner.wrapped(air, 3),
        _ => {
            let text = "Not in the same air: part of a difference is the air's. --at puts all builds \
                        into one.";
            out += &manner.wrapped(text, 3);
        }
    }
    out
}

/// The parts in which a build is unlike the first.
fn unlike(answer: &Answer, one: &One) -> String {
    let first = &answer.question.subject.opened;
    let found = diff(&first.build, &one.subject.opened.build);
    let parts =
        found.parts.iter().map(|part| if part.part.is_empty() { "number" } else { &part.part });
    let again = found.measured_again.iter().map(|change| change.path.as_str());
    let parts: Vec<&str> = parts.collect();
    let again: Vec<&str> = again.collect();
    let mut said = Vec::new();
    if !parts.is_empty() {
        said.push(format!("other than A: {}", parts.join(", ")));
    }
    if !again.is_empty() {
        said.push(format!("measured again: {}", again.join(", ")));
    }
    match said.is_empty() {
        true => "states the same as A".to_owned(),
        false => said.join("; "),
    }
}

/// What the differences tell.
fn told(answer: &Answer, manner: &Manner) -> String {
    let mut out = String::new();
    for (one, difference) in answer.laid() {
        let bests = [
            ("best power", difference.best_power, Quantity::Power),
            ("best torque", difference.best_torque, Quantity::Torque),
        ];
        let said = bests.map(|(word, figure, of)| format!("{word} {}", said(&figure, of, manner)));
        out += &wrapped_entry(&format!("{} − A", one.letter), &said.join("; "), manner);
        let more = [on_average(answer, &one, difference, manner), by_speed(difference)];
        for text in more.into_iter().flatten() {
            out += &wrapped_entry("", &text, manner);
        }
    }
    let known = answer.others.iter().all(|laid| laid.difference.best_power.plus_minus.is_some());
    out + &wrapped_entry("±", if known { why(answer) } else { NO_PLUS_MINUS }, manner)
}

/// The averages and the chance of more power; nothing where a curve does not cover the range.
fn on_average(
    answer: &Answer,
    one: &One,
    difference: &BuildDifference,
    manner: &Manner,
) -> Option<String> {
    let mean = answer.prediction.averages.as_ref()?;
    let power = said(&difference.average_power?, Quantity::Power, manner);
    let torque = said(&difference.average_torque?, Quantity::Torque, manner);
    let chance = difference.chance_of_gain.map(|chance| (10.0 * chance).round() as u32);
    let chance = chance
        .map_or(String::new(), |n| format!("; {} makes more power: {}", one.letter, chances(n)));
    let range = range(mean.low, mean.high);
    Some(format!("on average over {range}: power {power}; torque {torque}{chance}"))
}

/// `+8 ±4 hp, more`.
fn said(figure: &Figure, of: Quantity, manner: &Manner) -> String {
    let unit = manner.unit(of);
    match tells(figure) {
        Some(word @ "none") => format!("{word} at all"),
        word => {
            let text = format!("{} {}", signed(figure, unit), manner.symbol(unit));
            word.map_or(text.clone(), |word| format!("{text}, {word}"))
        }
    }
}

/// What the difference tells from speed to speed; nothing without ±.
fn by_speed(difference: &BuildDifference) -> Option<String> {
    let mut runs: Vec<(&str, f64, f64)> = Vec::new();
    for point in difference.curve.points() {
        let word = tells(&Figure { value: point.torque, plus_minus: point.torque_plus_minus })?;
        match runs.last_mut() {
            Some((before, _, to)) if *before == word => *to = point.speed,
            _ => runs.push((word, point.speed, point.speed)),
        }
    }
    let rpm = |speed: f64| plain_number(speed / RPM, 0);
    let said = runs.iter().map(|(word, from, to)| match from == to {
        true => format!("{word} at {}", rpm(*from)),
        false => format!("{word} from {} to {}", rpm(*from), rpm(*to)),
    });
    match runs[..] {
        [(word, ..)] => Some(format!("at every speed: {word}")),
        _ => Some(format!("by speed: {} rpm", said.collect::<Vec<String>>().join(", "))),
    }
}

/// Goals, limits and gaps of each build, and what was assumed for it.
fn beside(answer: &Answer, manner: &Manner) -> String {
    let mut out = String::new();
    let mut noted: BTreeSet<&str> = BTreeSet::new();
    for one in answer.each() {
        let (build, prediction) = (&one.subject.opened.build, one.prediction);
        let mut lines: Vec<String> = Vec::new();
        lines.extend(
            prediction.goals.iter().map(|check| format!("goal: {}", goal(check, build, manner))),
        );
        lines.extend(pressing(&one, Verdict::Stop, manner));
        lines.extend(pressing(&one, Verdict::Watch, manner));
        lines.extend(prediction.failures.iter().map(|f| format!("not worked out {}", failed(f))));
        let news = prediction.remarks.iter().filter(|remark| noted.insert(remark));
        lines.extend(news.map(|remark| format!("note: {remark}")));
        lines.push(format!("assumed: {}", assumed(one.subject, prediction)));
        for (i, line) in lines.iter().enumerate() {
            let heading = if i == 0 { one.letter.to_string() } else { String::new() };
            out += &wrapped_entry(&heading, line, manner);
        }
    }
    let text = "limits and their reasons: shortblock predict with one build";
    out + &wrapped_entry("", text, manner)
}

/// The limits of a build that stand so, by name, value and place.
fn pressing(one: &One, verdict: Verdict, manner: &Manner) -> Option<String> {
    let checks = one.prediction.limits.iter().filter(|check| check.verdict == verdict);
    let said = checks.map(|check| {
        let at = check.speed.map_or(String::new(), |speed| format!(" at {}", place(speed)));
        format!("{} {}{at}", check.name, manner.shown(check.value, check.quantity))
    });
    let said: Vec<String> = said.collect();
    (!said.is_empty()).then(|| format!("{}: {}", manner.alarming(verdict.word()), said.join("; ")))
}
