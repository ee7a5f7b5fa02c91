//! How an assumed value is found: the case that holds, the arithmetic of the shipped file.

use shortblock_units::{Origin, Quantity, parse};

use crate::defaults::{self, Standing};
use crate::fill::Fill;
use crate::item::{Item, Leaf};
use crate::schema::{self, Kind};
use crate::value::{Remarks, Value};

/// The deepest chain of assumed values that hang on each other.
const DEEPEST: usize = 12;

/// Inlet Mach index at the published power peaks of 17 engines: mean 0.53, sd 0.05, with
/// [`FLOW_COEFFICIENT`] and [`SOUND`] (the index: Taylor, vol. 1 ch. 6, from memory).
const POWER_PEAK: f64 = 0.53;
/// Mean flow coefficient of the intake valve in that index.
const FLOW_COEFFICIENT: f64 = 0.35;
/// Speed of sound in that index, m/s.
const SOUND: f64 = 345.0;
/// Volumetric efficiency at best power (common practice, no source: 0.8 to 1.0).
const FILLING: f64 = 0.9;
/// Air that flows are worked out with, kg/m³.
const AIR_DENSITY: f64 = 1.17;

impl Fill {
    /// Fills in what the shipped file has for a path, if it has anything.
    pub(crate) fn assume(&mut self, path: &str) {
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
            Some(Leaf::Word(word)) if path.starts_with("tested_as.") => word.contains(wanted),
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
            Kind::Texts => {
                return Some(Leaf::Words(text.split(", ").map(str::to_owned).collect()));
            }
            Kind::Count => return text.parse().ok().map(Leaf::Count),
            Kind::DropAtFlow => return self.drop_at_rated_flow(text, spread),
            _ => {}
        }
        let quantity = defaults::quantity_of_kind(kind);
        let (si, each) = self.amount(text, quantity)?;
        let plus_minus = defaults::span(spread, si, quantity).unwrap_or(0.0);
        Some(Leaf::Value(Value { each, ..Value::worked_out(si, plus_minus, quantity, "") }))
    }

    /// A pressure drop as written, at the air flow expected at best power.
    fn drop_at_rated_flow(&mut self, text: &str, spread: &str) -> Option<Leaf> {
        let drop = parse(text, Quantity::PressureDifference).ok()?.si;
        let plus_minus = defaults::span(spread, drop, Quantity::PressureDifference)?;
        let how = "expected at best power, by piston and valve sizes";
        Some(Leaf::DropAtFlow(
            Value::worked_out(drop, plus_minus, Quantity::PressureDifference, ""),
            Value::worked_out(self.rated_air_flow()?, 0.0, Quantity::MassFlow, how),
        ))
    }

    /// Air flow expected at best power, kg/s: the speed at which the inlet Mach index
    /// `(b/D)^2/n Sp/(Ci a)` is [`POWER_PEAK`], and [`FILLING`] there.
    fn rated_air_flow(&mut self) -> Option<f64> {
        let (bore, stroke) =
            (self.value("bottom_end.bore")?.si, self.value("bottom_end.stroke")?.si);
        let valves = (self.circle("intake")? / bore).powi(2);
        let piston_speed = POWER_PEAK * FLOW_COEFFICIENT * SOUND * valves;
        let displacement = self.swept()? * self.count("layout.cylinders") as f64;
        // Two strokes a turn, a filling every second turn: displacement x piston speed / 4 stroke.
        Some(FILLING * AIR_DENSITY * displacement * piston_speed / (4.0 * stroke))
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
    let mark = |value: Value| Value {
        origin: Origin::Assumed,
        text: text.to_owned(),
        why: standing.why.clone(),
        source: standing.source.clone(),
        remarks: remarks.clone(),
        ..value
    };
    match leaf {
        Leaf::Value(value) => Leaf::Value(mark(value)),
        Leaf::DropAtFlow(drop, at) => Leaf::DropAtFlow(mark(drop), at),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::item::Items;

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
