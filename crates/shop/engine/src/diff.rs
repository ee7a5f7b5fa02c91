//! What changed from one build to another, folded under the part it belongs to.

use std::collections::BTreeSet;

use shortblock_units::Origin;

use crate::build::Build;
use crate::item::{Item, Leaf};
use crate::schema;
use crate::value::Value;

/// One word that differs.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Path of the word.
    pub path: String,
    /// Text in the first build; `None` when it was not stated there.
    pub old: Option<String>,
    /// Text in the second build; `None` when it is not stated there.
    pub new: Option<String>,
}

/// What changed of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartChange {
    /// The part: a table such as `intake.cam`.
    pub part: String,
    /// Names of the shelf parts, when another one was put in.
    pub swapped: Option<(String, String)>,
    /// The words that differ.
    pub changes: Vec<Change>,
}

/// The difference of two builds; what is the same is never listed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Diff {
    /// Changes, by part.
    pub parts: Vec<PartChange>,
    /// Values that were measured again and came out a little different.
    pub measured_again: Vec<Change>,
}

/// Words that say which build it is, not what it is made of.
const ABOUT_THE_BUILD: [&str; 9] =
    ["build", "state", "assembled", "by", "why", "note", "format", "name", "number"];
/// Parts that are measured: elsewhere a small change is a setting.
const MEASURED_PARTS: [&str; 6] =
    ["bottom_end", "chamber", "intake.valves", "exhaust.valves", "intake.port", "exhaust.port"];
/// A second measurement within this share of the first is of the same part; own.
const SAME_PART: f64 = 0.015;

/// What changed from `a` to `b`.
#[must_use]
pub fn diff(a: &Build, b: &Build) -> Diff {
    let mut out = Diff::default();
    let paths: BTreeSet<&String> = a.stated.keys().chain(b.stated.keys()).collect();
    for path in paths.into_iter().filter(|p| !ABOUT_THE_BUILD.contains(&p.as_str())) {
        let (old, new) = (a.stated.get(path), b.stated.get(path));
        if same(old, new) {
            continue;
        }
        let text = |item: Option<&Item>| item.map(|i| i.text.clone());
        let change = Change { path: path.clone(), old: text(old), new: text(new) };
        if measured_again(path, old, new) {
            out.measured_again.push(change);
        } else {
            fold(&mut out.parts, a, b, change);
        }
    }
    out
}

/// Puts a change under its part: the table with another shelf part, else the table it stands in.
fn fold(parts: &mut Vec<PartChange>, a: &Build, b: &Build, change: Change) {
    let swapped = b.parts.iter().find_map(|(table, new)| {
        let old = a.parts.get(table)?;
        let there = schema::is_below(&change.path, table);
        (there && old != new).then(|| (table.clone(), (old.clone(), new.clone())))
    });
    let (part, swapped) = match swapped {
        Some((table, names)) => (table, Some(names)),
        None => (schema::parent(&change.path).to_owned(), None),
    };
    match parts.iter_mut().find(|p| p.part == part) {
        Some(found) => found.changes.push(change),
        None => parts.push(PartChange { part, swapped, changes: vec![change] }),
    }
}

fn same(old: Option<&Item>, new: Option<&Item>) -> bool {
    match (old, new) {
        (Some(old), Some(new)) => match (&old.leaf, &new.leaf) {
            (Leaf::Value(a), Leaf::Value(b)) => same_value(a, b),
            (Leaf::Table(a), Leaf::Table(b)) => {
                let value =
                    |t: &crate::item::Table, k| t.beside.get(k).map(|i: &Item| i.text.clone());
                let beside = a.beside.keys().chain(b.beside.keys());
                a.columns == b.columns && beside.into_iter().all(|k| value(a, *k) == value(b, *k))
            }
            (Leaf::Entries(_), Leaf::Entries(_)) => old.text == new.text,
            _ => old.text == new.text,
        },
        _ => false,
    }
}

fn same_value(a: &Value, b: &Value) -> bool {
    let close = |x: f64, y: f64| (x - y).abs() <= 1e-12 * (x.abs() + y.abs());
    let cylinders = a.each.len().max(b.each.len());
    a.quantity == b.quantity && close(a.si, b.si) && (0..cylinders).all(|i| close(a.of(i), b.of(i)))
}

/// Both measured, of a part that is measured, and hardly different.
fn measured_again(path: &str, old: Option<&Item>, new: Option<&Item>) -> bool {
    let value = |item: Option<&Item>| {
        item.filter(|i| i.origin == Origin::Measured).and_then(|i| i.value().cloned())
    };
    let (Some(a), Some(b)) = (value(old), value(new)) else { return false };
    let measured = MEASURED_PARTS.iter().any(|part| schema::is_below(path, part));
    let known = 2.0 * (a.plus_minus + b.plus_minus);
    let cylinders = a.each.len().max(b.each.len()).max(1);
    let apart = (0..cylinders).map(|i| (a.of(i) - b.of(i)).abs()).fold(0.0, f64::max);
    measured && apart <= known.max(SAME_PART * a.si.abs())
}
