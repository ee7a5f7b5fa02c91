//! Words, flags, counts and lists.

use shortblock_document::{Body, Finding, Node, label, nearest, value_fault};
use std::collections::BTreeMap;

use shortblock_units::{Quantity, parse};

use crate::item::{Item, Leaf};
use crate::schema::{Field, Kind, join};

use super::number::value_of;
use super::stated::{self, Stated};
use super::{Around, Reader};

/// Free text; a bare number is taken as typed.
pub fn text(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    match &stated.first().body {
        Body::Text(text) | Body::Number(_, text) | Body::Date(text) => {
            Some(Leaf::Word(text.clone()))
        }
        _ => {
            let what = format!("{} is a text", label(path));
            reader.wrong(&stated.place, path, what, "Write it in quotes.");
            None
        }
    }
}

/// A date, without quotes or in them.
pub fn date(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    match &stated.first().body {
        Body::Date(date) => Some(Leaf::Word(date.clone())),
        _ => {
            let what = format!("{} is a date", label(path));
            reader.wrong(&stated.place, path, what, "Write 2026-03-28, without quotes.");
            None
        }
    }
}

/// A list of texts, or one.
pub fn texts(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let node = stated.first();
    let list = match &node.body {
        Body::Text(text) => return Some(Leaf::Words(vec![text.clone()])),
        Body::List(list) => list.iter().map(|n| n.text().map(str::to_owned)).collect(),
        _ => None,
    };
    if list.is_none() {
        let what = format!("{} is a list of texts", label(path));
        reader.wrong(&stated.place, path, what, "Write [\"one\", \"two\"].");
    }
    list.map(Leaf::Words)
}

/// Yes or no.
pub fn flag(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    match stated.first().body {
        Body::Flag(flag) => Some(Leaf::Flag(flag)),
        _ => {
            let what = format!("{} is true or false", label(path));
            reader.wrong(&stated.place, path, what, "Write true or false, without quotes.");
            None
        }
    }
}

/// What petrol is called elsewhere.
const PETROLS: [&str; 5] = ["gasoline", "gas", "pump gas", "unleaded", "super"];

/// One of a few words.
pub fn choice(
    reader: &mut Reader,
    stated: &Stated,
    path: &str,
    words: &'static [&'static str],
) -> Option<Leaf> {
    let typed = stated.text();
    let plain = |w: &str| w.to_lowercase().replace(['-', '_', ' '], "");
    if stated.first().text().is_some()
        && let Some(word) = words.iter().find(|w| plain(w) == plain(&typed))
    {
        return Some(Leaf::Word((*word).to_owned()));
    }
    let near = nearest(&typed, words.iter().copied());
    let petrol = || words.contains(&"petrol") && PETROLS.iter().any(|w| plain(w) == plain(&typed));
    let near = near.or_else(|| petrol().then_some("petrol"));
    let mark = near.map_or(String::new(), |word| format!("did you mean \"{word}\"?"));
    let quoted: Vec<String> = words.iter().map(|w| format!("\"{w}\"")).collect();
    let fault = Finding::new(format!("\"{typed}\" is not known as {}", label(path)));
    let remedy = format!("Write one of {}.", quoted.join(", "));
    reader.faults.push(fault.at(&stated.place).about(path).mark(mark).remedy(remedy));
    None
}

/// A whole number.
pub fn count(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    match &stated.first().body {
        Body::Number(x, _) if (0.0..=1000.0).contains(x) && x.fract() == 0.0 => {
            Some(Leaf::Count(*x as usize))
        }
        _ => {
            let what = format!("{} is a whole number without unit", label(path));
            reader.wrong(&stated.place, path, what, "Write 2 or the like, without quotes.");
            None
        }
    }
}

/// A list of cylinder numbers, or a text such as "1-8-4-3".
pub fn cylinders(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let node = stated.first();
    let found = match &node.body {
        Body::Text(text) => {
            let parts = text.split(['-', ',', ';', ' ']).filter(|part| !part.is_empty());
            parts.map(|part| part.parse().ok()).collect()
        }
        _ => numbers(node),
    };
    if found.is_none() {
        let what = format!("{} is a list of cylinder numbers", label(path));
        reader.wrong(&stated.place, path, what, "Write [1, 3, 4, 2] or \"1-3-4-2\".");
    }
    found.map(Leaf::Cylinders)
}

fn numbers(node: &Node) -> Option<Vec<usize>> {
    let Body::List(list) = &node.body else { return None };
    let whole = |n: &Node| match n.body {
        Body::Number(x, _) if (0.0..=1000.0).contains(&x) && x.fract() == 0.0 => Some(x as usize),
        _ => None,
    };
    list.iter().map(whole).collect()
}

/// Groups of cylinder numbers; no cylinder twice, none that is not there.
pub fn groups(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let node = stated.first();
    let groups: Option<Vec<Vec<usize>>> = match &node.body {
        Body::List(list) => list.iter().map(numbers).collect(),
        _ => None,
    };
    let Some(groups) = groups else {
        let what = format!("{} is a list of groups of cylinders", label(path));
        reader.wrong(&stated.place, path, what, "Write [[1, 2, 3], [4, 5, 6]].");
        return None;
    };
    let mut all: Vec<usize> = groups.iter().flatten().copied().collect();
    all.sort_unstable();
    if all != (1..=reader.cylinders).collect::<Vec<_>>() {
        let what =
            format!("{} must name each of the {} cylinders once", label(path), reader.cylinders);
        reader.wrong(&stated.place, path, what, "Put every cylinder number into one group.");
        return None;
    }
    Some(Leaf::Groups(groups))
}

/// A list of tables with fields of their own.
pub fn entries(
    reader: &mut Reader,
    stated: &Stated,
    path: &str,
    fields: &'static [Field],
) -> Option<Leaf> {
    let list = match &stated.first().body {
        Body::List(list) => list.clone(),
        Body::Table(_) => vec![stated.first().clone()],
        _ => {
            let what = format!("{} is a list of tables", label(path));
            reader.wrong(&stated.place, path, what, &format!("Write [[{path}]] above each."));
            return None;
        }
    };
    let tables = list.iter().take(500).filter_map(|node| {
        let Body::Table(table) = &node.body else {
            reader.wrong(&node.place, path, "a table is wanted here", "Write { power = \"…\" }.");
            return None;
        };
        Some(entry(reader, table, path, fields))
    });
    Some(Leaf::Entries(tables.collect()))
}

/// The fields of one table of a list.
pub fn entry(
    reader: &mut Reader,
    table: &BTreeMap<String, Node>,
    path: &str,
    fields: &'static [Field],
) -> BTreeMap<&'static str, Item> {
    let mut out = BTreeMap::new();
    let mut around = Around::default();
    for (key, node) in table.iter().filter(|(key, _)| stated::is_remark(key)) {
        if !fields.iter().any(|f| f.path == key) {
            stated::remark(reader, key, node, &mut around.from, &mut around.remarks);
        }
    }
    for (key, node) in table {
        let Some(field) = fields.iter().find(|f| f.path == key) else {
            if !stated::is_remark(key) {
                let keys = fields.iter().map(|f| f.path);
                let mark = nearest(key, keys).map(|near| format!("did you mean {near}?"));
                let fault = Finding::new(format!("\"{key}\" is not a word for this place"));
                let words: Vec<&str> = fields.iter().map(|f| f.path).collect();
                let remedy = format!("Words here: {}.", words.join(", "));
                let fault = fault.at(&node.key).mark(mark.unwrap_or_default());
                reader.faults.push(fault.remedy(remedy));
            }
            continue;
        };
        if let Some(item) = item(reader, node, &join(path, key), field, &around) {
            out.insert(field.path, item);
        }
    }
    out
}

/// One field as an item.
pub fn item(
    reader: &mut Reader,
    node: &Node,
    path: &str,
    field: &'static Field,
    around: &Around,
) -> Option<Item> {
    let mut stated = stated::of(reader, node, path, field, around)?;
    let leaf = reader.read_kind(&mut stated, path, field)?;
    Some(Item {
        leaf,
        origin: stated.origin,
        text: stated.text(),
        place: Some(stated.place.clone()),
        spot: Some(reader.spot(&stated.place)),
        remarks: stated.remarks,
        why: String::new(),
        source: String::new(),
    })
}

/// Volume shares by name of fuel.
pub fn blend(reader: &mut Reader, stated: &Stated, path: &str) -> Option<Leaf> {
    let Body::Table(table) = &stated.first().body else {
        let what = format!("{} names fuels and their share of the volume", label(path));
        reader.wrong(&stated.place, path, what, "Write { ethanol = \"10 %\" }.");
        return None;
    };
    let Some(Kind::Choice(known)) = crate::schema::word("fuel.kind").map(|w| w.field.kind) else {
        return None;
    };
    let mut parts = Vec::new();
    for (name, node) in table.iter().filter(|(key, _)| !stated::is_remark(key)) {
        if !known.contains(&name.as_str()) {
            let mark = nearest(name, known.iter().copied()).map(|n| format!("did you mean {n}?"));
            let fault = Finding::new(format!("\"{name}\" is not a fuel known here"));
            let remedy = format!("Fuels: {}.", known.join(", "));
            let fault = fault.at(&node.key).about(path).mark(mark.unwrap_or_default());
            reader.faults.push(fault.remedy(remedy));
            continue;
        }
        match parse(&node.to_string(), Quantity::Fraction) {
            Ok(measure) => parts.push((name.clone(), value_of(reader, stated, &[measure]))),
            Err(error) => {
                let fault = value_fault(&error, &node.place, path, Quantity::Fraction);
                reader.faults.push(fault);
            }
        }
    }
    let sum: f64 = parts.iter().map(|(_, share)| share.si).sum();
    if sum > 1.0 + 1e-9 || parts.iter().any(|(_, share)| share.si < 0.0) {
        let what = "the shares of a blend add up to more than 100 %";
        let remedy = "Give the shares of what is mixed in; the fuel itself is the rest.";
        reader.wrong(&stated.place, path, what, remedy);
        return None;
    }
    Some(Leaf::Blend(parts))
}
