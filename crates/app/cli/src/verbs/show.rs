//! `show`: every value of a build, what it is, and where it comes from.

use crate::Done;
use crate::args::Show;
use crate::failure::Failure;
use crate::files::{self, Opened};
use crate::json;
use crate::manner::{Form, Manner};
use crate::paths::used;
use crate::text::{COLUMNS, counted, csv_row, harmless, padded, source};
use serde_json::{Value as Json, json};
use shortblock_document::nearest;
use shortblock_engine::{Item, Leaf, Value, schema};
use shortblock_units::Origin;
use std::path::Path;

/// Widest column of paths; a longer path pushes its line out, no further than the edge.
const WIDEST_PATH: usize = 38;

/// Lists the values.
pub fn run(args: &Show, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let only: Vec<String> =
        args.only.iter().map(|path| known(path.trim())).collect::<Result<_, _>>()?;
    let opened = files::open(&args.file, shop)?;
    let rows: Vec<(&str, &Item)> = opened
        .build
        .items()
        .filter(|(_, item)| !args.assumed || item.origin == Origin::Assumed)
        .filter(|(path, _)| !IN_THE_HEADING.contains(path))
        .filter(|(path, _)| only.is_empty() || only.iter().any(|t| within(path, t)))
        .collect();
    let text = match manner.form {
        Form::Json => {
            let values: Vec<Json> = rows.iter().map(|(p, item)| as_json(p, item, manner)).collect();
            let object = json!({ "format": "shortblock/show/1", "file": opened.name,
                "engine": opened.build.identity.number, "build": opened.build.identity.build,
                "values": values });
            json::line(&object, manner)
        }
        Form::Csv => as_csv(&rows),
        Form::Text if args.assumed => assumed(&opened, &rows, manner),
        Form::Text => list(&opened, &rows, args.origin, manner),
    };
    Ok(Done::well(text))
}

fn within(path: &str, table: &str) -> bool {
    path == table || schema::is_below(path, table)
}

/// The path with the words used here, or what it could mean.
fn known(path: &str) -> Result<String, Failure> {
    let path = used(path);
    if !path.is_empty() && (schema::word(&path).is_some() || schema::is_table(&path)) {
        return Ok(path);
    }
    let tables = schema::words().iter().map(|word| schema::parent(&word.path));
    let all = schema::words().iter().map(|word| word.path.as_str()).chain(tables);
    let hint = nearest(&path, all).filter(|near| !near.is_empty());
    let hint = hint.map_or("shortblock show FILE lists them all".to_owned(), |near| {
        format!("did you mean {near}?")
    });
    Err(Failure::NotUnderstood(format!(
        "--only {path}: no such table or word in an engine file\nhint: {hint}"
    )))
}

/// Words that say which build it is; they stand in the heading.
const IN_THE_HEADING: [&str; 5] = ["format", "number", "name", "build", "state"];

/// What stands there, as typed; what is found from other values as a number too.
fn said(item: &Item, manner: &Manner) -> String {
    let text = harmless(&item.text);
    let shown = |value: &Value| {
        let pm = (value.plus_minus > 0.0).then_some(value.plus_minus);
        manner.value(value.si, pm, value.quantity)
    };
    let number = match &item.leaf {
        Leaf::Value(value) => Some(shown(value)),
        Leaf::DropAtFlow(drop, at) => Some(format!("{} at {}", shown(drop), shown(at))),
        _ => None,
    };
    match number {
        Some(number) if text.is_empty() => number,
        Some(number) if item.origin == Origin::Assumed && text.contains(" x ") => {
            format!("{number} ({text})")
        }
        Some(number) if item.origin == Origin::Assumed => number,
        _ => text,
    }
}

fn heading(opened: &Opened, manner: &Manner) -> String {
    let identity = &opened.build.identity;
    let number = [identity.number.as_str(), identity.build.as_str()];
    let address: Vec<&str> = number.into_iter().filter(|word| !word.is_empty()).collect();
    let words = [address.join("/"), identity.name.clone(), identity.state.clone()];
    let words: Vec<String> = words.into_iter().filter(|word| !word.is_empty()).collect();
    let line = if words.is_empty() { opened.name.clone() } else { words.join(", ") };
    manner.strong(manner.wrapped(&harmless(&line), 0).trim_end()) + "\n"
}

fn list(opened: &Opened, rows: &[(&str, &Item)], origin: bool, manner: &Manner) -> String {
    let mut out = heading(opened, manner);
    let longest = rows.iter().map(|(path, _)| path.chars().count()).max().unwrap_or(0);
    let width = longest.min(WIDEST_PATH);
    for (path, item) in rows {
        let mark = manner.mark(item.origin);
        let last = match (&item.spot, origin) {
            (Some(spot), true) => format!("{}:{}", harmless(&spot.file), spot.line),
            (None, true) => item.origin.word().to_owned(),
            (_, false) => item.origin.word().to_owned(),
        };
        out += &row(&format!("{mark} {}", padded(path, width)), &said(item, manner), &last, manner);
    }
    out + &legend(rows, manner)
}

/// Three columns in one line where they fit, else the middle one below, broken.
fn row(left: &str, middle: &str, right: &str, manner: &Manner) -> String {
    let (middle, right) = (manner.text(middle), manner.text(right));
    let count = |text: &str| text.chars().count();
    let gap = |used: usize| " ".repeat(COLUMNS.saturating_sub(used + count(&right)).max(2));
    let fits = count(left) + 2 + count(&middle) + if right.is_empty() { 0 } else { 2 };
    let line = |text: String| text.trim_end().to_owned() + "\n";
    if fits + count(&right) <= COLUMNS {
        return line(format!("{left}  {middle}{}{right}", gap(count(left) + 2 + count(&middle))));
    }
    line(format!("{left}{}{right}", gap(count(left)))) + &manner.wrapped(&middle, 6)
}

fn legend(rows: &[(&str, &Item)], manner: &Manner) -> String {
    let there = |origin: &Origin| rows.iter().any(|(_, item)| item.origin == *origin);
    let marks = Origin::ALL.into_iter().filter(there);
    let marks: Vec<String> =
        marks.map(|origin| format!("{} {}", manner.mark(origin), origin.word())).collect();
    format!("\n{}", manner.wrapped(&marks.join(", "), 0))
}

fn assumed(opened: &Opened, rows: &[(&str, &Item)], manner: &Manner) -> String {
    let mut out = heading(opened, manner);
    if rows.is_empty() {
        return out + "nothing is assumed\n";
    }
    let count = counted(rows.len(), "assumed value");
    out += &manner.wrapped(
        &format!(
            "{count}: nobody said, so this was filled in. Give a value and the ± gets smaller."
        ),
        0,
    );
    out.push('\n');
    for (path, item) in rows {
        let left = format!("{} {}", manner.mark(Origin::Assumed), padded(path, WIDEST_PATH));
        out += &row(&left, &said(item, manner), "", manner);
        out += &manner.wrapped(&reason(item), 4);
    }
    out
}

fn reason(item: &Item) -> String {
    let why = if item.why.is_empty() { "nobody said" } else { &item.why };
    match source(&item.source).as_str() {
        "" => why.to_owned(),
        source => format!("{why} ({source})"),
    }
}

fn as_json(path: &str, item: &Item, manner: &Manner) -> Json {
    let number = item.value().map(|value| {
        let pm = (value.plus_minus > 0.0).then_some(value.plus_minus);
        json::quantity(value.si, pm, value.quantity, item.origin, manner)
    });
    let each = item.value().filter(|value| !value.each.is_empty()).map(|value| {
        let unit = manner.unit(value.quantity);
        value.each.iter().map(|si| json::clean(unit.from_si(*si))).collect::<Vec<f64>>()
    });
    json!({
        "path": path, "text": item.text, "kind": item.origin.key(), "quantity": number,
        "each": each,
        "file": item.spot.as_ref().map(|spot| &spot.file),
        "line": item.spot.as_ref().map(|spot| spot.line),
        "why": item.why, "source": item.source,
    })
}

fn as_csv(rows: &[(&str, &Item)]) -> String {
    let mut out = csv_row(&["path", "text", "kind", "file", "line", "why", "source"]);
    for (path, item) in rows {
        let file = item.spot.as_ref().map_or(String::new(), |spot| spot.file.clone());
        let line = item.spot.as_ref().map_or(String::new(), |spot| spot.line.to_string());
        let cells = [path, item.text.as_str(), item.origin.key(), &file, &line, &item.why];
        out += &csv_row(&cells.into_iter().chain([item.source.as_str()]).collect::<Vec<_>>());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::known;

    #[test]
    fn a_path_that_is_none_gets_the_nearest() {
        let message = known("exhaust.primry").unwrap_err().to_string();
        assert!(message.contains("exhaust.primary"), "{message}");
    }
}
