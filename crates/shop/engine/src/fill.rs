//! Assumed values: what nobody said is filled in from the shipped file, marked and explained.

use std::collections::BTreeMap;

use shortblock_units::{Origin, Quantity, parse};

use crate::defaults::{self, Standing};
use crate::fault::{Doubt, Finding};
use crate::item::{Item, Items, Leaf, Table};
use crate::read::label;
use crate::schema::{self, Kind};
use crate::source::Place;
use crate::value::{Remarks, Value};

/// The deepest chain of assumed values that hang on each other.
const DEEPEST: usize = 12;

/// Items being completed; faults and doubts of putting them together gather here.
pub(crate) struct Fill {
    /// What was stated and, as they are asked for, what was assumed.
    pub items: Items,
    /// Faults of the whole.
    pub faults: Vec<Finding>,
    /// Doubts about the whole.
    pub doubts: Vec<Doubt>,
    depth: usize,
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
        self.settle(path, Leaf::Word(word.to_owned()), word, why);
    }

    /// Keeps what follows from others, marked assumed, unless it was stated.
    pub fn settle(&mut self, path: &str, leaf: Leaf, text: &str, why: &str) {
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
            source: "own".to_owned(),
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
        self.items.entry(path.to_owned()).or_insert_with(|| Item {
            leaf: Leaf::Value(value.clone()),
            origin: value.origin,
            text: value.text.clone(),
            place: None,
            spot: value.spot.clone(),
            remarks: value.remarks.clone(),
            why: value.why.clone(),
            source: value.source.clone(),
        });
    }

    fn example(&self, path: &str) -> String {
        let key = schema::last(path);
        let unit = defaults::quantity_of(path).display_unit(shortblock_units::Trade::Metric).symbol;
        let table = schema::parent(path);
        format!("Write  {key} = \"… {unit}\"  in [{table}].")
    }

    fn assume(&mut self, path: &str) {
        let Some(standing) = defaults::default_of(path) else { return };
        if self.depth > DEEPEST {
            return;
        }
        self.depth += 1;
        if let Some((text, spread)) = self.chosen(standing)
            && let Some(leaf) = self.assumed_leaf(path, &text, &spread)
        {
            let remarks = self.items.get(path).map(|i| i.remarks.clone()).unwrap_or_default();
            let said = self.items.get(path).map(|_| " (said to be not measured)");
            let item = Item {
                leaf: explained(leaf, standing, &text, &remarks),
                origin: Origin::Assumed,
                text,
                place: self.place(path),
                spot: self.items.get(path).and_then(|i| i.spot.clone()),
                remarks,
                why: format!("{}{}", standing.why, said.unwrap_or_default()),
                source: standing.source.clone(),
            };
            self.items.insert(path.to_owned(), item);
        }
        self.depth -= 1;
    }

    /// The assumed value that fits: the first case that holds, else the plain one.
    fn chosen(&mut self, standing: &Standing) -> Option<(String, String)> {
        for case in &standing.cases {
            if self.holds(&case.path, &case.word) {
                return Some(case.assume.clone());
            }
        }
        standing.assume.clone()
    }

    fn holds(&mut self, path: &str, wanted: &str) -> bool {
        match self.item(path).map(|item| &item.leaf) {
            Some(Leaf::Word(word)) if path == "tested_as.exhaust" => word.contains(wanted),
            Some(Leaf::Word(word)) => word == wanted,
            Some(Leaf::Count(count)) => count.to_string() == wanted,
            Some(Leaf::Flag(flag)) => flag.to_string() == wanted,
            _ => false,
        }
    }

    fn assumed_leaf(&mut self, path: &str, text: &str, spread: &str) -> Option<Leaf> {
        let kind = &schema::word(path)?.field.kind;
        match kind {
            Kind::Choice(_) | Kind::Text => return Some(Leaf::Word(text.to_owned())),
            Kind::SparkPlan(_) => return Some(Leaf::Word(text.to_owned())),
            Kind::Count => return text.parse().ok().map(Leaf::Count),
            _ => {}
        }
        let quantity = defaults::quantity_of_kind(kind);
        let (si, each) = self.amount(text, quantity)?;
        let plus_minus = defaults::span(spread, si, quantity).unwrap_or(0.0);
        Some(Leaf::Value(Value { each, ..Value::worked_out(si, plus_minus, quantity, "") }))
    }

    /// A value as written, or `NUMBER x WORD`, or `NUMBER x WORD less NUMBER`.
    fn amount(&mut self, text: &str, quantity: Quantity) -> Option<(f64, Vec<f64>)> {
        let Some((factor, word)) = text.split_once(" x ") else {
            return parse(text, quantity).ok().map(|m| (m.si, Vec::new()));
        };
        let factor: f64 = factor.trim().parse().ok()?;
        let (word, less) = word.split_once(" less ").unwrap_or((word, "0"));
        let less: f64 = less.trim().parse().ok()?;
        let value = self.of_word(word.trim())?;
        let each = value.each.iter().map(|x| factor * x - less).collect();
        Some((factor * value.si - less, each))
    }

    /// A word of the arithmetic: a path, or one of the derived sizes.
    fn of_word(&mut self, word: &str) -> Option<Value> {
        let derived = match word {
            "swept" => Some(self.swept()?),
            "displacement" => Some(self.swept()? * self.count("layout.cylinders") as f64),
            "intake_circle" => Some(self.circle("intake")?),
            "exhaust_circle" => Some(self.circle("exhaust")?),
            "throttle_circle" => {
                let cylinders = self.count("layout.cylinders").max(1) as f64;
                Some(self.circle("intake")? * cylinders.powf(0.25))
            }
            _ => None,
        };
        match derived {
            Some(si) => Some(Value::worked_out(si, 0.0, Quantity::Ratio, "")),
            None => self.value(word),
        }
    }

    /// Volume swept by one cylinder, m³ (TRADE 3.1).
    fn swept(&mut self) -> Option<f64> {
        let bore = self.value("bottom_end.bore")?.si;
        let stroke = self.value("bottom_end.stroke")?.si;
        Some(std::f64::consts::FRAC_PI_4 * bore * bore * stroke)
    }

    /// Diameter of one circle with the area of all valves of a side in one cylinder, m.
    fn circle(&mut self, side: &str) -> Option<f64> {
        let diameter = self.value(&format!("{side}.valves.diameter"))?.si;
        let count = self.count(&format!("{side}.valves.per_cylinder")).max(1) as f64;
        Some(diameter * count.sqrt())
    }
}

/// An assumed leaf with its text, reason and source on the value.
fn explained(leaf: Leaf, standing: &Standing, text: &str, remarks: &Remarks) -> Leaf {
    match leaf {
        Leaf::Value(value) => Leaf::Value(Value {
            origin: Origin::Assumed,
            text: text.to_owned(),
            why: standing.why.clone(),
            source: standing.source.clone(),
            remarks: remarks.clone(),
            ..value
        }),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_assumed_value_hangs_on_itself() {
        let stated = |path: &str, si: f64| {
            let value = Value::worked_out(si, 0.0, Quantity::Length, "");
            let item = Item {
                leaf: Leaf::Value(value),
                origin: Origin::Given,
                text: String::new(),
                place: None,
                spot: None,
                remarks: Remarks::default(),
                why: String::new(),
                source: String::new(),
            };
            (path.to_owned(), item)
        };
        let mut items = Items::from([
            stated("bottom_end.bore", 0.086),
            stated("bottom_end.stroke", 0.086),
            stated("intake.carburettor.barrel", 0.04),
        ]);
        let count = Item { leaf: Leaf::Count(4), ..items["bottom_end.bore"].clone() };
        items.insert("layout.cylinders".into(), count);
        for (path, standing) in defaults::all() {
            if standing.assume.is_some() {
                let mut fill = Fill::new(&items);
                assert!(fill.item(path).is_some(), "{path} can be assumed from bore and stroke");
            }
        }
    }
}
