//! `diff`: what is different between two builds, and nothing else.

use crate::Done;
use crate::args::Diff;
use crate::failure::Failure;
use crate::files::{self, Opened};
use crate::json;
use crate::manner::{Form, Manner};
use crate::text::{csv_row, harmless};
use serde_json::{Value as Json, json};
use shortblock_engine::{Change, PartChange, diff, schema};
use std::path::Path;

/// What stands where nothing is stated.
const NOTHING: &str = "not stated";

/// Compares what the two files state.
pub fn run(args: &Diff, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    if args.a == "-" && args.b == "-" {
        let hint = "hint: give at least one of the two as a file";
        return Err(Failure::NotUnderstood(format!(
            "standard input can be read only once\n{hint}"
        )));
    }
    let (a, b) = (files::open(&args.a, shop)?, files::open(&args.b, shop)?);
    let found = diff(&a.build, &b.build);
    let text = match manner.form {
        Form::Json => {
            let parts: Vec<Json> = found.parts.iter().map(part_json).collect();
            let again: Vec<Json> = found.measured_again.iter().map(change_json).collect();
            let object = json!({ "format": "shortblock/diff/1", "a": a.name, "b": b.name,
                "parts": parts, "measured_again": again });
            json::line(&object, manner)
        }
        Form::Csv => {
            let rows =
                found.parts.iter().flat_map(|part| part.changes.iter().map(|c| (c, "changed")));
            let again = found.measured_again.iter().map(|change| (change, "measured again"));
            let head = csv_row(&["path", "a", "b", "how"]);
            head + &rows
                .chain(again)
                .map(|(change, how)| change_csv(change, how))
                .collect::<String>()
        }
        Form::Text => as_text(&a, &b, &found.parts, &found.measured_again, manner),
    };
    Ok(Done::well(text))
}

fn as_text(
    a: &Opened,
    b: &Opened,
    parts: &[PartChange],
    again: &[Change],
    manner: &Manner,
) -> String {
    if parts.is_empty() && again.is_empty() {
        return manner.wrapped(&format!("{} and {} state the same", a.name, b.name), 0);
    }
    let head = manner.wrapped(&format!("{} against {}", b.name, a.name), 0);
    let mut out = manner.strong(head.trim_end()) + "\n";
    for part in parts {
        out.push('\n');
        let swapped = part.swapped.as_ref().map(|(old, new)| format!(": {old} → {new}"));
        let name = if part.part.is_empty() { "at the top" } else { &part.part };
        out += &manner.wrapped(&format!("{name}{}", swapped.unwrap_or_default()), 0);
        for change in &part.changes {
            out += &change_text(&part.part, change, manner);
        }
    }
    if !again.is_empty() {
        out += "\nmeasured again, the part is the same\n";
        for change in again {
            out += &change_text("", change, manner);
        }
    }
    out
}

fn change_text(part: &str, change: &Change, manner: &Manner) -> String {
    let word = if schema::is_below(&change.path, part) && !part.is_empty() {
        &change.path[part.len() + 1..]
    } else {
        &change.path
    };
    let old = change.old.as_deref().unwrap_or(NOTHING);
    let new = change.new.as_deref().unwrap_or(NOTHING);
    manner.wrapped(&harmless(&format!("{word}: {old} → {new}")), 2)
}

fn part_json(part: &PartChange) -> Json {
    let changes: Vec<Json> = part.changes.iter().map(change_json).collect();
    let swapped = part.swapped.as_ref().map(|(a, b)| json!({ "a": a, "b": b }));
    json!({ "part": part.part, "swapped": swapped, "changes": changes })
}

fn change_json(change: &Change) -> Json {
    json!({ "path": change.path, "a": change.old, "b": change.new })
}

fn change_csv(change: &Change, how: &str) -> String {
    let side = |text: &Option<String>| text.clone().unwrap_or_default();
    csv_row(&[change.path.as_str(), &side(&change.old), &side(&change.new), how])
}
