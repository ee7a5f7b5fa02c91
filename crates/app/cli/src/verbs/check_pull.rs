//! `check-pull`: what must be looked at before the next pull.

use crate::Done;
use crate::args::CheckPull;
use crate::failure::Failure;
use crate::json::{clean, line};
use crate::logs::{Day, DayPull, fuel_of, open_day};
use crate::manner::{Form, Manner};
use crate::text::{counted, csv_row, harmless};
use crate::threads::side_by_side;
use serde_json::{Value as Json, json};
use shortblock_pulls::Doubt;
use shortblock_pulls::check::{
    Bound, Check, Facts, Figure, People, Verdict, Weather, check, earlier,
};
use shortblock_session::NotCorrected;
use shortblock_sheets::plain_number;
use shortblock_units::Quantity;
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// What stands under a stop.
const STOP: &str = "Stop: no further pull until it is found. Shut down, guards on, let it cool, look. \
                    This program only reads logs: it stops nothing. The cell's own trips come first.";

/// Checks the pulls that are asked for.
pub fn run(args: &CheckPull, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let day = open_day(&args.day, shop)?;
    let checks = checks_of_day(&day);
    let pulls = chosen(&day, &args.pull)?;
    let with_checks = day.pulls.iter().zip(&checks);
    let chosen: Vec<(&DayPull, &Vec<Check>)> =
        with_checks.filter(|(pull, _)| pulls.iter().any(|p| std::ptr::eq(*p, *pull))).collect();
    Ok(Done::well(match manner.form {
        Form::Text => chosen
            .iter()
            .map(|(pull, checks)| {
                page(pull, checks, args.all, manner) + &questions(&day, pull, manner)
            })
            .collect::<Vec<_>>()
            .join("\n"),
        Form::Json => line(&as_json(&day, &chosen, manner), manner),
        Form::Csv => as_csv(&chosen, manner),
    }))
}

/// The pulls that are called by number or name; all of them without any.
///
/// # Errors
/// When there is none of that name.
pub fn chosen<'a>(day: &'a Day, names: &[String]) -> Result<Vec<&'a DayPull>, Failure> {
    for name in names {
        if !day.pulls.iter().any(|pull| is_called(pull, name)) {
            let all: Vec<&str> = day.pulls.iter().map(|pull| pull.label.as_str()).collect();
            return Err(Failure::NotFound(format!(
                "there is no pull {name}\nhint: there is {}",
                all.join(", ")
            )));
        }
    }
    let wanted = |p: &&DayPull| names.is_empty() || names.iter().any(|name| is_called(p, name));
    Ok(day.pulls.iter().filter(wanted).collect())
}

fn is_called(pull: &DayPull, name: &str) -> bool {
    let bare = |text: &str| text.trim_start_matches("pull ").trim_start_matches('p').to_owned();
    pull.label == name || bare(&pull.label) == bare(name)
}

/// The checks of every pull, each beside the one before it.
pub fn checks_of_day(day: &Day) -> Vec<Vec<Check>> {
    let of =
        |i: usize| Some((&day.log(&day.pulls[i])?.recognition.recording, day.pull(&day.pulls[i])?));
    let earlier = side_by_side(day.pulls.len(), |i| {
        of(i).map(|(recording, found)| earlier(recording, found))
    });
    side_by_side(day.pulls.len(), |i| {
        let Some((recording, found)) = of(i) else { return Vec::new() };
        let pull = &day.pulls[i];
        let before = (0..i).rev().find(|i| earlier[*i].is_some());
        let people = people(day, pull, before.map(|i| day.pulls[i].build.as_str()));
        let weather = match &pull.air {
            Ok(air) => Weather::Known(air.against.clone()),
            Err(NotCorrected::ByTheFile) => Weather::InTheFile,
            Err(_) => Weather::Unknown,
        };
        let (fuel, wheel) = (fuel_of(day, pull), day.wheel(pull));
        check(&Facts {
            recording,
            pull: found,
            limits: &day.limits,
            earlier: before.and_then(|i| earlier[i].as_ref()),
            people: &people,
            weather: &weather,
            fuel: &fuel,
            wheel: wheel.as_ref(),
        })
    })
}

/// What the session file says of a pull, and what changed with its build.
fn people(day: &Day, pull: &DayPull, build_before: Option<&str>) -> People {
    let Some(said) = day.said(pull) else { return People::default() };
    let note = Some(said.note.clone()).filter(|note| !note.is_empty());
    let changed = match build_before {
        None => Some("first pull of the day".to_owned()),
        Some(before) if before != pull.build => Some(format!("{before} to {}", pull.build)),
        Some(_) => Some("nothing: the same build".to_owned()),
    };
    People { note, changed }
}

/// What is still asked of the columns of its log.
fn questions(day: &Day, pull: &DayPull, manner: &Manner) -> String {
    let doubts = day.log(pull).map_or(&[][..], |log| &log.recognition.doubts);
    let one = |doubt: &Doubt| {
        manner.wrapped(&harmless(&format!("? {}: {}", doubt.heading, doubt.question)), 2)
    };
    doubts.iter().map(one).collect()
}

fn page(pull: &DayPull, checks: &[Check], all: bool, manner: &Manner) -> String {
    let count = |verdict| checks.iter().filter(|c| c.verdict == verdict).count();
    let build = if pull.build.is_empty() { String::new() } else { format!(", {}", pull.build) };
    let mut out = manner.heading(&format!("{}{build}", pull.label));
    if checks.is_empty() {
        return out + &manner.wrapped("no pull could be made of this log; see  shortblock read", 2);
    }
    for verdict in [Verdict::Stop, Verdict::Watch] {
        for check in checks.iter().filter(|c| c.verdict == verdict) {
            out += &one(check, manner);
        }
    }
    if count(Verdict::Stop) > 0 {
        out += &manner.wrapped(STOP, 2);
    }
    if all {
        for check in checks.iter().filter(|c| c.verdict == Verdict::InOrder) {
            out += &one(check, manner);
        }
    } else {
        out +=
            &manner.wrapped(&format!("{} in order", counted(count(Verdict::InOrder), "check")), 2);
    }
    for check in checks.iter().filter(|c| c.verdict == Verdict::NotSeen && all) {
        out += &one(check, manner);
    }
    let not_seen: Vec<&str> =
        checks.iter().filter(|c| c.verdict == Verdict::NotSeen).map(|c| c.what).collect();
    if !not_seen.is_empty() && !all {
        out += &manner.wrapped(&format!("not seen: {}", not_seen.join("; ")), 2);
    }
    out
}

fn one(check: &Check, manner: &Manner) -> String {
    let word = check.verdict.word();
    let head = format!("{word}: {}: {}", check.what, check.reason);
    let mut out = manner.wrapped(&head, 2);
    let numbers = numbers(check, manner);
    if !numbers.is_empty() {
        out += &manner.wrapped(&numbers, 6);
    }
    if !check.remedy.is_empty() && check.verdict >= Verdict::Watch {
        out += &manner.wrapped(&check.remedy, 6);
    }
    out
}

/// Value, speed, limit and where the limit comes from.
fn numbers(check: &Check, manner: &Manner) -> String {
    let Some(seen) = check.seen else { return String::new() };
    let mut text = figure(seen, manner);
    if let Some(at) = check.at {
        text += &format!(" at {} rpm", plain_number((at / RPM / 10.0).round() * 10.0, 0));
    }
    if let Some(bound) = check.bound {
        text += &limit(bound, manner);
    }
    text
}

fn limit(bound: Bound, manner: &Manner) -> String {
    let side = if bound.at_most { "at most" } else { "at least" };
    format!("; {side} {} ({})", figure(bound.figure, manner), bound.from.words())
}

fn figure(figure: Figure, manner: &Manner) -> String {
    match figure.quantity {
        Quantity::Ratio => plain_number(figure.si, if figure.si.abs() < 10.0 { 3 } else { 1 }),
        Quantity::Fraction => format!("{} %", plain_number(100.0 * figure.si, 1)),
        quantity => manner.shown(figure.si, quantity),
    }
}

/// A check as JSON.
pub fn check_json(check: &Check, manner: &Manner) -> Json {
    let value = |figure: Figure| {
        let unit = manner.unit(figure.quantity);
        json!({ "value": clean(unit.from_si(figure.si)), "unit": unit.symbol })
    };
    json!({
        "what": check.what,
        "verdict": check.verdict.word(),
        "seen": check.seen.map(value),
        "at_rpm": check.at.map(|w| clean(w / RPM)),
        "limit": check.bound.map(|b| value(b.figure)),
        "limit_is": check.bound.map(|b| if b.at_most { "at most" } else { "at least" }),
        "limit_from": check.bound.map(|b| b.from.words()),
        "reason": check.reason,
        "remedy": check.remedy,
    })
}

fn as_json(day: &Day, chosen: &[(&DayPull, &Vec<Check>)], manner: &Manner) -> Json {
    let pulls = chosen.iter().map(|(pull, checks)| {
        let checks: Vec<Json> = checks.iter().map(|c| check_json(c, manner)).collect();
        let doubts = day.log(pull).map_or(&[][..], |log| &log.recognition.doubts);
        let asked = doubts.iter().map(|d| json!({ "heading": d.heading, "question": d.question }));
        let asked: Vec<Json> = asked.collect();
        json!({ "pull": pull.label, "build": pull.build, "checks": checks, "questions": asked })
    });
    json!({ "format": "shortblock/check-pull/1", "pulls": pulls.collect::<Vec<_>>() })
}

fn as_csv(chosen: &[(&DayPull, &Vec<Check>)], manner: &Manner) -> String {
    let headings = ["pull", "check", "verdict", "seen", "speed rpm", "limit", "reason", "remedy"];
    let mut out = csv_row(&headings);
    for (pull, checks) in chosen {
        for check in *checks {
            out += &csv_row(&[
                pull.label.clone(),
                check.what.to_owned(),
                check.verdict.word().to_owned(),
                check.seen.map_or(String::new(), |f| figure(f, manner)),
                check.at.map_or(String::new(), |w| clean(w / RPM).to_string()),
                check.bound.map_or(String::new(), |b| figure(b.figure, manner)),
                check.reason.clone(),
                check.remedy.clone(),
            ]);
        }
    }
    out
}
