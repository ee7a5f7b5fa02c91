//! `read`: what a log is, what its columns are, which pulls are in it.

use crate::Done;
use crate::args::Read;
use crate::curves::{Shown, csv_heading};
use crate::failure::{FAULTS, Failure};
use crate::json::{clean, line};
use crate::logs::{self, Logged, Opened};
use crate::manner::{Form, Manner};
use crate::names::fitting;
use crate::text::{counted, harmless, shortened};
use serde_json::{Value as Json, json};
use shortblock_curve::{Curve, Measured, Quantity as Column};
use shortblock_pulls::{Channel, Form as Written, Of, Pull, Standing, Treatment};
use shortblock_sheets::{Table, plain_number};
use shortblock_units::Quantity;
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;
/// Widest heading and widest unit of a log in the table of its columns.
const HEADING: usize = 28;
const UNIT: usize = 10;

/// Reads the logs and says what they are.
pub fn run(args: &Read, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let said = logs::said(&args.logs.column)?;
    let files = logs::open(&args.logs.logs, &said, &Treatment::default(), shop)?;
    if args.confirm {
        let first = args.logs.logs.first().map_or(".", String::as_str);
        let opened: Vec<&Opened> = files.iter().filter_map(Logged::read).collect();
        let file = logs::remember(&opened, Path::new(first), shop)?;
        manner.say(&format!("wrote {}", file.display()));
    }
    let text = match manner.form {
        Form::Text => {
            files.iter().map(|file| page(file, args, manner)).collect::<Vec<_>>().join("\n")
        }
        Form::Json => line(&as_json(&files, manner), manner),
        Form::Csv => as_csv(&files, manner),
    };
    let refused = files.iter().any(|file| matches!(file, Logged::Refused { .. }));
    Ok(Done { text, code: if refused { FAULTS } else { 0 } })
}

fn page(file: &Logged, args: &Read, manner: &Manner) -> String {
    match file {
        Logged::Read(opened) => whole(opened, args, manner),
        Logged::Refused { name, reason } => {
            manner.heading(name) + &manner.wrapped(&format!("not read: {reason}"), 2)
        }
        Logged::Twin { name, of } => {
            let text = format!("the same data as {of}; it counts once");
            manner.heading(name) + &manner.wrapped(&text, 2)
        }
    }
}

fn whole(opened: &Opened, args: &Read, manner: &Manner) -> String {
    let mut out = manner.heading(&opened.name);
    out += &manner.wrapped(&described(opened), 2);
    out += &columns(opened, manner);
    if args.why {
        out += &reasons(opened, manner);
    }
    if of_torque(opened) {
        out += &manner.wrapped(standing(opened.recognition.standing), 2);
    }
    for warning in &opened.log.warnings {
        let at = warning.line.map_or(String::new(), |line| format!("line {line}: "));
        let of = warning.column.as_ref().map_or(String::new(), |c| format!("{}: ", harmless(c)));
        out += &manner.wrapped(&format!("! {at}{of}{}", harmless(&warning.text)), 2);
    }
    for doubt in &opened.recognition.doubts {
        out += &manner.wrapped(&format!("? {}: {}", harmless(&doubt.heading), doubt.question), 2);
    }
    // Some questions hold their answers.
    let open = opened.recognition.doubts.iter().find(|doubt| !doubt.question.contains("--column"));
    if let Some(doubt) = open {
        out += &manner.wrapped(&answer(opened, &doubt.heading), 2);
    }
    out + &stretches(opened, manner)
}

/// How to answer what is asked of a column, with what it is taken for as the example.
fn answer(opened: &Opened, heading: &str) -> String {
    let found = opened.recognition.matches.iter().find(|found| found.heading == heading);
    let channel = found.and_then(|found| found.channel).map_or("none".to_owned(), Channel::name);
    let unit = found.map_or("", |found| &found.unit);
    let unit = if unit.is_empty() { String::new() } else { format!(", {unit}") };
    format!(
        "Answer in this form, with what is true:  --column \"{}={channel}{unit}\"",
        harmless(heading)
    )
}

/// Rows, rate, how the file is written.
fn described(opened: &Opened) -> String {
    let recording = &opened.recognition.recording;
    let longest = |g: &shortblock_pulls::Group| g.columns.iter().map(|c| c.values.len()).max();
    let in_file = opened.log.groups.iter().filter_map(longest).max().unwrap_or(0);
    let used = recording.rows();
    let rows = counted(if used == 0 { in_file } else { used }, "row");
    let time = &recording.time;
    let lasted = time.iter().copied().filter(|t| t.is_finite()).fold(0.0, f64::max);
    let rate = match time.len() {
        0 | 1 => ", no time".to_owned(),
        n if lasted > 0.0 && opened.log.groups.iter().all(|g| g.parts.is_empty()) => {
            format!(", {:.0} a second over {lasted:.1} s", (n - 1) as f64 / lasted)
        }
        _ => String::new(),
    };
    let written = match &opened.log.form {
        Written::Text(dialect) => {
            let delimiter = match dialect.delimiter {
                ',' => "commas",
                ';' => "semicolons",
                '\t' => "tabs",
                '|' => "bars",
                _ => "blanks",
            };
            let decimal = if dialect.decimal == ',' { "decimal comma" } else { "decimal point" };
            let heading = dialect
                .heading_line
                .map_or("no headings".to_owned(), |line| format!("headings in line {line}"));
            format!("{}, {delimiter}, {decimal}, {heading}", dialect.encoding)
        }
        Written::Measurement(version) => format!("ASAM MDF {version}"),
    };
    let began = opened.log.started.as_deref().map_or(String::new(), |started| {
        format!("; began {}", harmless(&started.replace('T', " ")))
    });
    format!("{rows}{rate}; {written}{began}")
}

/// What every column is taken for.
fn columns(opened: &Opened, manner: &Manner) -> String {
    let matches = &opened.recognition.matches;
    let headings = matches.iter().map(|found| shortened(&harmless(&found.heading), HEADING));
    fitting(&headings.collect::<Vec<_>>(), manner, |names| {
        let mut table = Table::new(&["column", "unit", "is", "read in", "how sure"]).all_left();
        for (found, name) in matches.iter().zip(names) {
            let channel = found.channel.map_or("unknown, kept".to_owned(), Channel::name);
            table.row(vec![
                manner.text(name),
                manner.text(&shortened(&harmless(&found.written_unit), UNIT)),
                channel,
                found.unit.clone(),
                found.confidence.word().to_owned(),
            ]);
        }
        table
    })
}

fn reasons(opened: &Opened, manner: &Manner) -> String {
    let matches = opened.recognition.matches.iter();
    matches
        .map(|m| manner.wrapped(&format!("{}: {}", harmless(&m.heading), m.reasons.join("; ")), 4))
        .collect()
}

/// Whether there is torque or power that could have been corrected.
fn of_torque(opened: &Opened) -> bool {
    use Channel::{CorrectedPower, CorrectedTorque, Power, Torque, WheelPower, WheelTorque};
    let all = [Torque, Power, CorrectedTorque, CorrectedPower, WheelTorque, WheelPower];
    all.into_iter().any(|channel| opened.recognition.recording.get(channel).is_some())
}

fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Observed => "Torque and power are as read.",
        Standing::Corrected(Some(_)) => {
            "Torque and power were corrected by the file, which states its factor: they are taken back by \
             it."
        }
        Standing::Corrected(None) => {
            "Torque and power were corrected by the file, by a factor it does not state."
        }
        Standing::NotSaid => {
            "Nothing in the file says whether torque was corrected; it is taken as read."
        }
    }
}

fn stretches(opened: &Opened, manner: &Manner) -> String {
    let found = match &opened.found {
        Ok(found) => found,
        Err(error) => return manner.wrapped(&format!("no pulls: {error}"), 2),
    };
    if found.stretches.is_empty() {
        return manner.wrapped("no sweep, step test or coast-down in it", 2);
    }
    let mut out = String::new();
    let mut pulls = opened.pulls.iter();
    for stretch in &found.stretches {
        out += &manner.wrapped(&stretch.to_string(), 2);
        let pull = if stretch.kind.is_pull() { pulls.next() } else { None };
        match pull {
            Some(Ok(pull)) => out += &best(pull, &opened.name, manner),
            Some(Err(error)) => out += &manner.wrapped(&error.to_string(), 4),
            None => {}
        }
    }
    out
}

/// Readings at one speed are no curve, yet a loop can be made of them.
fn without_curve(pull: &Pull, manner: &Manner) -> String {
    let known = pull.best_torque().map(|points| points.mean.iter().filter(|t| t.is_finite()));
    let (low, high) = known
        .into_iter()
        .flatten()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), t| (l.min(*t), h.max(*t)));
    if low > high {
        return "neither torque nor power in it".to_owned();
    }
    let torque = |si| manner.value(si, None, Quantity::Torque);
    format!(
        "torque {} to {}, no curve over speed; over a setting:  shortblock loop",
        torque(low),
        torque(high)
    )
}

/// Best torque and power of a pull as the file has them.
fn best(pull: &Pull, name: &str, manner: &Manner) -> String {
    let Some((curve, word)) = curve_of(pull, name) else {
        return manner.wrapped(&without_curve(pull, manner), 4);
    };
    let one = |column, quantity: Quantity| {
        let peak = curve.smoothed_peak(column);
        let at = plain_number((peak.speed / RPM / 50.0).round() * 50.0, 0);
        format!("{} at {at} rpm", manner.shown(peak.value, quantity))
    };
    let (torque, power) =
        (one(Column::Torque, Quantity::Torque), one(Column::Power, Quantity::Power));
    let mut out = manner
        .wrapped(&format!("best torque {torque}, best power {power}, {word} (± not known)"), 4);
    if pull.ends_at_its_best() {
        let text =
            "torque is at its best where it ends: broken off, or the engine has more to give";
        out += &manner.wrapped(text, 4);
    }
    out
}

/// The curve of a pull as read, or as the file corrected it where it has nothing else.
pub fn curve_of(pull: &Pull, name: &str) -> Option<(Curve<Measured>, &'static str)> {
    if let Ok(curve) = pull.curve(name, Of::AsRead) {
        return Some((curve, "as read"));
    }
    pull.curve(name, Of::AsFiled).ok().map(|curve| (curve, "as corrected by the file"))
}

fn as_json(files: &[Logged], manner: &Manner) -> Json {
    let one = |file: &Logged| match file {
        Logged::Refused { name, reason } => json!({ "file": name, "not_read": reason }),
        Logged::Twin { name, of } => json!({ "file": name, "same_data_as": of }),
        Logged::Read(opened) => opened_json(opened, manner),
    };
    json!({ "format": "shortblock/read/1", "files": files.iter().map(one).collect::<Vec<_>>() })
}

fn opened_json(opened: &Opened, manner: &Manner) -> Json {
    let columns = opened.recognition.matches.iter().map(|m| {
        json!({
            "heading": m.heading, "unit": m.written_unit,
            "channel": m.channel.map(Channel::name), "read_in": m.unit,
            "how_sure": m.confidence.word(), "reasons": m.reasons,
        })
    });
    let doubts = opened.recognition.doubts.iter();
    let warnings = opened
        .log
        .warnings
        .iter()
        .map(|w| json!({ "line": w.line, "column": w.column, "text": w.text }));
    json!({
        "file": opened.name,
        "hash": opened.log.hash,
        "began": opened.log.started,
        "rows": opened.recognition.recording.rows(),
        "columns": columns.collect::<Vec<_>>(),
        "doubts": doubts.map(|d| json!({ "heading": d.heading, "question": d.question }))
            .collect::<Vec<_>>(),
        "warnings": warnings.collect::<Vec<_>>(),
        "torque": standing(opened.recognition.standing),
        "pulls": opened.pulls.iter().flatten().map(|p| pull_json(p, opened, manner))
            .collect::<Vec<_>>(),
    })
}

fn pull_json(pull: &Pull, opened: &Opened, manner: &Manner) -> Json {
    let mut object = json!({
        "kind": pull.stretch.kind.word(),
        "rows": [pull.stretch.rows.start + 1, pull.stretch.rows.end],
        "sweep_rate": pull.stretch.rate.map(|r| json!({
            "value": clean(r.mean / RPM), "unit": "rpm/s", "kind": "measured",
        })),
        "done": pull.done.iter().map(ToString::to_string).collect::<Vec<_>>(),
    });
    if let Some((curve, word)) = curve_of(pull, &opened.name) {
        object["curve"] = Shown { curve: &curve, word, at_wheels: false }.json(manner);
    }
    object
}

fn as_csv(files: &[Logged], manner: &Manner) -> String {
    let mut out = csv_heading(["file", "pull"], manner);
    for opened in files.iter().filter_map(Logged::read) {
        for (i, pull) in opened.pulls.iter().enumerate() {
            let curve = pull.as_ref().ok().and_then(|p| curve_of(p, &opened.name));
            let Some((curve, word)) = curve else { continue };
            let shown = Shown { curve: &curve, word, at_wheels: false };
            out += &shown.csv([&opened.name, &(i + 1).to_string()], manner);
        }
    }
    out
}
