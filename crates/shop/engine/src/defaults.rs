//! The shipped file of assumed values, ranges and steps, read once.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use shortblock_units::{Quantity, parse};

use crate::schema::{self, Kind};
use shortblock_document::Sources;
use shortblock_document::{Body, Node, parse as parse_toml};

/// The shipped file, for documentation.
pub const TEXT: &str = include_str!("defaults.toml");

/// What the shipped file says about one word.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Standing {
    /// What is filled in when nobody said, and its ±, both as written.
    pub assume: Option<(String, String)>,
    /// Other assumed values: word, its value, assumed value, ±.
    pub cases: Vec<Case>,
    /// ± of a value somebody gave without one (tables), as written.
    pub spread: String,
    /// Outside this range the file can't be used, SI.
    pub fault: Option<(f64, f64)>,
    /// Outside this range it is asked, SI.
    pub doubt: Option<(f64, f64)>,
    /// The two ranges as written, for people.
    pub fault_text: Option<(String, String)>,
    /// As written.
    pub doubt_text: Option<(String, String)>,
    /// A sensible step, as written.
    pub step: String,
    /// Where the figures are from.
    pub source: String,
    /// Why.
    pub why: String,
    /// Rows of a shape.
    pub rows: Vec<Vec<f64>>,
}

/// An assumed value for when another word has a certain value.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The other word.
    pub path: String,
    /// Its value.
    pub word: String,
    /// What is assumed then, and its ±.
    pub assume: (String, String),
}

/// What the shipped file says about `path`; `None` when it says nothing.
pub fn default_of(path: &str) -> Option<&'static Standing> {
    all().get(path)
}

/// Everything in the shipped file, by path.
pub fn all() -> &'static BTreeMap<String, Standing> {
    static ALL: OnceLock<BTreeMap<String, Standing>> = OnceLock::new();
    ALL.get_or_init(read)
}

fn read() -> BTreeMap<String, Standing> {
    let mut sources = Sources::default();
    let index = sources.add("defaults.toml", TEXT);
    let Ok(root) = parse_toml(&sources, index) else { return BTreeMap::new() };
    let tables = root.table().into_iter().flatten();
    tables.map(|(path, node)| (path.clone(), entry(path, node))).collect()
}

fn entry(path: &str, node: &Node) -> Standing {
    let text = |key: &str| node.get(key).and_then(Node::text).unwrap_or_default().to_owned();
    let list = |key: &str| match node.get(key).map(|n| &n.body) {
        Some(Body::List(list)) => list.clone(),
        _ => Vec::new(),
    };
    let pair = |key: &str| match list(key).as_slice() {
        [low, high] => Some((low.text()?.to_owned(), high.text()?.to_owned())),
        _ => None,
    };
    let range = |key: &str| {
        let (low, high) = pair(key)?;
        Some((number(path, &low)?, number(path, &high)?))
    };
    let case = |node: &Node| {
        let (path, word) = node.get("if")?.text()?.split_once(" = ")?;
        let spread = node.get("spread").and_then(Node::text).unwrap_or("0").to_owned();
        let assume = (node.get("assume")?.text()?.to_owned(), spread);
        Some(Case { path: path.to_owned(), word: word.to_owned(), assume })
    };
    let assume = node.get("assume").and_then(Node::text);
    Standing {
        assume: assume.map(|value| (value.to_owned(), text("spread"))),
        cases: list("cases").iter().filter_map(case).collect(),
        spread: text("spread"),
        fault: range("fault"),
        doubt: range("doubt"),
        fault_text: pair("fault"),
        doubt_text: pair("doubt"),
        step: text("step"),
        source: text("source"),
        why: text("why"),
        rows: list("rows").iter().map(numbers).collect(),
    }
}

fn numbers(row: &Node) -> Vec<f64> {
    let Body::List(list) = &row.body else { return Vec::new() };
    let number = |n: &Node| if let Body::Number(x, _) = n.body { Some(x) } else { None };
    list.iter().filter_map(number).collect()
}

fn number(path: &str, text: &str) -> Option<f64> {
    parse(text, quantity_of(path)).ok().map(|m| m.si)
}

/// The quantity of the number at a path; plain numbers, counts and factors are ratios.
pub fn quantity_of(path: &str) -> Quantity {
    schema::word(path).map_or(Quantity::Ratio, |word| quantity_of_kind(&word.field.kind))
}

/// The quantity of the number that a kind holds.
pub fn quantity_of_kind(kind: &Kind) -> Quantity {
    match kind {
        Kind::Quantity(quantity) => *quantity,
        Kind::Wish(kinds) => kinds.first().copied().unwrap_or(Quantity::Ratio),
        Kind::Opening => Quantity::Length,
        Kind::Angles | Kind::Durations | Kind::Event | Kind::SparkPlan(_) => Quantity::Angle,
        Kind::FlowAtDrop => Quantity::VolumeFlow,
        Kind::DropAtFlow => Quantity::PressureDifference,
        _ => Quantity::Ratio,
    }
}

/// The SI size of a ± or step as written: a share of `value` in per cent, or a size of its own.
pub fn span(text: &str, value: f64, quantity: Quantity) -> Option<f64> {
    if let Some(share) = text.strip_suffix('%') {
        return share.trim().parse::<f64>().ok().map(|s| s / 100.0 * value.abs());
    }
    let quantity = match quantity {
        Quantity::Temperature => Quantity::TemperatureDifference,
        other => other,
    };
    if text == "0" { Some(0.0) } else { parse(text, quantity).ok().map(|m| m.si) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_entry_is_about_a_declared_word_and_says_why() {
        assert!(all().len() > 100, "the shipped file was read");
        for (path, default) in all() {
            let known = schema::word(path).is_some() || path.ends_with(".shape");
            assert!(known, "{path} is not a word");
            if default.assume.is_some() {
                assert!(!default.source.is_empty() && !default.why.is_empty(), "{path}");
            }
        }
    }

    #[test]
    fn every_range_and_step_can_be_read() {
        for (path, default) in all() {
            assert_eq!(default.fault.is_some(), default.fault_text.is_some(), "{path} fault");
            assert_eq!(default.doubt.is_some(), default.doubt_text.is_some(), "{path} doubt");
            if let (Some(f), Some(d)) = (default.fault, default.doubt) {
                assert!(f.0 <= d.0 && d.0 < d.1 && d.1 <= f.1, "{path}: doubt inside fault");
            }
            if !default.step.is_empty() {
                let step = span(&default.step, 1.0, quantity_of(path));
                assert!(step.is_some_and(|s| s > 0.0), "{path} step");
            }
        }
    }
}
