//! A loop as page, JSON and CSV.

use super::{At, Found};
use crate::json::{clean, quantity};
use crate::manner::Manner;
use crate::text::{counted, csv_row};
use serde_json::{Value as Json, json};
use shortblock_sheets::{Table, plain_number};
use shortblock_tune::{Answer, Next, Setting, knock_bound, sentences};
use shortblock_units::{Origin, Quantity};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Speeds over which knock is asked about together, rpm.
const SPAN_RPM: f64 = 500.0;
/// Sweep rates this far apart hide different torque in what turns.
const RATES_APART: f64 = 0.05;
const CAUTION: &str = "Spark and lean mixture break pistons faster than anyone can react. Come from \
                       retarded and from rich, listen, watch exhaust temperature, stop at the first \
                       knock. Nobody beside the engine or in line with the shaft.";

/// The page; every sentence where speeds were asked for, else only where there is no best.
pub fn text(found: &Found, asked: bool, manner: &Manner) -> String {
    let mut out = manner.strong(&format!("{}\n", heading(found)));
    out += &table(found, manner).text(2);
    out.push('\n');
    for at in &found.at {
        let all = sentences(found.over, &at.answer);
        let best = matches!(at.answer, Answer::Best(_));
        if asked || !best {
            let rpm = plain_number(at.speed / RPM, 0);
            out += &manner.wrapped(&format!("{rpm} rpm: {}", all.join(" ")), 2);
        }
    }
    for remark in remarks(found) {
        out += &manner.wrapped(&remark, 2);
    }
    for (label, why) in &found.left_out {
        out += &manner.wrapped(&format!("left out: {label}: {why}"), 2);
    }
    out.push('\n');
    out + &manner.wrapped(CAUTION, 0)
}

fn heading(found: &Found) -> String {
    let session = found.day.session.as_ref().and_then(|s| s.name.clone());
    let build = found.runs.first().map(|run| run.build.to_owned()).filter(|b| !b.is_empty());
    let what = format!("loop over {}, {}", word(found.over), counted(found.runs.len(), "pull"));
    [session, build, Some(what)].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn word(over: Setting) -> &'static str {
    match over {
        Setting::Spark => "spark",
        Setting::Mixture => "mixture",
    }
}

/// A setting for the table, in the unit that its remark names.
fn shown(over: Setting, value: f64) -> String {
    match over {
        Setting::Spark => format!("{:.1}", value.to_degrees()),
        Setting::Mixture => format!("{value:.3}"),
    }
}

/// A limit for the table; what lies beyond the settings tried is no figure to name.
fn end(over: Setting, limit: f64, (least, most): (f64, f64)) -> String {
    if limit < least {
        format!("<{}", shown(over, least))
    } else if limit > most {
        format!(">{}", shown(over, most))
    } else {
        shown(over, limit)
    }
}

fn table(found: &Found, manner: &Manner) -> Table {
    let torque = manner.symbol(manner.unit(Quantity::Torque));
    let headings = ["rpm", "read", "set", "best", "from", "to", &torque, "±", "next", "why"];
    let mut table = Table::new(&headings);
    for at in &found.at {
        table.row(row(found.over, at, manner));
    }
    table
}

fn row(over: Setting, at: &At, manner: &Manner) -> Vec<String> {
    let unit = manner.unit(Quantity::Torque);
    let show = |value| shown(over, value);
    let next = match at.next {
        Next::Try(proposal) => show(proposal.setting),
        Next::Done => "done".to_owned(),
    };
    let none = || "-".to_owned();
    let middle: [String; 6] = match &at.answer {
        Answer::Best(best) => [
            show(best.choose),
            show(best.setting),
            end(over, best.limits.low, best.tried),
            end(over, best.limits.high, best.tried),
            plain_number(unit.from_si(best.torque), 1),
            plain_number(unit.span_from_si(best.torque_plus_minus), 1),
        ],
        Answer::KnockLimited(limit) => {
            let torque = plain_number(unit.from_si(limit.torque), 1);
            [show(limit.choose), none(), none(), none(), torque, none()]
        }
        Answer::Flat { choose, .. } => [show(*choose), none(), none(), none(), none(), none()],
        _ => [none(), none(), none(), none(), none(), none()],
    };
    let mut cells = vec![plain_number(at.speed / RPM, 0), at.readings.len().to_string()];
    cells.extend(middle);
    cells.extend([next, why(&at.answer).to_owned()]);
    cells
}

/// The answer in a word or two.
fn why(answer: &Answer) -> &'static str {
    match answer {
        Answer::Best(_) => "over the top",
        Answer::KnockLimited(_) => "knock limited",
        Answer::StillRising { .. } => "still rising",
        Answer::Flat { .. } => "flat",
        Answer::TooFew { .. } => "too few",
    }
}

/// What the answers rest on, and what they can't know.
fn remarks(found: &Found) -> Vec<String> {
    let mut out = vec![
        format!(
            "Set, best and next are {}. Best: 19 times in 20 within from and to. Set: the end of what \
             loses less than 0.5 % that leaves knock margin or fuel.",
            match found.over {
                Setting::Spark => "degrees before top dead centre",
                Setting::Mixture => "lambda",
            }
        ),
        basis(found),
    ];
    let beyond = |at: &At| matches!(&at.answer, Answer::Best(b) if b.limits.low < b.tried.0 || b.limits.high > b.tried.1);
    if found.at.iter().any(beyond) {
        out.push("< and >: the top may lie beyond what was tried.".to_owned());
    }
    let said = found.runs.iter().filter(|run| run.setting_said).count();
    let from = match (said, found.runs.len()) {
        (0, _) => "the logs",
        (n, all) if n == all => "the session file",
        _ => "the session file, else the logs",
    };
    out.push(format!("The setting is that of {from}."));
    out.push(knock(found));
    if !repeated(found) {
        let text = "No setting was tried again later: what drifts through the day looks like the \
                    setting's doing. Repeat the first ones at the end.";
        out.push(text.to_owned());
    }
    if hidden(found) {
        let text = "The sweeps go at different rates and the torque that accelerates the rotating \
                    parts is not known: state the inertia, or sweep alike.";
        out.push(text.to_owned());
    }
    out
}

fn basis(found: &Found) -> String {
    let torque = found.runs.first().map_or("as read", |run| run.torque_is.as_str());
    let sessions = found.at.iter().map(|at| at.sessions).max().unwrap_or(0);
    let scatter = match sessions {
        0 => "the loop itself; the dyno's record holds none".to_owned(),
        n => format!("the loop itself and {} of the dyno's record", counted(n, "session")),
    };
    format!("Torque {torque}. Scatter from {scatter}.")
}

fn knock(found: &Found) -> String {
    if !found.runs.iter().any(|run| run.listened) {
        return "Nobody said whether it knocked, and no log has a knock signal with a limit: these \
                answers take it that it did not. Write  knocked = true  or  false  at each pull."
            .to_owned();
    }
    let quiet = found.runs.iter().filter(|run| !run.listened).count();
    let more = if quiet > 0 {
        format!(" Of {} nobody said whether it knocked.", counted(quiet, "pull"))
    } else {
        String::new()
    };
    let Some(rate) = found.runs.iter().find_map(|run| run.rate).filter(|rate| *rate > 0.0) else {
        return format!("Knock as heard or as logged.{more}");
    };
    let middle = found.at[found.at.len() / 2].speed / RPM;
    let cycles = SPAN_RPM / (rate / RPM) * middle / 120.0;
    format!(
        "Knock as heard or as logged. At {} rpm a pull passes {SPAN_RPM:.0} rpm in {cycles:.0} cycles \
         of each cylinder: no knock in them still leaves up to {:.0} % of cycles that \
         knock.{more}",
        plain_number(middle, 0),
        100.0 * knock_bound(cycles as u32)
    )
}

/// Whether a setting came back after another one had been tried.
fn repeated(found: &Found) -> bool {
    let means: Vec<f64> = found
        .runs
        .iter()
        .map(|run| run.points.iter().map(|p| p.1.setting).sum::<f64>() / run.points.len() as f64)
        .collect();
    let same = |a: f64, b: f64| (a - b).abs() < 0.5 * found.over.step();
    (0..means.len()).any(|i| {
        let gone = means[i..].iter().position(|m| !same(*m, means[i]));
        gone.is_some_and(|gone| means[i + gone..].iter().any(|m| same(*m, means[i])))
    })
}

fn hidden(found: &Found) -> bool {
    let rates = found.runs.iter().filter(|run| !run.with_inertia).filter_map(|run| run.rate);
    let (low, high) = rates.fold((f64::INFINITY, 0.0_f64), |(l, h), r| (l.min(r), h.max(r)));
    high > low * (1.0 + RATES_APART)
}

/// One object.
pub fn json(found: &Found, manner: &Manner) -> Json {
    let unit = if found.over == Setting::Spark { "deg" } else { "" };
    let pulls = found.runs.iter().map(|run| run.label);
    let left_out = found.left_out.iter().map(|(label, why)| json!({ "pull": label, "why": why }));
    json!({
        "format": "shortblock/loop/1",
        "session": found.day.session.as_ref().and_then(|s| s.name.clone()),
        "build": found.runs.first().map(|run| run.build),
        "over": word(found.over),
        "unit": unit,
        "torque_is": found.runs.first().map(|run| run.torque_is.as_str()),
        "pulls": pulls.collect::<Vec<_>>(),
        "left_out": left_out.collect::<Vec<_>>(),
        "speeds": found.at.iter().map(|at| at_json(found.over, at, manner)).collect::<Vec<_>>(),
        "remarks": remarks(found),
    })
}

fn bare(over: Setting, value: f64) -> f64 {
    clean(if over == Setting::Spark { value.to_degrees() } else { value })
}

fn at_json(over: Setting, at: &At, manner: &Manner) -> Json {
    let torque = |si, pm| quantity(si, pm, Quantity::Torque, Origin::Measured, manner);
    let readings = at.readings.iter().map(|r| {
        json!({ "setting": bare(over, r.setting), "torque": torque(r.torque, None), "knock": r.knock })
    });
    let mut object = json!({
        "rpm": clean(at.speed / RPM),
        "answer": why(&at.answer),
        "readings": readings.collect::<Vec<_>>(),
        "next": match at.next {
            Next::Try(proposal) => json!(bare(over, proposal.setting)),
            Next::Done => Json::Null,
        },
        "sentences": sentences(over, &at.answer),
    });
    match &at.answer {
        Answer::Best(best) => {
            object["set"] = json!(bare(over, best.choose));
            object["best"] = json!({
                "setting": bare(over, best.setting),
                "from": bare(over, best.limits.low),
                "to": bare(over, best.limits.high),
                "coverage": crate::json::COVERAGE,
                "torque": torque(best.torque, Some(best.torque_plus_minus)),
            });
        }
        Answer::KnockLimited(limit) => {
            object["set"] = json!(bare(over, limit.choose));
            object["knocked_from"] = json!(bare(over, limit.knocked_from));
        }
        Answer::Flat { choose, .. } => object["set"] = json!(bare(over, *choose)),
        Answer::StillRising { .. } | Answer::TooFew { .. } => {}
    }
    object
}

/// One line a speed.
pub fn csv(found: &Found, manner: &Manner) -> String {
    let torque = manner.unit(Quantity::Torque);
    let unit = if found.over == Setting::Spark { "deg" } else { "lambda" };
    let headings = ["set", "best", "best from", "best to", "next"].map(|h| format!("{h} {unit}"));
    let mut head = vec!["speed rpm".to_owned(), "answer".to_owned()];
    head.extend(headings);
    head.extend([format!("torque {}", torque.symbol), "kind".to_owned()]);
    let mut out = csv_row(&head);
    for at in &found.at {
        let at = at_json(found.over, at, manner);
        let cell = |value: &Json| match value {
            Json::Null => String::new(),
            Json::String(text) => text.clone(),
            other => other.to_string(),
        };
        let best = &at["best"];
        let cells = [&at["rpm"], &at["answer"], &at["set"], &best["setting"], &best["from"]];
        let more = [&best["to"], &at["next"], &best["torque"]["value"]];
        let mut row: Vec<String> = cells.into_iter().chain(more).map(cell).collect();
        row.push(Origin::Measured.key().to_owned());
        out += &csv_row(&row);
    }
    out
}
