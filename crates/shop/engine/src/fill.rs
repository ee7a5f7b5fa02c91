//! A build while it is put together: what was stated, completed as it is asked for.

use shortblock_document::{Doubt, Finding, Place, label};
use std::collections::BTreeMap;

use shortblock_units::Origin;

use crate::defaults;
use crate::item::{Item, Items, Leaf, Table};
use crate::schema;
use crate::value::{Remarks, Value};

/// Items being completed; faults and doubts of putting them together gather here.
pub(crate) struct Fill {
    /// What was stated and, as they are asked for, what was assumed.
    pub items: Items,
    /// Faults of the whole.
    pub faults: Vec<Finding>,
    /// Doubts about the whole.
    pub doubts: Vec<Doubt>,
    /// How deep assumed values hang on each other just now.
    pub(crate) depth: usize,
}

impl Fill {
    /// Nothing assumed yet.
    pub fn new(stated: &Items) -> Self {
        Self { items: stated.clone(), faults: Vec::new(), doubts: Vec::new(), depth: 0 }
    }

    /// The item that was stated at a path; not for what was said to be missing.
    pub fn stated(&self, path: &str) -> Option<&Item> {
        let item = self.items.get(path)?;
        let missing = matches!(item.leaf, Leaf::NotMeasured | Leaf::NotApplicable);
        (!missing && item.origin != Origin::Assumed).then_some(item)
    }

    /// Whether anything was stated at or below a path.
    pub fn any_stated(&self, path: &str) -> bool {
        self.items.keys().any(|p| p == path || schema::is_below(p, path))
            && self.items.iter().any(|(p, item)| {
                (p == path || schema::is_below(p, path))
                    && item.origin != Origin::Assumed
                    && item.leaf != Leaf::NotApplicable
            })
    }

    /// The item at a path, assumed when it was not stated.
    pub fn item(&mut self, path: &str) -> Option<&Item> {
        let missing = match self.items.get(path).map(|item| &item.leaf) {
            None => true,
            Some(Leaf::NotMeasured) => true,
            Some(_) => false,
        };
        if missing {
            self.assume(path);
        }
        let item = self.items.get(path)?;
        (!matches!(item.leaf, Leaf::NotMeasured | Leaf::NotApplicable)).then_some(item)
    }

    /// A number that may be missing; assumed when the shipped file has one.
    pub fn value(&mut self, path: &str) -> Option<Value> {
        self.item(path)?.value().cloned()
    }

    /// A number that was stated; nothing is assumed.
    pub fn stated_value(&self, path: &str) -> Option<Value> {
        let item = self.items.get(path)?;
        item.value().cloned()
    }

    /// A number the build can't do without: a fault and 0 when it is missing.
    pub fn need(&mut self, path: &str) -> Value {
        if let Some(value) = self.value(path) {
            return value;
        }
        let said = self.items.get(path).cloned();
        if said.is_none() && defaults::default_of(path).is_some_and(|d| d.assume.is_some()) {
            // It hangs on another value that is missing; that one has the fault.
            return Value::worked_out(0.0, 0.0, defaults::quantity_of(path), "missing");
        }
        let what = match said.as_ref().map(|i| &i.leaf) {
            Some(Leaf::NotApplicable) => {
                format!("{} can't be \"not applicable\" here", label(path))
            }
            _ => format!("{} is not said and can't be assumed", label(path)),
        };
        let finding = Finding::new(what).about(path).remedy(self.example(path));
        let place = said.and_then(|item| item.place);
        self.fault(finding, place.as_ref());
        Value::worked_out(0.0, 0.0, defaults::quantity_of(path), "missing")
    }

    /// A word the build can't do without; empty when there is none.
    pub fn word(&mut self, path: &str) -> String {
        match self.item(path).map(|item| &item.leaf) {
            Some(Leaf::Word(word)) => word.clone(),
            _ => String::new(),
        }
    }

    /// A whole number; 0 when there is none.
    pub fn count(&mut self, path: &str) -> usize {
        match self.item(path).map(|item| &item.leaf) {
            Some(Leaf::Count(count)) => *count,
            _ => 0,
        }
    }

    /// A flag; false when nobody said.
    pub fn flag(&self, path: &str) -> bool {
        matches!(self.items.get(path).map(|i| &i.leaf), Some(Leaf::Flag(true)))
    }

    /// Groups of cylinders that were stated.
    pub fn groups(&self, path: &str) -> Option<Vec<Vec<usize>>> {
        match self.items.get(path).map(|i| &i.leaf) {
            Some(Leaf::Groups(groups)) => Some(groups.clone()),
            _ => None,
        }
    }

    /// A table that was stated.
    pub fn table(&self, path: &str) -> Option<Table> {
        match self.items.get(path).map(|i| &i.leaf) {
            Some(Leaf::Table(table)) => Some(table.clone()),
            _ => None,
        }
    }

    /// Whether somebody said that there is no such thing.
    pub fn is_not_applicable(&self, path: &str) -> bool {
        self.items.get(path).is_some_and(|item| item.leaf == Leaf::NotApplicable)
    }

    /// Keeps a word that follows from others, marked assumed, unless it was stated.
    pub fn settle_word(&mut self, path: &str, word: &str, why: &str) {
        self.settle(path, Leaf::Word(word.to_owned()), word, [why, "own"]);
    }

    /// Keeps what follows from others, marked assumed, with why and source, unless it was stated.
    pub fn settle(&mut self, path: &str, leaf: Leaf, text: &str, [why, source]: [&str; 2]) {
        if self.stated(path).is_some() {
            return;
        }
        let item = Item {
            leaf,
            origin: Origin::Assumed,
            text: text.to_owned(),
            place: None,
            spot: None,
            remarks: Remarks::default(),
            why: why.to_owned(),
            source: source.to_owned(),
        };
        self.items.insert(path.to_owned(), item);
    }

    /// Where the item at a path stands.
    pub fn place(&self, path: &str) -> Option<Place> {
        self.items.get(path).and_then(|item| item.place.clone())
    }

    /// The reason why a doubt at a path is in order, empty for none.
    pub fn doubt_ok(&self, path: &str) -> String {
        let Some(item) = self.items.get(path) else { return String::new() };
        let inner = match &item.leaf {
            Leaf::Entries(entries) => entries.iter().flat_map(BTreeMap::values).collect(),
            _ => Vec::new(),
        };
        let mut reasons = inner.into_iter().chain([item]).map(|i| i.remarks.doubt_ok.clone());
        reasons.find(|reason| !reason.is_empty()).unwrap_or_default()
    }

    /// Notes a fault, at a place when there is one.
    pub fn fault(&mut self, finding: Finding, place: Option<&Place>) {
        self.faults.push(match place {
            Some(place) => finding.at(place),
            None => finding,
        });
    }

    /// Notes a doubt about the item at a path, silenced when the item gives a reason.
    pub fn doubt(&mut self, path: &str, finding: Finding) {
        let reason = self.doubt_ok(path);
        let finding = match self.place(path) {
            Some(place) => finding.at(&place),
            None => finding,
        };
        let silenced = (!reason.is_empty()).then_some(reason);
        self.doubts.push(Doubt { finding: finding.about(path), silenced });
    }

    /// Keeps a worked-out value under its path, so that it is listed with the others.
    pub fn keep(&mut self, path: &str, value: &Value) {
        let item = || Item::of(Leaf::Value(value.clone()), value);
        self.items.entry(path.to_owned()).or_insert_with(item);
    }

    fn example(&self, path: &str) -> String {
        let key = schema::last(path);
        let unit = defaults::quantity_of(path).display_unit(shortblock_units::Trade::Metric).symbol;
        let table = schema::parent(path);
        format!("Write  {key} = \"… {unit}\"  in [{table}].")
    }
}
