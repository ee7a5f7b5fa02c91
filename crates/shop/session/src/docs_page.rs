//! The documentation page of a file, from the same declaration as everything else.

use shortblock_units::{Quantity, units_of};
use shortblock_weather::Standard;

use crate::schema::{Field, File, Kind, SETTINGS};

/// The page as Markdown: every word with what may stand there.
#[must_use]
pub fn docs_page(file: File) -> String {
    let name = file.name();
    let mut out = format!("# The {name}\n\n{}\n\n{HEAD}", file.about());
    section(&mut out, "At the top", "", file.fields());
    if file == File::Session {
        out += "\n## Settings\n\nAny name may be used. Known by name, and so held to their unit: ";
        let known = SETTINGS.iter().map(|(word, q)| format!("`{word}` ({q})"));
        out += &known.collect::<Vec<_>>().join(", ");
        out += ".\n\n## Standards\n\n";
        for standard in Standard::ALL {
            let about = standard.about();
            out += &format!("- \"{}\" or \"{}\": {}\n", about.name, about.key, about.purpose);
        }
    }
    out
}

const HEAD: &str = "\
    A value is a number and its unit in quotes, as you would say it: `\"98.9 kPa\"`, `\"29.2 inHg\"`.\n\
    `note` may stand in any table, and `doubt_ok = \"reason\"` silences the doubts about it.\n\
    The first line is `format = 1`.\n";

fn section(out: &mut String, title: &str, path: &str, fields: &'static [Field]) {
    *out += &format!("\n## {title}\n\n| word | what | written |\n|---|---|---|\n");
    for field in fields {
        *out += &row(field);
    }
    for field in fields {
        let below =
            if path.is_empty() { field.word.to_owned() } else { format!("{path}.{}", field.word) };
        match field.kind {
            Kind::Table(inner) => section(out, &format!("`[{below}]`"), &below, inner),
            Kind::Tables(inner) => section(out, &format!("`[[{below}]]`"), &below, inner),
            _ => {}
        }
    }
}

fn row(field: &Field) -> String {
    let mut name = format!("`{}`", field.word);
    for alias in field.aliases {
        name += &format!(", also `{alias}`");
    }
    if field.needed {
        name += " (needed)";
    }
    format!("| {name} | {} | {} |\n", field.help, written(&field.kind))
}

fn written(kind: &Kind) -> String {
    match kind {
        Kind::Text => "text".to_owned(),
        Kind::File { up: true } => "way from this folder, may lead up".to_owned(),
        Kind::File { up: false } => "file in this folder or below".to_owned(),
        Kind::Date => "date, without quotes".to_owned(),
        Kind::TimeOfDay => "\"09:20\"".to_owned(),
        Kind::Flag => "true or false".to_owned(),
        Kind::Choice(words) => words.join(", "),
        Kind::Count => "whole number".to_owned(),
        Kind::Number | Kind::Quantity(Quantity::Ratio) => "number".to_owned(),
        Kind::Numbers => "list of numbers, \"none\" for a gap".to_owned(),
        Kind::Quantity(quantity) => {
            let units: Vec<&str> = units_of(*quantity).iter().take(6).map(|u| u.symbol).collect();
            units.join(", ")
        }
        Kind::AnyQuantity => "\"0.3 %\", or number and unit".to_owned(),
        Kind::SpeedRange => "\"4500 to 8000 rpm\"".to_owned(),
        Kind::Standard => "see below".to_owned(),
        Kind::Order => "\"A3 B3 A3\"".to_owned(),
        Kind::Channel => "name of a channel".to_owned(),
        Kind::Settings => "{ spark = \"28 deg\", fuel = \"99 RON E10\" }".to_owned(),
        Kind::Lags => "\"lambda of bank 1\" = \"0.35 s\"".to_owned(),
        Kind::Table(_) => "table".to_owned(),
        Kind::Tables(_) => "list of tables".to_owned(),
    }
}
