//! What must hold between the entries of a session: rising times, no pull twice, a plan that is kept.

use std::collections::{HashMap, HashSet};

use shortblock_compare::{Change, Order};
use shortblock_document::Finding;
use shortblock_weather::OLDEST_READING;

use crate::clock::time_of_day;
use crate::entry::Entry;
use crate::form::Form;
use crate::order;
use crate::pull::Pull;
use crate::session::Session;

/// Checks a session against its entry, which has the places.
pub fn check(form: &mut Form, entry: &Entry, session: &Session) {
    times_rise(form, entry.tables("pull"), "pull", "Put the pulls in the order they were made");
    times_rise(form, entry.tables("air"), "air", "Put the readings in the order they were taken");
    named_once(form, entry.tables("pull"));
    files_once(form, entry.tables("pull"));
    refits_rise(form, entry.tables("pull"), session);
    if let Some(plan) = &session.plan {
        plan_kept(form, entry, session, plan);
    }
    air_is_fresh(form, entry, session);
}

fn times_rise(form: &mut Form, entries: &[Entry], table: &str, remedy: &str) {
    let mut last: Option<f64> = None;
    for entry in entries {
        let Some(time) = entry.time("time") else { continue };
        if let Some(before) = last.filter(|before| time <= *before) {
            let (now, then) = (time_of_day(time), time_of_day(before));
            let what = format!("{table} time {now} is not after the one before, {then}");
            let remedy = format!("{remedy}; after midnight write \"24:10\".");
            form.wrong(entry.place_of("time"), &format!("{table}.time"), what, &remedy);
        }
        last = Some(last.map_or(time, |before| before.max(time)));
    }
}

fn named_once(form: &mut Form, entries: &[Entry]) {
    let mut seen: HashSet<u32> = HashSet::new();
    for entry in entries {
        let Some(number) = entry.count("number") else { continue };
        if !seen.insert(number) {
            let what = format!("pull {number} stands here twice");
            let remedy = "Give each pull its own number; numbers are never used again.";
            form.wrong(entry.place_of("number"), "pull.number", what, remedy);
        }
    }
}

fn files_once(form: &mut Form, entries: &[Entry]) {
    let mut seen: HashMap<&str, Vec<Option<u32>>> = HashMap::new();
    for entry in entries {
        let Some(file) = entry.text("file") else { continue };
        let part = entry.count("part");
        let parts = seen.entry(file).or_default();
        let fault = match part {
            Some(part) if parts.contains(&Some(part)) => {
                Some((format!("part {part} of {file} is named by two pulls"), "part"))
            }
            _ if parts.is_empty() => None,
            Some(_) if !parts.contains(&None) => None,
            _ => Some((format!("{file} is named by two pulls, and not which part"), "file")),
        };
        parts.push(part);
        if let Some((what, word)) = fault {
            let remedy = "Name another log, or say  part = 1, part = 2  in each of them.";
            form.wrong(entry.place_of(word), &format!("pull.{word}"), what, remedy);
        }
    }
}

fn refits_rise(form: &mut Form, entries: &[Entry], session: &Session) {
    if entries.len() != session.pulls.len() {
        return;
    }
    let blocks = order::blocks(&session.pulls);
    for i in 1..blocks.len() {
        let entry = &entries[i];
        if blocks[i] < blocks[i - 1] {
            let what = format!("block {} after block {}", blocks[i], blocks[i - 1]);
            let remedy = "The refit count never falls: going back to A is one refit more.";
            form.wrong(entry.place_of("block"), "pull.block", what, remedy);
        } else if blocks[i] == blocks[i - 1] && session.pulls[i].build != session.pulls[i - 1].build
        {
            let [old, new] =
                [i - 1, i].map(|k| session.pulls[k].build.as_deref().unwrap_or("an unnamed build"));
            let what =
                format!("parts changed from {old} to {new}, but block is still {}", blocks[i]);
            let doubt = Finding::new(what).at(entry.place_of("block")).about("pull.block");
            form.doubt(entry, doubt.remedy("Count one more whenever parts come off and go on."));
        }
    }
}

/// What tells A from B: the build, and for a change of setting what was set.
fn side(pull: &Pull, change: Option<Change>) -> Option<String> {
    let build = pull.build.clone();
    if change != Some(Change::Setting) {
        return build;
    }
    let set: Vec<String> = pull.settings.iter().map(|s| format!("{} {}", s.name, s.text)).collect();
    let all: Vec<String> = build.into_iter().chain(set).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

fn plan_kept(form: &mut Form, entry: &Entry, session: &Session, plan: &Order) {
    let entries = entry.tables("pull");
    if entries.len() != session.pulls.len() {
        return;
    }
    let kept = session.pulls.iter().zip(entries).filter(|(pull, _)| pull.set_aside.is_none());
    let named: Option<Vec<(String, &Entry)>> =
        kept.map(|(pull, entry)| Some((side(pull, session.change)?, entry))).collect();
    let Some(named) = named else { return };
    let mut sides: Vec<&str> = Vec::new();
    for (i, (name, at)) in named.iter().enumerate() {
        if !sides.contains(&name.as_str()) {
            sides.push(name);
        }
        let Some(finding) = against_plan(plan, i, name, &sides) else { continue };
        let doubt = finding.at(at.place_of("build")).about("pull.build");
        let remedy = "Put the tag right, set aside what was in vain, or write the plan as it was.";
        form.doubt(at, doubt.remedy(remedy));
        return;
    }
}

/// What the plan says against the pull at place `i`, counted without those set aside.
fn against_plan(plan: &Order, i: usize, name: &str, sides: &[&str]) -> Option<Finding> {
    let letters = ["A", "B"];
    let side = sides.iter().position(|s| *s == name)?;
    let nth = i + 1;
    if side > 1 {
        let (a, b) = (sides[0], sides[1]);
        let what = format!("the plan {plan} is of two, A = {a} and B = {b}; this is {name}");
        return Some(Finding::new(what));
    }
    match plan.pulls().get(i) {
        Some(b) if usize::from(*b) == side => None,
        Some(b) => Some(Finding::new(format!(
            "the plan {plan} has {} at place {nth}; this pull was made with {name}, which is {}",
            letters[usize::from(*b)],
            letters[side]
        ))),
        None => {
            let count = plan.pulls().len();
            Some(Finding::new(format!(
                "the plan {plan} has {count} pulls; this is one more, with {name}"
            )))
        }
    }
}

/// Pulls without a fresh reading: those in a row with the first of them, as one doubt.
fn air_is_fresh(form: &mut Form, entry: &Entry, session: &Session) {
    let entries = entry.tables("pull");
    // A reading that can't be used is a fault; that it is missing is none.
    let complete = entries.len() == session.pulls.len()
        && entry.tables("air").len() == session.air.len()
        && session.air.iter().all(|reading| reading.time.is_some());
    if !complete {
        return;
    }
    let all = entries.iter().zip(&session.pulls).map(|(entry, pull)| (entry, stale(pull, session)));
    let all: Vec<_> = all.collect();
    let alike =
        |a: &Stale, b: &Stale| a.1.is_some() == b.1.is_some() && a.0.doubt_ok == b.0.doubt_ok;
    let mut from = 0;
    for run in all.chunk_by(alike) {
        let pulls = &session.pulls[from..from + run.len()];
        from += run.len();
        let (Some((entry, Some(read))), Some(pull)) = (run.first(), pulls.first()) else {
            continue;
        };
        let Some(time) = pull.time else { continue };
        let age = ((read - time).abs() / 60.0).round();
        let (when, then) = (time_of_day(time), time_of_day(*read));
        let mut what = format!(
            "the air nearest to {} at {when} was read at {then}, {age} min away",
            pull.label()
        );
        if let (true, Some(last)) = (pulls.len() > 1, pulls.last()) {
            what += &format!("; so on to {}", last.label());
        }
        let doubt = Finding::new(what).at(entry.place_of("time")).about("pull.time");
        form.doubt(entry, doubt.remedy("Read it within 30 min of each pull; write it as [[air]]."));
    }
}

/// A pull's entry, and when the air nearest to it was read, where that is too long ago.
type Stale<'a> = (&'a Entry, Option<f64>);

fn stale(pull: &Pull, session: &Session) -> Option<f64> {
    let time = pull.time?;
    let (before, after) = session.air_around(Some(time));
    let read = [before, after].into_iter().flatten().filter_map(|r| r.time);
    let nearest = read.min_by(|a, b| (a - time).abs().total_cmp(&(b - time).abs()));
    nearest.filter(|at| (at - time).abs() > OLDEST_READING)
}
