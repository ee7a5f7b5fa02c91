//! What-if and sampling: the same build with one value changed.

use crate::build::{Build, lift_curve::about_its_nose};
use crate::defaults;
use crate::item::{Duration, Item, Items, Leaf};
use crate::layers::Layers;
use crate::read::Reader;
use crate::schema;
use crate::value::Value;
use shortblock_document::{Doubt, Faults, Finding, Memory, label, nearest};
use shortblock_units::{Origin, Quantity};

/// Tables whose numbers say what is wanted or how it was tested, not what the engine is.
const NOT_OF_THE_ENGINE: [&str; 5] = ["goal", "limits", "tested_as", "layout", "rating"];

impl Build {
    /// The numbers that can be moved and act on a prediction, by path: what was stated or assumed,
    /// not what is worked out from others. A table stands for a factor on its columns (1), the
    /// durations of a cam for all of them together.
    pub fn parameters(&self) -> impl Iterator<Item = (&str, &Value)> {
        self.values().filter(|(path, value)| {
            let acts = defaults::default_of(path)
                .is_some_and(|d| d.assume.is_some() || !d.step.is_empty());
            let engine = NOT_OF_THE_ENGINE.iter().all(|t| !schema::is_below(path, t));
            acts && engine && value.origin != Origin::WorkedOut
        })
    }

    /// A sensible step for a value, in SI: the shipped one, else its ±, else 2 % of it. `None` for
    /// a path without a number.
    #[must_use]
    pub fn step(&self, path: &str) -> Option<f64> {
        let value = self.item(path)?.value()?;
        let shipped = defaults::default_of(path)
            .and_then(|d| defaults::span(&d.step, value.si, value.quantity))
            .filter(|step| *step > 0.0);
        let own = if value.plus_minus > 0.0 { value.plus_minus } else { 0.02 * value.si.abs() };
        Some(shipped.unwrap_or(own))
    }

    /// The same build with the value at `path` typed anew, as in a file: `"50 mm"`, `"2 in"`,
    /// `11.5`, `[[1, 2], [3, 4]]`. Short words and the trade's other words are understood. What
    /// contradicts the new value is taken out: volumes when a compression ratio is set, lobe
    /// separation when a centreline is.
    ///
    /// # Errors
    /// The same faults as in a file, with the text as typed.
    pub fn with(&self, path: &str, text: &str) -> Result<Self, Faults> {
        let typed = format!("{path} = {}", as_toml(text));
        let loader = Memory::default().with("what if", &typed);
        let mut layers = Layers::new(&loader);
        layers.sources = self.sources.clone();
        let tree = layers.build("what if");
        let Layers { sources, mut faults, values_from, .. } = layers;
        let mut reader = Reader {
            sources: &sources,
            loader: &loader,
            values_from: &values_from,
            cylinders: self.layout.cylinders,
            items: Items::new(),
            faults: Vec::new(),
            doubts: Vec::new(),
        };
        if let Some(tree) = &tree {
            reader.overlay(tree);
        }
        let Reader { items, faults: mut reading, doubts, .. } = reader;
        faults.append(&mut reading);
        if !faults.is_empty() {
            return Err(Faults { faults, sources });
        }
        let mut stated = self.stated.clone();
        let replaced = |doubt: &Doubt| items.contains_key(&doubt.finding.path);
        let old = self.reading.iter().filter(|doubt| !replaced(doubt)).cloned();
        let doubts = old.chain(doubts).collect();
        for (path, item) in items {
            self.give_way(&path, &mut stated);
            stated.insert(path, item);
        }
        Self::from_items(stated, self.parts.clone(), sources, doubts)
    }

    /// The same build with the number at `path` moved to `si`; its text, origin and ± stay, values
    /// per cylinder move along. For samples of uncertain inputs and for sensitivities.
    ///
    /// # Errors
    /// A path that has no number, or a build that can't be put together with it.
    pub fn with_si(&self, path: &str, si: f64) -> Result<Self, Faults> {
        self.with_all_si(&[(path, si)])
    }

    /// The same build with several numbers moved at once.
    ///
    /// # Errors
    /// As for [`with_si`](Self::with_si); also for a number that is not finite.
    pub fn with_all_si(&self, moves: &[(&str, f64)]) -> Result<Self, Faults> {
        let mut stated = self.stated.clone();
        for (path, si) in moves {
            let Some(item) = self.item(path).filter(|_| si.is_finite()) else {
                return Err(self.no_number(path));
            };
            let Some(moved) = moved(item, *si) else { return Err(self.no_number(path)) };
            self.give_way(path, &mut stated);
            stated.insert((*path).to_owned(), moved);
        }
        Self::from_items(stated, self.parts.clone(), self.sources.clone(), self.reading.clone())
    }

    fn no_number(&self, path: &str) -> Faults {
        let near = nearest(path, self.values().map(|(known, _)| known));
        let hint = near.map_or(String::new(), |known| format!("Did you mean {known}?"));
        let what = format!("{} is not a number of this build", label(path));
        Faults::without_source(vec![Finding::new(what).about(path).remedy(hint)])
    }

    /// Takes out what would contradict a new value at `path`, keeping what it said otherwise.
    fn give_way(&self, path: &str, stated: &mut Items) {
        let mut drop = |paths: &[&str]| stated.retain(|p, _| !paths.contains(&p.as_str()));
        match path {
            "chamber.compression_ratio" => drop(&["chamber.volume"]),
            "fuel.octane.RON" | "fuel.octane.MON" => drop(&["fuel.octane.AKI"]),
            "intake.cam.lift" => drop(&["intake.cam.lobe_lift", "intake.cam.gross_lift"]),
            "exhaust.cam.lift" => drop(&["exhaust.cam.lobe_lift", "exhaust.cam.gross_lift"]),
            "intake.cam.centreline" | "exhaust.cam.centreline" => {
                drop(&["cam.lobe_separation", "cam.intake_centreline", "cam.advance"]);
                for side in ["intake", "exhaust"] {
                    self.keep_timing(side, stated);
                }
            }
            "intake.cam.duration" => self.keep_timing("intake", stated),
            "exhaust.cam.duration" => self.keep_timing("exhaust", stated),
            _ => {}
        }
    }

    /// Writes a side's timing as centreline and durations, in place of events.
    fn keep_timing(&self, side: &str, stated: &mut Items) {
        let cam = if side == "intake" { &self.intake.cam } else { &self.exhaust.cam };
        let had_events = stated.remove(&format!("{side}.cam.opens")).is_some();
        stated.remove(&format!("{side}.cam.closes"));
        if let Some(item) = stated.get_mut(&format!("{side}.cam.lift_curve"))
            && let Leaf::Table(table) = &mut item.leaf
        {
            *table = about_its_nose(table).unwrap_or_else(|| table.clone());
        }
        let path = format!("{side}.cam.centreline");
        if let Some(item) = self.item(&path) {
            stated.insert(path, item.clone());
        }
        let stated_ones = cam.durations.iter().filter(|d| !d.angle.is_assumed());
        let list: Vec<Duration> =
            stated_ones.map(|d| Duration { angle: d.angle.clone(), at: d.stated_at }).collect();
        if let (true, Some(first)) = (had_events, list.first()) {
            let item = Item::of(Leaf::Durations(list.clone()), &first.angle);
            stated.entry(format!("{side}.cam.duration")).or_insert(item);
        }
    }
}

/// An item with its number moved; `None` when it has none.
fn moved(item: &Item, si: f64) -> Option<Item> {
    let leaf = match &item.leaf {
        Leaf::Value(value) => Leaf::Value(value.clone().moved_to(si)),
        Leaf::Event(value, from, at) => Leaf::Event(value.clone().moved_to(si), *from, *at),
        Leaf::FlowAtDrop(flow, drop) => Leaf::FlowAtDrop(flow.clone().moved_to(si), drop.clone()),
        Leaf::DropAtFlow(drop, flow) => Leaf::DropAtFlow(drop.clone().moved_to(si), flow.clone()),
        Leaf::Table(table) => {
            let mut table = table.clone();
            table.scale = table.scale.moved_to(si);
            Leaf::Table(table)
        }
        Leaf::Durations(list) => {
            let by = si - list.first()?.angle.si;
            let shifted = |d: &Duration| Duration {
                angle: d.angle.clone().moved_to(d.angle.si + by),
                at: d.at,
            };
            Leaf::Durations(list.iter().map(shifted).collect())
        }
        _ => return None,
    };
    Some(Item { leaf, ..item.clone() })
}

/// A text as a TOML value: lists, tables, numbers and yes or no as they are, all else in quotes.
pub(crate) fn as_toml(text: &str) -> String {
    let text = text.trim();
    let plain = text.parse::<f64>().is_ok_and(f64::is_finite) || matches!(text, "true" | "false");
    if plain || text.starts_with(['[', '{', '"', '\'']) {
        return text.to_owned();
    }
    toml_edit::Value::from(text).to_string()
}

/// The quantity of the number at `path`; a plain number when it has no unit.
#[must_use]
pub fn quantity(path: &str) -> Quantity {
    defaults::quantity_of(path)
}
