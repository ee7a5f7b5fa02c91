//! `pulls`: the pulls of a day beside each other, corrected once and by name, with what must be
//! looked at.

mod notes;
mod picture;
mod table;

use crate::Done;
use crate::args::Pulls;
use crate::curves::{Shown, csv_heading};
use crate::failure::Failure;
use crate::json::{clean, line};
use crate::logs::{Day, DayPull, open_day};
use crate::manner::{Form, Manner};
use crate::text::counted;
use crate::verbs::check_pull::{checks_of_day, chosen};
use crate::verbs::pull_page;
use crate::verbs::read::curve_of;
use crate::verbs::wheel;
use crate::write;
use serde_json::{Value as Json, json};
use shortblock_curve::{Curve, Measured};
use shortblock_pulls::check::{Check, Verdict};
use std::path::Path;

/// Reads a day and says what its pulls were.
pub fn run(args: &Pulls, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    if let Some(svg) = &args.svg {
        write::may_be_written(svg)?;
    }
    let day = open_day(&args.day, shop)?;
    if !args.pull.is_empty() && args.svg.is_none() {
        return of_pulls(&day, &chosen(&day, &args.pull)?, manner);
    }
    let checks = checks_of_day(&day);
    if let Some(svg) = &args.svg {
        write::whole(svg, &picture::picture(&day, manner)?)?;
        manner.say(&format!("wrote {}", svg.display()));
    }
    Ok(Done::well(match manner.form {
        Form::Text => page(&day, &checks, manner),
        Form::Json => line(&as_json(&day, &checks, manner), manner),
        Form::Csv => as_csv(&day, manner),
    }))
}

/// The pulls that are asked for, each over speed.
fn of_pulls(day: &Day, pulls: &[&DayPull], manner: &Manner) -> Result<Done, Failure> {
    Ok(Done::well(match manner.form {
        Form::Text => {
            let pages = pulls.iter().map(|pull| pull_page::page(day, pull, manner));
            pages.collect::<Vec<_>>().join("\n")
        }
        Form::Json => {
            let one = |pull: &&DayPull| {
                json!({ "pull": pull.label, "build": pull.build,
                    "over_speed": pull_page::as_json(day, pull, manner) })
            };
            let pulls = pulls.iter().map(one).collect::<Vec<_>>();
            line(&json!({ "format": "shortblock/pull/1", "pulls": pulls }), manner)
        }
        Form::Csv => pull_page::as_csv(day, pulls, manner),
    }))
}

/// The curve of a pull, corrected where it can be, with the word for what its torque is.
pub fn day_curve(day: &Day, pull: &DayPull) -> Option<(Curve<Measured>, String)> {
    if day.roller.is_some() {
        return wheel::curve(day, pull);
    }
    let found = day.pull(pull)?;
    let (as_filed, word) = curve_of(found, &pull.label)?;
    let Ok(air) = &pull.air else { return Some((as_filed, word.to_owned())) };
    if word != "as read" {
        return Some((as_filed, word.to_owned()));
    }
    let speeds = as_filed.speed().to_vec();
    let observed = match &found.with_inertia {
        Some(points) => {
            let at = |w: &f64| found.speeds.iter().position(|s| (s - w).abs() < 1e-6 * w);
            speeds.iter().map(|w| at(w).map_or(f64::NAN, |i| points.mean[i])).collect()
        }
        None => as_filed.torque().to_vec(),
    };
    let torque = air.corrected(&observed).ok()?;
    let good = speeds.iter().zip(&torque).filter(|(_, t)| t.is_finite());
    let (speed, torque): (Vec<f64>, Vec<f64>) = good.map(|(s, t)| (*s, *t)).unzip();
    let curve = Curve::from_torque(pull.label.clone(), speed, torque).ok()?;
    Some((curve, day.brought()))
}

fn page(day: &Day, checks: &[Vec<Check>], manner: &Manner) -> String {
    let mut out = heading(day, manner);
    out += &table::text(day, checks, manner);
    out.push('\n');
    out += &manner.wrapped(&notes::footing(day), 2);
    out += &wheel::under(day, manner);
    out += &notes::looked_at(day, checks, manner);
    for pull in &day.pulls {
        if let Some(why) = left_out(day, pull) {
            out += &manner.wrapped(&format!("set aside: {}: {why}", pull.short()), 2);
        }
    }
    out += &notes::not_there(day, manner);
    if checks.iter().flatten().any(|c| c.verdict >= Verdict::Watch) {
        out += &manner.wrapped("What to do about each:  shortblock check-pull", 2);
    }
    out
}

fn heading(day: &Day, manner: &Manner) -> String {
    let Some(session) = &day.session else {
        let logs = counted(day.files.len(), "log");
        return manner.strong(&format!("{logs}, no session file\n"));
    };
    let words = [session.name.as_deref(), session.date.as_deref()];
    let dyno = session.dyno.as_ref().map(|dyno| dyno.name.as_str());
    let words: Vec<&str> = words.into_iter().chain([dyno]).flatten().collect();
    manner.strong(&format!("{}\n", words.join(", ")))
}

fn left_out<'a>(day: &'a Day, pull: &DayPull) -> Option<&'a str> {
    day.said(pull)?.set_aside.as_ref().map(|out| out.reason.as_str())
}

fn as_json(day: &Day, checks: &[Vec<Check>], manner: &Manner) -> Json {
    let pulls = day.pulls.iter().zip(checks).map(|(pull, of_pull)| {
        let curve = day_curve(day, pull);
        let curve = curve.map(|(curve, word)| shown(day, &curve, &word).json(manner));
        let looked = of_pull.iter().map(|c| crate::verbs::check_pull::check_json(c, manner));
        json!({
            "pull": pull.label, "build": pull.build,
            "set_aside": left_out(day, pull),
            "factor": pull.air.as_ref().ok().map(|air| clean(air.factor())),
            "not_corrected": pull.air.as_ref().err().map(ToString::to_string),
            "curve": curve,
            "crank_estimated": wheel::crank_json(day, pull, manner),
            "checks": looked.collect::<Vec<_>>(),
        })
    });
    json!({
        "format": "shortblock/pulls/1",
        "session": day.session.as_ref().and_then(|s| s.name.clone()),
        "standard": day.standard.to_string(),
        "pulls": pulls.collect::<Vec<_>>(),
    })
}

fn as_csv(day: &Day, manner: &Manner) -> String {
    let mut out = csv_heading(["pull", "build"], manner);
    for pull in &day.pulls {
        let Some((curve, word)) = day_curve(day, pull) else { continue };
        out += &shown(day, &curve, &word).csv([&pull.label, &pull.build], manner);
    }
    out
}

fn shown<'a>(day: &Day, curve: &'a Curve<Measured>, word: &'a str) -> Shown<'a> {
    Shown { curve, word, at_wheels: day.roller.is_some() }
}
