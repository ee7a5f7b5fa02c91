//! From the merged tree to items: every word looked up, every value read, every range checked.

mod lists;
mod number;
mod phrase;
mod ranges;
mod stated;
mod table;
mod timing;

use shortblock_document::{Body, Doubt, Finding, Loader, Node, Place, Sources, label, nearest};
use std::collections::BTreeMap;

use crate::item::{Item, Items, Leaf};
use crate::schema::{self, Field, Kind};
use crate::tree::find;
use crate::value::{Remarks, Spot};
use shortblock_units::Origin;
use stated::Stated;

/// Words that say what a value is not.
const NOT_MEASURED: &str = "not measured";
const NOT_APPLICABLE: &str = "not applicable";
const ASSUMED: &str = "assumed";

/// Reads one build; faults and doubts gather as it goes.
pub(crate) struct Reader<'a> {
    pub sources: &'a Sources,
    pub loader: &'a dyn Loader,
    pub values_from: &'a BTreeMap<usize, String>,
    /// Number of cylinders; `each` needs it.
    pub cylinders: usize,
    pub items: Items,
    pub faults: Vec<Finding>,
    pub doubts: Vec<Doubt>,
}

/// What a whole file or table says of its values is not said of names and choices: no instrument
/// reads them.
fn origin(said: Origin, leaf: &Leaf) -> Origin {
    let words = matches!(
        leaf,
        Leaf::Word(_) | Leaf::Words(_) | Leaf::Flag(_) | Leaf::Cylinders(_) | Leaf::Groups(_)
    );
    if words && said == Origin::Measured { Origin::Given } else { said }
}

/// What a table says for all values in it.
#[derive(Debug, Clone, Default)]
struct Around {
    from: Option<Origin>,
    remarks: Remarks,
}

impl Reader<'_> {
    /// Reads the whole tree.
    pub fn tree(&mut self, root: &Node) {
        self.format(root);
        let counted = self.count_cylinders(root);
        let before = self.faults.len();
        self.table(root, "", &Around::default());
        let of_cylinders = |fault: &Finding| fault.path == "layout.cylinders";
        if !counted && !self.faults.iter().any(of_cylinders) {
            let fault = Finding::new("how many cylinders the engine has is not said, 1 to 16");
            let fault = fault.about("layout.cylinders").remedy("Write  cylinders = 4.");
            self.faults.insert(before, fault);
        }
    }

    /// Reads a few words over a build that is there already.
    pub fn overlay(&mut self, root: &Node) {
        self.table(root, "", &Around::default());
    }

    fn format(&mut self, root: &Node) {
        match root.get("format") {
            None => {
                let doubt = Finding::new("there is no format = 1 at the top; read as format 1");
                self.doubt(doubt.remedy("Write  format = 1  as the first line."), "");
            }
            Some(node) if matches!(node.body, Body::Number(x, _) if x == 1.0) => {}
            Some(node) => {
                let fault =
                    Finding::new("this file format is not known; this program reads format 1");
                self.faults.push(fault.at(&node.place).remedy("Write  format = 1."));
            }
        }
    }

    /// Takes the number of cylinders, which `each` needs before it is read; false when it is none.
    fn count_cylinders(&mut self, root: &Node) -> bool {
        let node = find(root, "layout.cylinders");
        let number = node.and_then(|n| match &n.body {
            Body::Number(x, _) => Some(*x),
            Body::Table(t) => match t.get("value").map(|v| &v.body) {
                Some(Body::Number(x, _)) => Some(*x),
                _ => None,
            },
            _ => None,
        });
        let Some(number) = number.filter(|x| (1.0..=16.0).contains(x) && x.fract() == 0.0) else {
            return false;
        };
        self.cylinders = number as usize;
        true
    }

    fn table(&mut self, node: &Node, path: &str, around: &Around) {
        let Body::Table(entries) = &node.body else {
            let fault = Finding::new(format!("{} is a table, not a single value", label(path)));
            let words = schema::keys_of(path).join(", ");
            let remedy = format!("Write [{path}] and below it some of: {words}.");
            self.faults.push(fault.at(&node.place).about(path).remedy(remedy));
            return;
        };
        let around =
            if path.is_empty() { around.clone() } else { self.around(entries, path, around) };
        for (key, child) in entries {
            let full = schema::join(path, key);
            if let Some(word) = schema::word(&full) {
                self.leaf(child, &full, word.field, &around);
            } else if schema::is_table(&full) {
                self.table(child, &full, &around);
            } else if !self.belongs_to_reader(key, path) {
                self.unknown(child, path, key);
            }
        }
    }

    /// What a table's own remark keys say for the values in it.
    fn around(&mut self, entries: &BTreeMap<String, Node>, path: &str, outer: &Around) -> Around {
        let mut own = outer.clone();
        for (key, node) in entries {
            if schema::word(&schema::join(path, key)).is_none() {
                stated::remark(self, key, node, &mut own.from, &mut own.remarks);
            }
        }
        own
    }

    fn belongs_to_reader(&self, key: &str, path: &str) -> bool {
        schema::OF_THE_READER.contains(&key) || (!path.is_empty() && stated::is_remark(key))
    }

    fn unknown(&mut self, node: &Node, table: &str, key: &str) {
        let fault = Finding::new(format!("\"{key}\" is not a word for this place"));
        let mut keys = schema::keys_of(table);
        if table.is_empty() {
            keys.extend(schema::SHORT.iter().map(|(short, _)| *short));
            keys.sort_unstable();
        }
        let others = schema::aliases_of(table);
        // `compression` for `compression_ratio`.
        let begun = || {
            keys.iter().copied().find(|k| k.strip_prefix(key).is_some_and(|r| r.starts_with('_')))
        };
        let mark = match nearest(key, keys.iter().chain(&others).copied()).or_else(begun) {
            Some(near) => format!("did you mean {near}?"),
            None => self.elsewhere(key, table),
        };
        let remedy = match (table.is_empty(), mark.is_empty()) {
            (true, false) => String::new(),
            (true, true) => format!("The top of a file knows: {}.", keys.join(", ")),
            (false, _) => format!("[{table}] knows: {}.", keys.join(", ")),
        };
        let fault = fault.at(&node.key).about(&schema::join(table, key)).mark(mark);
        self.faults.push(fault.remedy(remedy));
    }

    /// A hint when the word belongs to another table.
    fn elsewhere(&self, key: &str, table: &str) -> String {
        let elsewhere = |path: &str| schema::parent(path) != table;
        let same = || schema::words().iter().filter(|w| schema::last(&w.path) == key);
        let near = same().find(|w| schema::is_below(&w.path, table));
        // `fuel = "e85"` below a table's head: a word of the top that a head has swallowed.
        let top_of_file = schema::SHORT.iter().any(|(short, _)| *short == key)
            || schema::word(key).is_some()
            || (!table.is_empty() && schema::is_table(key));
        match near.or_else(|| same().next()) {
            _ if top_of_file => "it belongs at the top of the file, above every [table]".to_owned(),
            Some(word) if elsewhere(&word.path) => {
                format!("it belongs to [{}]", schema::parent(&word.path))
            }
            _ => String::new(),
        }
    }

    /// Reads what stands at a word and keeps it.
    fn leaf(&mut self, node: &Node, path: &str, field: &'static Field, around: &Around) {
        let Some(mut stated) = stated::of(self, node, path, field, around) else { return };
        let word = stated.first().text();
        if word == Some(ASSUMED) {
            return;
        }
        let absent = match word {
            Some(NOT_MEASURED) => Some(Leaf::NotMeasured),
            Some(NOT_APPLICABLE) => Some(Leaf::NotApplicable),
            _ => None,
        };
        let text = stated.text();
        let leaf = match absent {
            Some(leaf) => Some(leaf),
            None => self.read_kind(&mut stated, path, field),
        };
        if let Some(leaf) = leaf {
            let item = Item {
                origin: origin(stated.origin, &leaf),
                leaf,
                text,
                place: Some(stated.place.clone()),
                spot: Some(self.spot(&stated.place)),
                remarks: stated.remarks,
                why: String::new(),
                source: String::new(),
            };
            // A value that can't be is left out, so that it brings no further faults with it.
            if ranges::check(self, path, &item) {
                self.items.insert(path.to_owned(), item);
            }
        }
    }

    fn read_kind(
        &mut self,
        stated: &mut Stated,
        path: &str,
        field: &'static Field,
    ) -> Option<Leaf> {
        match &field.kind {
            Kind::Text => lists::text(self, stated, path),
            Kind::Date => lists::date(self, stated, path),
            Kind::Texts => lists::texts(self, stated, path),
            Kind::Flag => lists::flag(self, stated, path),
            Kind::Choice(words) => lists::choice(self, stated, path, words),
            Kind::Count => lists::count(self, stated, path),
            Kind::Cylinders => lists::cylinders(self, stated, path),
            Kind::Groups => lists::groups(self, stated, path),
            Kind::Entries(fields) => lists::entries(self, stated, path, fields),
            Kind::Blend => lists::blend(self, stated, path),
            Kind::Number | Kind::Quantity(_) | Kind::Opening | Kind::Angles => {
                number::leaf(self, stated, path, field)
            }
            Kind::Durations => timing::durations(self, stated, path),
            Kind::Event => timing::event(self, stated, path),
            Kind::FlowAtDrop => phrase::flow_at_drop(self, stated, path),
            Kind::DropAtFlow => phrase::drop_at_flow(self, stated, path),
            Kind::Wish(kinds) => phrase::wish(self, stated, path, kinds),
            Kind::SparkPlan(kind) => phrase::spark(self, stated, path, kind),
            Kind::Table(kind) => table::leaf(self, stated, path, kind),
            Kind::NumberOrTable(kind) => phrase::number_or_table(self, stated, path, field, kind),
        }
    }

    /// Notes a doubt about `path`, silenced when the value or its table gives a reason.
    pub fn doubt(&mut self, finding: Finding, doubt_ok: &str) {
        let silenced = (!doubt_ok.is_empty()).then(|| doubt_ok.to_owned());
        self.doubts.push(Doubt { finding, silenced });
    }

    /// File and line of a place.
    pub fn spot(&self, place: &Place) -> Spot {
        let file = self.sources.get(place.source).map_or_else(String::new, |s| s.name.clone());
        Spot { file, line: self.sources.position(place).line }
    }

    /// A fault about a value: what is wrong, what is wanted.
    fn wrong(&mut self, place: &Place, path: &str, what: impl Into<String>, remedy: &str) {
        self.faults.push(Finding::new(what).at(place).about(path).remedy(remedy));
    }
}
