//! `pulls`: the pulls of a day beside each other, corrected once and by name, with what must be
//! looked at.

use crate::Done;
use crate::args::Pulls;
use crate::curves::{Shown, csv_heading};
use crate::failure::Failure;
use crate::json::{clean, line};
use crate::logs::{Day, DayPull, Logged, Opened, not_found, open_day};
use crate::manner::{Form, Manner};
use crate::names::fitting;
use crate::text::{COLUMNS, counted, first_of_each, shortened};
use crate::verbs::check_pull::{checks_of_day, chosen};
use crate::verbs::pull_page;
use crate::verbs::read::curve_of;
use crate::verbs::wheel;
use crate::write;
use serde_json::{Value as Json, json};
use shortblock_curve::{Curve, Measured, Peak, Quantity as Column};
use shortblock_pulls::check::{Check, Verdict};
use shortblock_pulls::sweep::Kind;
use shortblock_sheets::{Axis, Chart, Crowd, Slot, Table, Theme, Unit, plain_number, svg_chart};
use shortblock_units::Quantity;
use shortblock_weather::Remark;
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// Column of the build.
const BUILD: usize = 1;
/// Widest names of builds in a table, the next where the page is too narrow.
const BUILD_WIDTHS: [usize; 3] = [12, 8, 5];

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
        write::whole(svg, &picture(&day, manner)?)?;
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
    Some((curve, format!("corrected to {}", day.standard)))
}

fn page(day: &Day, checks: &[Vec<Check>], manner: &Manner) -> String {
    let mut out = heading(day, manner);
    let names: Vec<String> = day.pulls.iter().map(|pull| pull.short().to_owned()).collect();
    let with_builds =
        |width: usize| fitting(&names, manner, |names| table(day, (names, width), checks, manner));
    let fits = |text: &String| text.lines().all(|line| line.chars().count() <= COLUMNS);
    let tried = BUILD_WIDTHS.into_iter().map(with_builds);
    out += &tried.reduce(|kept, next| if fits(&kept) { kept } else { next }).unwrap_or_default();
    out.push('\n');
    out += &manner.wrapped(&footing(day), 2);
    out += &wheel::under(day, manner);
    out += &looked_at(day, checks, manner);
    for pull in &day.pulls {
        if let Some(why) = left_out(day, pull) {
            out += &manner.wrapped(&format!("set aside: {}: {why}", pull.short()), 2);
        }
    }
    out += &not_there(day, manner);
    if checks.iter().flatten().any(|c| c.verdict >= Verdict::Watch) {
        out += &manner.wrapped("What to do about each:  shortblock check-pull", 2);
    }
    out
}

/// Every stop and watch once, with the pulls it stands at; those of pulls set aside are left out.
fn looked_at(day: &Day, checks: &[Vec<Check>], manner: &Manner) -> String {
    let mut all: Vec<(&Check, Vec<String>)> = Vec::new();
    for (pull, of_pull) in day.pulls.iter().zip(checks) {
        if left_out(day, pull).is_some() {
            continue;
        }
        for check in of_pull.iter().filter(|c| c.verdict >= Verdict::Watch) {
            let same = |c: &Check| {
                (c.verdict, c.what, &c.reason) == (check.verdict, check.what, &check.reason)
            };
            let name = pull.short().to_owned();
            match all.iter_mut().find(|(c, _)| same(c)) {
                Some((_, pulls)) => pulls.push(name),
                None => all.push((check, vec![name])),
            }
        }
    }
    all.sort_by_key(|(check, _)| std::cmp::Reverse(check.verdict));
    let one = |(check, pulls): &(&Check, Vec<String>)| {
        let (word, pulls) = (check.verdict.word(), pulls.join(", "));
        manner.wrapped(&format!("{word}: {}: {} ({pulls})", check.what, check.reason), 2)
    };
    all.iter().map(one).collect()
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

/// The table with `names` of pulls and builds of at most so many characters.
fn table(
    day: &Day,
    (names, width): (&[String], usize),
    checks: &[Vec<Check>],
    manner: &Manner,
) -> Table {
    let unit = |of| manner.symbol(manner.unit(of));
    let (torque, power) = (unit(Quantity::Torque), unit(Quantity::Power));
    let wheel = format!("WHEEL {power}");
    let mut headings = match day.roller {
        Some(_) => vec!["pull", "build", "rpm", "rpm/s", "factor", &wheel, "at", "look"],
        None => {
            vec!["pull", "build", "rpm", "rpm/s", "factor", &torque, "at", &power, "at", "look"]
        }
    };
    let builds = day.pulls.iter().any(|pull| !pull.build.is_empty());
    if !builds {
        headings.remove(BUILD);
    }
    let mut table = Table::new(&headings).first_left();
    for ((pull, name), of_pull) in day.pulls.iter().zip(names).zip(checks) {
        let mut cells = vec![name.clone(), shortened(&pull.build, width)];
        cells.extend(row(day, pull, of_pull, manner));
        if !builds {
            cells.remove(BUILD);
        }
        table.row(cells);
    }
    table
}

/// What stands in place of a rate.
fn without_rate(kind: Kind) -> String {
    if kind == Kind::Steps { "steps".to_owned() } else { kind.word().to_owned() }
}

/// What stands behind name and build.
fn row(day: &Day, pull: &DayPull, checks: &[Check], manner: &Manner) -> Vec<String> {
    let Some(found) = day.pull(pull) else {
        return vec!["not worked out".to_owned()];
    };
    let rpm = |w: f64| format!("{:.0}", w / RPM / 10.0) + "0";
    let stretch = &found.stretch;
    let rate =
        stretch.rate.map_or(without_rate(stretch.kind), |r| format!("{:.0}", r.mean.abs() / RPM));
    let factor = pull.air.as_ref().map_or("none".to_owned(), |air| format!("{:.3}", air.factor()));
    let mut cells = vec![format!("{}-{}", rpm(stretch.from), rpm(stretch.to)), rate, factor];
    let columns = [(Column::Torque, Quantity::Torque), (Column::Power, Quantity::Power)];
    // Torque at the wheels is that of a gear, not of the engine.
    let columns = if day.roller.is_some() { &columns[1..] } else { &columns[..] };
    match day_curve(day, pull) {
        Some((curve, _)) => {
            for &(column, quantity) in columns {
                let peak = curve.smoothed_peak(column);
                let unit = manner.unit(quantity);
                cells.push(plain_number(unit.from_si(peak.value), 1));
                cells.push(at(&peak));
            }
        }
        None => cells.extend(vec![String::new(); 2 * columns.len()]),
    }
    cells.push(look(day, pull, checks));
    cells
}

fn at(peak: &Peak) -> String {
    plain_number((peak.speed / RPM / 50.0).round() * 50.0, 0)
}

/// The worst of the checks in a word.
fn look(day: &Day, pull: &DayPull, checks: &[Check]) -> String {
    let count = |verdict| checks.iter().filter(|c| c.verdict == verdict).count();
    let words = match (count(Verdict::Stop), count(Verdict::Watch)) {
        (0, 0) => "in order".to_owned(),
        (0, watch) => format!("{watch} watch"),
        (stop, 0) => format!("{stop} stop"),
        (stop, watch) => format!("{stop} stop {watch} watch"),
    };
    if left_out(day, pull).is_some() { "set aside".to_owned() } else { words }
}

fn left_out<'a>(day: &'a Day, pull: &DayPull) -> Option<&'a str> {
    day.said(pull)?.set_aside.as_ref().map(|out| out.reason.as_str())
}

/// What the numbers are, said once.
fn footing(day: &Day) -> String {
    let corrected = day.pulls.iter().filter(|p| p.air.is_ok()).count();
    let inertia = day.pulls.iter().filter_map(|p| day.pull(p)).any(|p| p.with_inertia.is_some());
    let mut words = match (corrected, day.pulls.len()) {
        (0, _) => "Torque and power as read, not corrected.".to_owned(),
        (n, all) if n == all => format!("Corrected to {}.", day.standard),
        (n, all) => format!("{n} of {all} corrected to {}.", day.standard),
    };
    if corrected > 0 && !day.standard_said {
        words += " Nobody named a standard; this is the usual one for spark ignition.";
    }
    if inertia {
        words += " The torque that accelerates the rotating parts is added.";
    }
    words += &not_corrected(day);
    if let Some(remark) = boost_remarks(day) {
        words += &format!(" The engine is blown: {remark}.");
    }
    words + " Best over 300 rpm; ± not known from one pull."
}

/// Every reason why pulls have no factor, with the pulls where others have one.
fn not_corrected(day: &Day) -> String {
    let without = || day.pulls.iter().filter_map(|p| Some((p.short(), p.air.as_ref().err()?)));
    let reasons: Vec<String> = without().map(|(_, error)| error.to_string()).collect();
    let every = reasons.len() == day.pulls.len();
    let one = |reason: &str| {
        let alike = without().zip(&reasons).filter(|(_, other)| *other == reason);
        let names: Vec<&str> = alike.map(|((name, _), _)| name).collect();
        let of = if every { String::new() } else { format!("{}: ", names.join(", ")) };
        format!(" Not corrected: {of}{reason}.")
    };
    first_of_each(reasons.iter().map(String::as_str)).into_iter().map(one).collect()
}

/// What the standard has to say of a compressor, once.
fn boost_remarks(day: &Day) -> Option<Remark> {
    let remarks = day.pulls.iter().filter_map(|p| p.air.as_ref().ok()).flat_map(|air| {
        let of_boost = |remark: &&Remark| {
            matches!(
                remark,
                Remark::BlowerAsNatural | Remark::OverCorrectsBoost | Remark::FullyCompensated
            )
        };
        air.first().remarks.iter().filter(of_boost)
    });
    remarks.copied().next()
}

fn not_there(day: &Day, manner: &Manner) -> String {
    let mut out = String::new();
    for file in &day.files {
        let text = match file {
            Logged::Refused { name, reason } => format!("{name} not read: {reason}"),
            Logged::Twin { name, of } => format!("{name} holds the same data as {of}: left out"),
            // A log for the losses is read for its speed alone.
            Logged::Read(opened) if day.roller.is_some() && opened.pulls.is_empty() => continue,
            Logged::Read(opened) => {
                if let Some(why) = no_pull(day, opened) {
                    out += &manner.wrapped(&format!("{} has no pull: {why}", opened.name), 2);
                }
                for doubt in &opened.recognition.doubts {
                    let text = format!("? {}: {}: {}", opened.name, doubt.heading, doubt.question);
                    out += &manner.wrapped(&text, 2);
                }
                continue;
            }
        };
        out += &manner.wrapped(&text, 2);
    }
    for column in day.session.iter().flat_map(|session| &session.columns) {
        if let Some((what, there)) = not_found(column, &day.files) {
            out += &manner.wrapped(&format!("? session file: {what}. {there}"), 2);
        }
    }
    for text in &day.unnamed {
        out += &manner.wrapped(text, 2);
    }
    for text in &day.clocks {
        out += &manner.wrapped(&format!("? {text}"), 2);
    }
    if let Some(order) = &day.order {
        out += &manner.wrapped(order, 2);
    }
    for (label, why) in &day.missing {
        out += &manner.wrapped(&format!("{label} has no curve: {why}"), 2);
    }
    for doubt in day.doubts.0.iter().filter(|doubt| doubt.silenced.is_none()) {
        let text = format!("? session file: {} {}", doubt.finding.what, doubt.finding.remedy);
        out += &manner.wrapped(&text, 2);
    }
    out
}

/// Why a loose log holds no pull; of a session's pulls that is told by their names.
fn no_pull(day: &Day, opened: &Opened) -> Option<String> {
    let told = day.session.as_ref().is_some_and(|session| !session.pulls.is_empty());
    if told || !opened.pulls.is_empty() {
        return None;
    }
    Some(match &opened.found {
        Err(error) => error.to_string(),
        Ok(_) => "no sweep or step test in it".to_owned(),
    })
}

/// Crowds of pulls, one for each build.
pub fn crowds(day: &Day, builds: &[String]) -> Result<Vec<Crowd>, Failure> {
    let mut out = Vec::new();
    for (slot, build) in Slot::ALL.into_iter().zip(builds) {
        let of_build = |p: &&DayPull| p.build == *build && left_out(day, p).is_none();
        let curves: Vec<Curve<Measured>> = day
            .pulls
            .iter()
            .filter(of_build)
            .filter_map(|p| day_curve(day, p).map(|(curve, _)| curve))
            .collect();
        let label = if build.is_empty() { "pulls" } else { build };
        let crowd = Crowd::of(slot, label, curves)
            .map_err(|error| Failure::NotWorkedOut(format!("{label} can't be drawn: {error}")))?;
        out.push(crowd);
    }
    Ok(out)
}

/// Builds in the order of their first pull, at most four.
fn builds(day: &Day) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for pull in day.pulls.iter().filter(|p| left_out(day, p).is_none()) {
        if !all.contains(&pull.build) {
            all.push(pull.build.clone());
        }
    }
    all.truncate(Slot::ALL.len());
    all
}

fn picture(day: &Day, manner: &Manner) -> Result<String, Failure> {
    let unit = |of| Unit::of(manner.unit(of));
    let session = day.session.as_ref().and_then(|s| s.name.clone()).unwrap_or_default();
    let at = if day.roller.is_some() { ", WHEEL power" } else { "" };
    let chart = Chart {
        title: format!("{session}, {}{at}", counted(day.pulls.len(), "pull"))
            .trim_start_matches(", ")
            .to_owned(),
        axes: match day.roller {
            Some(_) => vec![Axis::power(unit(Quantity::Power))],
            None => vec![Axis::torque(unit(Quantity::Torque)), Axis::power(unit(Quantity::Power))],
        },
        crowds: crowds(day, &builds(day))?,
        notes: vec![footing(day)],
        ..Chart::default()
    };
    Ok(svg_chart(&chart, Theme::Light))
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
