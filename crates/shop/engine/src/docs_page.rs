//! The documentation page of the engine file, from the same declaration as everything else.

use shortblock_units::{Quantity, units_of};

use crate::defaults::{self, Standing};
use crate::schema::{self, Kind, TableKind, Word};

/// The page as Markdown: every word with what may stand there, what is assumed when it is left
/// out, its ± and where that comes from.
#[must_use]
pub fn docs_page() -> String {
    let mut out = String::from(HEAD);
    let mut table = "?";
    for word in schema::words() {
        let head = top(&word.path);
        if head != table {
            table = head;
            out += &title(head);
            out += "| word | what | written | left out |\n|---|---|---|---|\n";
        }
        out += &row(word);
    }
    out += "\n## Short words\n\n";
    for (short, path) in schema::SHORT {
        out += &format!(
            "- `{short}` at the top of a file is short for `{path}`; giving both is a fault.\n"
        );
    }
    out
}

const HEAD: &str = "# The engine file\n\n\
    Made by `shortblock schema --docs`; change the schema, not this page.\n\n\
    A value is a number and its unit in quotes, as you would say it: `\"86.0 mm\"`, `\"3.385 in\"`,\n\
    `\"106.0 ±0.5 deg\"`. A table around it says more:\n\
    `{ value = \"139.00 mm\", from = \"measured\", by = \"KV\", on = 2026-03-28, with = \"caliper 3\", note = \"…\" }`;\n\
    `{ each = \"38.2, 38.1, 38.3, 38.2 cc\" }` gives one per cylinder. `values_from = \"measured\"` at the top\n\
    of a file holds for its unmarked values; otherwise they are *given*. `\"assumed\"`, `\"not measured\"` and\n\
    `\"not applicable\"` may stand in place of a value. `doubt_ok = \"reason\"` silences a doubt.\n\n\
    A lift that a cam timing is stated at is *of lifter* (rise off the base circle), *of valve* (running\n\
    lash set), *of valve at zero lash*, or *at seat*.\n\n\
    Later wins: assumed, `use = \"heads/F-27\"` (a part from the shelf), `based_on = \"b6\"` (a whole build),\n\
    the file itself; `without = [\"exhaust.silencer\"]` takes a thing out. `engine.toml` in the same folder\n\
    holds what never changes. c.p. = common practice, no source; own = chosen here; f.m. = from memory of\n\
    the named source.\n";

fn top(path: &str) -> &str {
    path.split_once('.').map_or("", |(first, _)| first)
}

fn title(table: &str) -> String {
    if table.is_empty() {
        "\n## At the top\n\n".to_owned()
    } else {
        format!("\n## `[{table}]`\n\n")
    }
}

fn row(word: &Word) -> String {
    let table = top(&word.path);
    let short = word.path.strip_prefix(table).unwrap_or(&word.path).trim_start_matches('.');
    let mut name = format!("`{short}`");
    for alias in word.field.aliases {
        name += &format!(", also `{alias}`");
    }
    if word.field.each {
        name += " (each)";
    }
    let assumed = defaults::default_of(&word.path).map_or(String::new(), left_out);
    format!("| {name} | {} | {} | {assumed} |\n", word.field.help, written(&word.field.kind))
}

/// What is assumed, its ±, why, and the source.
fn left_out(standing: &Standing) -> String {
    let mut out = String::new();
    if let Some((value, spread)) = &standing.assume {
        out += value;
        if !spread.is_empty() && !spread.starts_with("0 ") && spread != "0" {
            out += &format!(" ±{spread}");
        }
    }
    for case in &standing.cases {
        out += &format!("; {} ±{} if {} is {}", case.assume.0, case.assume.1, case.path, case.word);
    }
    if !out.is_empty() {
        out += &format!(" ({}: {})", standing.source, standing.why);
    }
    if let Some((low, high)) = &standing.doubt_text {
        out += &format!(" Asked outside {low} to {high}.");
    }
    out
}

fn written(kind: &Kind) -> String {
    match kind {
        Kind::Text => "text".to_owned(),
        Kind::Texts => "list of texts".to_owned(),
        Kind::Date => "date".to_owned(),
        Kind::Flag => "true or false".to_owned(),
        Kind::Choice(words) => words.join(", "),
        Kind::Count => "whole number".to_owned(),
        Kind::Number => "number".to_owned(),
        Kind::Quantity(Quantity::Ratio) => "number".to_owned(),
        Kind::Quantity(quantity) => units(*quantity),
        Kind::Angles => format!("several, {}", units(Quantity::Angle)),
        Kind::Opening => format!("{}, or {}", units(Quantity::Length), units(Quantity::Area)),
        Kind::Durations => "\"222 deg at 0.050 in of lifter\", one or a list".to_owned(),
        Kind::Event => "\"34 deg BTDC at 1.0 mm of valve\"".to_owned(),
        Kind::FlowAtDrop => "\"700 cfm at 1.5 inHg\"".to_owned(),
        Kind::DropAtFlow => "\"35 kPa at 0.20 kg/s\", \"35 kPa at 225 hp\"".to_owned(),
        Kind::Wish(kinds) => {
            let unit = kinds.first().map_or("", |q| units_of(*q)[0].symbol);
            format!("\"340 {unit} below 8400 rpm\", \"… from 3200 rpm to 5000 rpm\"")
        }
        Kind::Cylinders => "[1, 3, 4, 2]".to_owned(),
        Kind::Groups => "[[1, 2, 3], [4, 5, 6]]".to_owned(),
        Kind::Table(kind) => columns(kind),
        Kind::NumberOrTable(kind) => format!("number, or {}", columns(kind)),
        Kind::SparkPlan(kind) => {
            format!(
                "\"31 deg\", \"best torque\", \"best torque, knock limited\", or {}",
                columns(kind)
            )
        }
        Kind::Blend => "{ ethanol = \"10 %\" }".to_owned(),
        Kind::Entries(fields) => {
            let names: Vec<&str> = fields.iter().map(|f| f.path).collect();
            format!("a list of tables: {}", names.join(", "))
        }
    }
}

fn units(quantity: Quantity) -> String {
    let symbols: Vec<&str> = units_of(quantity).iter().take(6).map(|u| u.symbol).collect();
    symbols.join(", ")
}

fn columns(kind: &TableKind) -> String {
    let names = kind.columns.iter().map(|c| match c.quantity {
        Some(quantity) => format!("{} {}", c.name, units_of(quantity)[0].symbol),
        None => c.name.to_owned(),
    });
    let beside: Vec<&str> = kind.beside.iter().map(|f| f.path).collect();
    let mut out = format!("columns {}", names.collect::<Vec<_>>().join(", "));
    if !beside.is_empty() {
        out += &format!("; beside them {}", beside.join(", "));
    }
    out
}
