//! `loop`: torque over spark or mixture at each speed, what to set, or why there is no best.

mod page;
mod readings;

use crate::Done;
use crate::args::{Loop, OverWord};
use crate::asking::speeds;
use crate::failure::Failure;
use crate::json::line;
use crate::logs::{Day, DayPull, open_day};
use crate::manner::{Form, Manner};
use readings::{NEAR, Run, at_speed, different, history, of_pull};
use shortblock_tune::{Answer, Next, Reading, Setting, best_setting, next_setting};
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// Speeds stand this far apart where nobody asked for others.
const STEP: f64 = 500.0 * RPM;
/// Different settings below which there is no loop.
const LEAST: usize = 3;

/// The loop at one speed.
pub struct At {
    /// Engine speed, rad/s.
    pub speed: f64,
    /// What was read there.
    pub readings: Vec<Reading>,
    /// What it says.
    pub answer: Answer,
    /// What to try next.
    pub next: Next,
    /// Sessions of the dyno's record that its scatter rests on besides its own.
    pub sessions: usize,
}

/// A loop with everything it rests on.
pub struct Found<'a> {
    /// The day.
    pub day: &'a Day,
    /// What is varied.
    pub over: Setting,
    /// The pulls.
    pub runs: Vec<Run<'a>>,
    /// Pulls left out, and why.
    pub left_out: Vec<(String, String)>,
    /// The answers, by speed.
    pub at: Vec<At>,
}

/// Works a loop out.
pub fn run(args: &Loop, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let asked = args.speeds.as_deref().map(speeds).transpose()?;
    let over = match args.over {
        OverWord::Spark => Setting::Spark,
        OverWord::Mixture => Setting::Mixture,
    };
    let day = open_day(&args.day, shop)?;
    let (runs, left_out) = chosen(&day, over, args.build.as_deref())?;
    let speeds = asked.clone().unwrap_or_else(|| usual_speeds(&day, &runs));
    let at: Vec<At> = speeds.iter().map(|w| at(&day, over, &runs, *w)).collect();
    if at.iter().all(|at| at.readings.is_empty()) {
        return Err(Failure::NotWorkedOut(no_speed(&runs)));
    }
    let found = Found { day: &day, over, runs, left_out, at };
    Ok(Done::well(match manner.form {
        Form::Text => page::text(&found, asked.is_some(), manner),
        Form::Json => line(&page::json(&found, manner), manner),
        Form::Csv => page::csv(&found, manner),
    }))
}

fn at(day: &Day, over: Setting, runs: &[Run], speed: f64) -> At {
    let readings = at_speed(runs, speed);
    let (scatter, sessions) = history(day, runs, speed);
    let answer = best_setting(over, &readings, &scatter);
    let next = next_setting(over, &readings, &scatter);
    At { speed, readings, answer, next, sessions }
}

type Chosen<'a> = (Vec<Run<'a>>, Vec<(String, String)>);

/// The pulls of one build whose torque is of one kind.
fn chosen<'a>(day: &'a Day, over: Setting, build: Option<&str>) -> Result<Chosen<'a>, Failure> {
    let (mut runs, mut left_out): Chosen = (Vec::new(), Vec::new());
    for pull in day.pulls.iter().filter(|pull| build.is_none_or(|build| pull.build == build)) {
        match set_aside(day, pull).map_or_else(|| of_pull(day, pull, over), Err) {
            Ok(run) => runs.push(run),
            Err(why) => left_out.push((pull.label.clone(), why)),
        }
    }
    let looped: Vec<&str> = builds(&runs).into_iter().filter(|b| varies(&runs, b, over)).collect();
    let build = match looped[..] {
        [only] => only.to_owned(),
        [] => return Err(Failure::NotFound(no_loop(&runs, &left_out, over))),
        _ => return Err(Failure::NotUnderstood(several(&looped))),
    };
    runs.retain(|run| run.build == build);
    let count = |word: &str| runs.iter().filter(|run| run.torque_is == word).count();
    let most = runs.iter().map(|run| run.torque_is.clone()).max_by_key(|word| count(word));
    let most = most.unwrap_or_default();
    runs.retain(|run| {
        let same = run.torque_is == most;
        if !same {
            let why = format!("its torque is {}, that of the others {most}", run.torque_is);
            left_out.push((run.label.to_owned(), why));
        }
        same
    });
    Ok((runs, left_out))
}

fn set_aside(day: &Day, pull: &DayPull) -> Option<String> {
    let out = day.said(pull)?.set_aside.as_ref()?;
    Some(format!("set aside: {}", out.reason))
}

fn builds<'a>(runs: &[Run<'a>]) -> Vec<&'a str> {
    let mut all: Vec<&str> = Vec::new();
    for run in runs {
        if !all.contains(&run.build) {
            all.push(run.build);
        }
    }
    all
}

/// Whether the pulls of a build have three settings or more at one of their speeds.
fn varies(runs: &[Run], build: &str, over: Setting) -> bool {
    let of_build = || runs.iter().filter(|run| run.build == build);
    let speeds = of_build().flat_map(|run| run.points.iter().map(|(speed, _)| *speed));
    let readings = |speed: f64| -> Vec<Reading> {
        let near = move |(at, _): &&(f64, Reading)| (at - speed).abs() < NEAR;
        of_build().flat_map(|run| run.points.iter().filter(near).map(|(_, r)| *r)).collect()
    };
    let mut bins: Vec<i64> = speeds.map(|w| (w / (2.0 * NEAR)).round() as i64).collect();
    bins.sort_unstable();
    bins.dedup();
    bins.iter().any(|bin| makes_a_loop(over, &readings(*bin as f64 * 2.0 * NEAR)))
}

/// Whether readings at one speed are a loop: mixture that is logged trembles by itself.
fn makes_a_loop(over: Setting, readings: &[Reading]) -> bool {
    let all = || readings.iter().map(|r| r.setting);
    let span = all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min);
    different(over, readings) >= LEAST && span >= over.step() * (1.0 - 1e-9)
}

fn no_loop(runs: &[Run], left_out: &[(String, String)], over: Setting) -> String {
    let (what, hint) = match over {
        Setting::Spark => {
            ("spark", "write  settings = { spark = \"28 deg\" }  at each [[pull]] of session.toml")
        }
        Setting::Mixture => ("mixture", "the logs need lambda, and pulls with different mixture"),
    };
    let apart = match over {
        Setting::Spark => format!("{:.0}° or more", over.step().to_degrees()),
        Setting::Mixture => format!("{} or more", over.step()),
    };
    let why = left_out.first().filter(|_| runs.is_empty());
    let why = why.map_or(String::new(), |(label, why)| format!(" ({label}: {why})"));
    format!(
        "no loop over {what}: no build was run with {LEAST} settings of it, {apart} apart \
         in all{why}\nhint: {hint}"
    )
}

fn several(builds: &[&str]) -> String {
    let all = builds.join(", ");
    format!("more than one build was run with several settings: {all}\nhint: name one with --build")
}

/// Multiples of 500 rpm in the range that was said, or that all pulls have.
fn usual_speeds(day: &Day, runs: &[Run]) -> Vec<f64> {
    let own = |run: &Run| {
        let speeds = || run.points.iter().map(|(speed, _)| *speed);
        (speeds().fold(f64::INFINITY, f64::min), speeds().fold(0.0, f64::max))
    };
    let shared = runs
        .iter()
        .map(own)
        .fold((0.0_f64, f64::INFINITY), |(low, high), (from, to)| (low.max(from), high.min(to)));
    let said = day.session.as_ref().and_then(|session| session.range);
    let (low, high) = said.map_or(shared, |(from, to)| (from.max(shared.0), to.min(shared.1)));
    let first = ((low - NEAR) / STEP).ceil().max(1.0) as u32;
    let last = ((high + NEAR) / STEP).floor().max(0.0) as u32;
    let multiples: Vec<f64> = (first..=last).map(|i| f64::from(i) * STEP).collect();
    // A loop held at a speed between has that speed alone.
    if multiples.is_empty() && high >= low { vec![0.5 * (low + high)] } else { multiples }
}

fn no_speed(runs: &[Run]) -> String {
    let speeds = || runs.iter().flat_map(|run| run.points.iter().map(|(speed, _)| speed / RPM));
    let (low, high) = speeds().fold((f64::INFINITY, 0.0_f64), |(l, h), n| (l.min(n), h.max(n)));
    format!(
        "no reading at these speeds\nhint: the pulls have {low:.0} to {high:.0} rpm: --speeds RPM"
    )
}
