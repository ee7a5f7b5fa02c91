//! Tables: columns with units, typed in or from a CSV file; one grammar for both.

use shortblock_document::{Body, Finding, Node, Place, folder, is_plain, join, label, nearest};
use shortblock_units::{Origin, Quantity, Unit, unit};

use crate::defaults;
use crate::item::{Leaf, Table};
use crate::schema::{Column, TableKind};
use crate::value::Value;

use super::stated::{Stated, is_remark};
use super::{Reader, lists};

/// The most rows of one table.
const MOST_ROWS: usize = 20_000;

/// Headings and rows as they stand in the file.
struct Raw {
    headings: Vec<String>,
    rows: Vec<Vec<f64>>,
    place: Place,
}

/// Reads a table; `None` when it can't be used.
pub fn leaf(
    reader: &mut Reader,
    stated: &Stated,
    path: &str,
    kind: &'static TableKind,
) -> Option<Leaf> {
    let Body::Table(table) = &stated.first().body else {
        let what = format!("{} is a table of columns", label(path));
        let columns: Vec<&str> = kind.columns.iter().map(|c| c.name).collect();
        let remedy = format!(
            "Write columns = [\"{} …\", …] and rows = [[…], …], or csv = \"…\".",
            columns[0]
        );
        reader.wrong(&stated.place, path, what, &remedy);
        return None;
    };
    let raw = match (table.get("csv"), table.get("columns"), table.get("rows")) {
        (Some(csv), None, None) => from_csv(reader, csv, path)?,
        (None, Some(columns), Some(rows)) => inline(reader, columns, rows, path)?,
        _ => {
            let what = format!("{} needs columns and rows, or csv", label(path));
            let names: Vec<String> =
                kind.columns.iter().map(|c| format!("\"{} …\"", c.name)).collect();
            let remedy = format!(
                "Give columns = [{}] and rows = [[…], …], or csv = \"file.csv\".",
                names.join(", ")
            );
            reader.wrong(&stated.place, path, what, &remedy);
            return None;
        }
    };
    let own = ["columns", "rows", "csv"];
    let others = table.iter().filter(|(k, _)| !own.contains(&k.as_str()) && !is_remark(k));
    let others = others.map(|(k, n)| (k.clone(), n.clone())).collect();
    let beside = lists::entry(reader, &others, path, kind.beside);
    let columns = columns(reader, &raw, path, kind)?;
    let scale = scale(reader, stated, path);
    Some(Leaf::Table(Table { columns, beside, scale }))
}

fn inline(reader: &mut Reader, columns: &Node, rows: &Node, path: &str) -> Option<Raw> {
    let headings = match &columns.body {
        Body::List(list) => list.iter().map(ToString::to_string).collect(),
        _ => Vec::new(),
    };
    let Body::List(list) = &rows.body else {
        reader.wrong(
            &rows.place,
            path,
            "rows is a list of lists",
            "Write rows = [[2.0, 58.0], …].",
        );
        return None;
    };
    let mut out = Vec::new();
    for row in list.iter().take(MOST_ROWS) {
        let cells = match &row.body {
            Body::List(cells) => cells.iter().map(cell).collect::<Option<Vec<f64>>>(),
            _ => None,
        };
        match cells {
            Some(cells) if cells.len() == headings.len() => out.push(cells),
            _ => {
                let what = format!("this row does not fit the {} columns", headings.len());
                reader.wrong(
                    &row.place,
                    path,
                    what,
                    "One plain number for each column; units stand in the headings.",
                );
                return None;
            }
        }
    }
    Some(Raw { headings, rows: out, place: columns.place.clone() })
}

fn cell(node: &Node) -> Option<f64> {
    if let Body::Number(x, _) = node.body { x.is_finite().then_some(x) } else { None }
}

fn from_csv(reader: &mut Reader, csv: &Node, path: &str) -> Option<Raw> {
    let name = csv.text().filter(|name| is_plain(name));
    let here = reader.sources.get(csv.place.source).map_or("", |s| folder(&s.name));
    let text = name.and_then(|name| reader.loader.text(&join(here, name)));
    let (Some(name), Some(text)) = (name, text) else {
        let what = format!("there is no file {} beside this one", csv);
        reader.wrong(&csv.place, path, what, "Name a CSV file in the same folder.");
        return None;
    };
    let mut lines = text.lines().enumerate().filter(|(_, line)| {
        let line = line.trim_start_matches('\u{feff}').trim();
        !line.is_empty() && !line.starts_with('#')
    });
    let split = |line: &str| -> Vec<String> {
        line.trim_start_matches('\u{feff}').split(',').map(|c| c.trim().to_owned()).collect()
    };
    let headings = lines.next().map(|(_, line)| split(line)).unwrap_or_default();
    let mut rows = Vec::new();
    for (number, line) in lines.take(MOST_ROWS) {
        let cells: Option<Vec<f64>> =
            split(line).iter().map(|c| c.parse::<f64>().ok().filter(|x| x.is_finite())).collect();
        match cells {
            Some(cells) if cells.len() == headings.len() => rows.push(cells),
            _ => {
                let what = format!(
                    "{name} line {}: {} plain numbers are wanted",
                    number + 1,
                    headings.len()
                );
                let fault = Finding::new(what).at(&csv.place).about(path).mark("in this file");
                reader.faults.push(fault.remedy("Decimal point, commas only between columns."));
                return None;
            }
        }
    }
    Some(Raw { headings, rows, place: csv.place.clone() })
}

/// The columns in SI, sorted by the first.
fn columns(
    reader: &mut Reader,
    raw: &Raw,
    path: &str,
    kind: &'static TableKind,
) -> Option<Vec<(&'static str, Vec<f64>)>> {
    let mut found: Vec<(&'static Column, Option<&'static Unit>)> = Vec::new();
    for heading in &raw.headings {
        found.push(heading_of(reader, heading, &raw.place, path, kind)?);
    }
    if found.len() < 2 || raw.rows.is_empty() {
        let what = format!("{} needs at least two columns and a row", label(path));
        reader.wrong(&raw.place, path, what, &headings_hint(kind));
        return None;
    }
    let mut rows = raw.rows.clone();
    rows.sort_by(|a, b| a[0].total_cmp(&b[0]));
    if rows.windows(2).any(|pair| pair[0][0] == pair[1][0]) {
        let what = format!("{} has two rows at the same {}", label(path), raw.headings[0]);
        reader.wrong(&raw.place, path, what, "Take one of them out.");
        return None;
    }
    let column = |i: usize, unit: Option<&Unit>| {
        rows.iter().map(|row| unit.map_or(row[i], |u| u.to_si(row[i]))).collect::<Vec<f64>>()
    };
    let all = found.iter().enumerate().map(|(i, (c, unit))| (c.name, column(i, *unit)));
    let all: Vec<_> = all.collect();
    Some(all)
}

/// A heading such as `lift mm`: the column and its unit.
fn heading_of(
    reader: &mut Reader,
    heading: &str,
    place: &Place,
    path: &str,
    kind: &'static TableKind,
) -> Option<(&'static Column, Option<&'static Unit>)> {
    let (name, unit_text) = heading.trim().split_once(' ').unwrap_or((heading.trim(), ""));
    let Some(column) = kind.columns.iter().find(|c| c.name == name) else {
        let mark = nearest(name, kind.columns.iter().map(|c| c.name));
        let mark = mark.map_or(String::new(), |near| format!("did you mean {near}?"));
        let fault = Finding::new(format!("\"{heading}\" is not a column of {}", label(path)));
        reader.faults.push(fault.at(place).about(path).mark(mark).remedy(headings_hint(kind)));
        return None;
    };
    let Some(quantity) = column.quantity else { return Some((column, None)) };
    match unit(quantity, unit_text.trim()) {
        Some(unit) if !unit_text.is_empty() => Some((column, Some(unit))),
        _ => {
            let what = format!("column \"{heading}\" needs a unit of {}", quantity.with_article());
            let example = shortblock_units::units_of(quantity).first().map_or("", |u| u.symbol);
            reader.wrong(place, path, what, &format!("Write \"{name} {example}\" or the like."));
            None
        }
    }
}

fn headings_hint(kind: &TableKind) -> String {
    let names: Vec<&str> = kind.columns.iter().map(|c| c.name).collect();
    format!("Columns here: {}; each with its unit, as in a CSV heading.", names.join(", "))
}

/// The factor on a table: 1, with the shipped ± of the word.
fn scale(reader: &Reader, stated: &Stated, path: &str) -> Value {
    let spread = defaults::default_of(path).map_or("", |d| d.spread.as_str());
    let plus_minus = defaults::span(spread, 1.0, Quantity::Ratio).unwrap_or(0.0);
    Value {
        origin: stated.origin,
        spot: Some(reader.spot(&stated.place)),
        text: "1".to_owned(),
        remarks: stated.remarks.clone(),
        why: "factor on the whole table".to_owned(),
        plus_minus: if stated.origin == Origin::Assumed { 0.0 } else { plus_minus },
        ..Value::worked_out(1.0, plus_minus, Quantity::Ratio, "")
    }
}
