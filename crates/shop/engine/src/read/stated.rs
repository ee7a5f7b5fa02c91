//! What a person stated at a word: the value, where it is from, and what was noted beside it.

use crate::schema::{Field, Kind};
use crate::value::Remarks;
use shortblock_document::{Body, Finding, Node, Place, label};
use shortblock_units::Origin;

use super::{Around, Reader};

/// A value as stated, unwrapped from its table.
pub struct Stated {
    /// The value; the one that counts first, then those of lower origin.
    pub nodes: Vec<(Origin, Node)>,
    /// Whether it was given with `each`.
    pub each: bool,
    /// Where the value that counts comes from.
    pub origin: Origin,
    /// Where it stands.
    pub place: Place,
    /// What was noted.
    pub remarks: Remarks,
}

impl Stated {
    /// The node that counts.
    pub fn first(&self) -> &Node {
        // A `Stated` is only made with at least one node.
        &self.nodes[0].1
    }

    /// The text as typed, for people.
    pub fn text(&self) -> String {
        self.first().to_string()
    }

    /// Texts of the values that lost.
    pub fn others(&self) -> Vec<(Origin, String)> {
        self.nodes[1..].iter().map(|(origin, node)| (*origin, node.to_string())).collect()
    }
}

/// Whether a key beside a value is a remark and not part of it.
pub fn is_remark(key: &str) -> bool {
    matches!(key, "from" | "by" | "on" | "with" | "note" | "doubt_ok")
}

/// Takes in one remark key; a wrong origin is a fault.
pub fn remark(
    reader: &mut Reader,
    key: &str,
    node: &Node,
    from: &mut Option<Origin>,
    remarks: &mut Remarks,
) {
    let text = node.to_string();
    match key {
        "from" => *from = origin(reader, node).or(*from),
        "by" => remarks.by = text,
        "on" => remarks.on = text,
        "with" => remarks.with = text,
        "note" => remarks.note = text,
        "doubt_ok" => remarks.doubt_ok = text,
        _ => {}
    }
}

fn origin(reader: &mut Reader, node: &Node) -> Option<Origin> {
    let known = node.text().and_then(Origin::from_key).filter(|o| o.may_be_typed());
    if known.is_none() {
        let what = format!("\"{}\" is not where a value can come from", node);
        let remedy = "Write \"measured\", \"given\" or \"maker\".";
        reader.faults.push(Finding::new(what).at(&node.place).remedy(remedy));
    }
    known
}

/// Unwraps what stands at a word. `None` when it can't be used (the fault is noted).
pub fn of(
    reader: &mut Reader,
    node: &Node,
    path: &str,
    field: &Field,
    around: &Around,
) -> Option<Stated> {
    let mut remarks = around.remarks.clone();
    let mut from = around.from;
    let mut nodes: Vec<(Option<Origin>, Node)> = Vec::new();
    let mut each = false;
    match &node.body {
        Body::Table(table) if is_wrapper(table, &field.kind) => {
            for (key, inner) in table {
                match key.as_str() {
                    "value" => nodes.push((None, inner.clone())),
                    "each" => {
                        each = true;
                        nodes.push((None, inner.clone()));
                    }
                    "measured" | "given" | "maker" => {
                        nodes.push((Origin::from_key(key), inner.clone()));
                    }
                    _ if is_remark(key) => remark(reader, key, inner, &mut from, &mut remarks),
                    _ => unknown_beside(reader, key, inner, path),
                }
            }
        }
        Body::Table(table) => {
            for (key, inner) in table.iter().filter(|(key, _)| is_remark(key)) {
                remark(reader, key, inner, &mut from, &mut remarks);
            }
            nodes.push((None, node.clone()));
        }
        _ => nodes.push((None, node.clone())),
    }
    if each && !field.each {
        let what =
            format!("{} is one value for the whole engine, not one per cylinder", label(path));
        reader.wrong(&node.place, path, what, "Write one value, without each.");
        return None;
    }
    if nodes.is_empty() {
        let what = format!("{} has remarks but no value", label(path));
        reader.wrong(&node.place, path, what, "Write  { value = \"…\", from = \"measured\" }.");
        return None;
    }
    let file = reader.values_from.get(&node.place.source);
    let fallback = from.or_else(|| file.and_then(|f| Origin::from_key(f))).unwrap_or(Origin::Given);
    let mut nodes: Vec<(Origin, Node)> =
        nodes.into_iter().map(|(origin, node)| (origin.unwrap_or(fallback), node)).collect();
    nodes.sort_by(|a, b| b.0.outranks(a.0).cmp(&a.0.outranks(b.0)));
    let (origin, place) = (nodes[0].0, nodes[0].1.place.clone());
    Some(Stated { nodes, each, origin, place, remarks })
}

/// A table around a value, as against a table that is the value.
fn is_wrapper(table: &std::collections::BTreeMap<String, Node>, kind: &Kind) -> bool {
    let is_value = |key: &str| matches!(key, "value" | "each" | "measured" | "given" | "maker");
    let holds_table = matches!(
        kind,
        Kind::Table(_)
            | Kind::NumberOrTable(_)
            | Kind::SparkPlan(_)
            | Kind::Blend
            | Kind::Entries(_)
    );
    table.keys().any(|key| is_value(key)) || !holds_table
}

fn unknown_beside(reader: &mut Reader, key: &str, node: &Node, path: &str) {
    let what = format!("\"{key}\" is not a word beside a value");
    let known = [
        "value", "each", "measured", "given", "maker", "from", "by", "on", "with", "note",
        "doubt_ok",
    ];
    let mark = shortblock_document::nearest(key, known).map(|near| format!("did you mean {near}?"));
    let fault = Finding::new(what).at(&node.key).about(path).mark(mark.unwrap_or_default());
    reader.faults.push(fault.remedy(
        "A value's table knows: value, each, measured, given, maker, from, by, on, with, note, doubt_ok.",
    ));
}
