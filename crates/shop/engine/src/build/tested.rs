//! How a rating is meant, the ratings themselves, goal and limits.

use std::collections::BTreeMap;

use crate::fill::Fill;
use crate::item::{Item, Leaf, Wish};
use crate::value::Value;
use shortblock_document::Finding;

/// A machine the engine drives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Accessory {
    /// Oil pump.
    OilPump,
    /// Water pump.
    WaterPump,
    /// Alternator or dynamo.
    Alternator,
    /// Cooling fan.
    Fan,
    /// Power steering pump.
    PowerSteering,
    /// Air pump.
    AirPump,
    /// Mechanical fuel pump.
    FuelPump,
    /// Compressor of an air conditioner.
    AirConditioner,
}

/// Words a machine is called by; the first is the one shown.
const CALLED: [(Accessory, &[&str]); 8] = [
    (Accessory::OilPump, &["oil pump"]),
    (Accessory::WaterPump, &["water pump", "coolant pump"]),
    (Accessory::Alternator, &["alternator", "dynamo", "generator"]),
    (Accessory::Fan, &["fan"]),
    (Accessory::PowerSteering, &["power steering", "steering pump"]),
    (Accessory::AirPump, &["air pump"]),
    (Accessory::FuelPump, &["fuel pump"]),
    (Accessory::AirConditioner, &["air condition"]),
];

impl Accessory {
    /// The machine a text is about, or `None`.
    #[must_use]
    pub fn called(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        let named = |words: &&[&str]| words.iter().any(|w| text.contains(w));
        CALLED.iter().find(|(_, words)| named(words)).map(|(machine, _)| *machine)
    }

    /// What it is called.
    #[must_use]
    pub fn word(self) -> &'static str {
        CALLED.iter().find(|(machine, _)| *machine == self).map_or("", |(_, words)| words[0])
    }
}

/// What a rating or a pull of this build means.
#[derive(Debug, Clone, PartialEq)]
pub struct TestedAs {
    /// What the engine drove itself, as stated or assumed; empty for "none".
    pub accessories: Vec<Accessory>,
    /// Whether the accessories were stated.
    pub accessories_stated: bool,
    /// Air cleaner, in words.
    pub air_cleaner: String,
    /// Exhaust, in words.
    pub exhaust: String,
    /// Where the air came from, in words.
    pub air: String,
    /// Correction standard; empty when nobody said.
    pub correction: String,
    /// What the rating may be off by, as a share.
    pub tolerance: Value,
}

/// What a rating says about the curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RatingKind {
    /// The peak of the curve.
    Peak,
    /// A point of the curve.
    Point,
    /// A lower bound.
    AtLeast,
}

/// A published or measured figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Rating {
    /// Power, W, or torque, N·m; its `quantity` says which.
    pub value: Value,
    /// Engine speed, rad/s; `None` when nobody said.
    pub speed: Option<Value>,
    /// What it says.
    pub kind: RatingKind,
    /// Standard or wording.
    pub standard: String,
    /// What it may be off by, as a share.
    pub tolerance: Value,
}

/// What the engine is for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Goal {
    /// Power wanted.
    pub power: Option<Wish>,
    /// Torque wanted.
    pub torque: Option<Wish>,
    /// Range used, rad/s.
    pub range: Option<(f64, f64)>,
}

/// Limits, each with where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// Engine speed, rad/s.
    pub engine_speed: Option<Value>,
    /// Mean piston speed, m/s.
    pub mean_piston_speed: Value,
    /// Spark margin to knock, rad.
    pub knock_margin: Value,
    /// Inlet Mach index.
    pub inlet_mach_index: Value,
    /// Cylinder pressure, Pa.
    pub peak_pressure: Option<Value>,
    /// Exhaust gas at the port, K.
    pub exhaust_temperature: Option<Value>,
}

/// What a rating of this build means; a rating without it is a doubt.
pub(crate) fn tested_as(fill: &mut Fill) -> TestedAs {
    let has_rating = fill.any_stated("rating") || fill.any_stated("rating_curve");
    let missing: Vec<&str> = ["accessories", "exhaust", "correction"]
        .into_iter()
        .filter(|key| fill.stated(&format!("tested_as.{key}")).is_none())
        .collect();
    if has_rating && !missing.is_empty() {
        let what = format!("a rating is given, but not how it was tested: {}", missing.join(", "));
        let remedy = "Add [tested_as] with accessories, exhaust, air_cleaner, air and correction.";
        let path = if fill.any_stated("rating") { "rating" } else { "rating_curve" };
        fill.doubt(path, Finding::new(what).mark("gross or net?").remedy(remedy));
    }
    let accessories_stated = fill.stated("tested_as.accessories").is_some();
    let words = match fill.item("tested_as.accessories").map(|item| &item.leaf) {
        Some(Leaf::Words(list)) => list.clone(),
        _ => Vec::new(),
    };
    let accessories = words.iter().filter_map(|word| accessory(fill, word)).collect();
    TestedAs {
        accessories,
        accessories_stated,
        air_cleaner: fill.word("tested_as.air_cleaner"),
        exhaust: fill.word("tested_as.exhaust"),
        air: fill.word("tested_as.air"),
        correction: fill.word("tested_as.correction"),
        tolerance: fill.need("tested_as.tolerance"),
    }
}

/// The machine a word names; "none" names none, and an unknown one is asked.
fn accessory(fill: &mut Fill, word: &str) -> Option<Accessory> {
    let found = Accessory::called(word);
    if found.is_none() && !matches!(word, "none" | "") {
        let known: Vec<&str> = CALLED.iter().map(|(machine, _)| machine.word()).collect();
        let what = format!("\"{word}\" is not an accessory known here, so it takes no power");
        let remedy = format!("Known are: {}; \"none\" for none.", known.join(", "));
        fill.doubt("tested_as.accessories", Finding::new(what).remedy(remedy));
    }
    found
}

/// Published or measured figures.
pub(crate) fn ratings(fill: &mut Fill, tested: &TestedAs) -> Vec<Rating> {
    let entries = match fill.stated("rating").map(|item| &item.leaf) {
        Some(Leaf::Entries(entries)) => entries.clone(),
        _ => return Vec::new(),
    };
    entries.iter().flat_map(|entry| rating(fill, entry, tested)).collect()
}

/// One entry may state power, torque or both.
fn rating(fill: &mut Fill, entry: &BTreeMap<&'static str, Item>, tested: &TestedAs) -> Vec<Rating> {
    let value = |key: &str| entry.get(key).and_then(|item| item.value().cloned());
    let word = |key: &str| match entry.get(key).map(|item| &item.leaf) {
        Some(Leaf::Word(word)) => word.clone(),
        _ => String::new(),
    };
    let kind = match word("kind").as_str() {
        "point" => RatingKind::Point,
        "at least" => RatingKind::AtLeast,
        _ => RatingKind::Peak,
    };
    let stated: Vec<Value> = [value("power"), value("torque")].into_iter().flatten().collect();
    if stated.is_empty() || stated.iter().any(|v| v.si <= 0.0) {
        let place = entry.values().next().and_then(|item| item.place.clone());
        let fault =
            Finding::new("a rating states a power or a torque, more than 0").about("rating");
        fill.fault(
            fault.remedy("Write { power = \"355 hp\", speed = \"5250 rpm\" }."),
            place.as_ref(),
        );
        return Vec::new();
    }
    let make = |value: Value| Rating {
        value,
        speed: entry.get("speed").and_then(|item| item.value().cloned()),
        kind,
        standard: word("standard"),
        tolerance: entry
            .get("tolerance")
            .and_then(|item| item.value().cloned())
            .unwrap_or_else(|| tested.tolerance.clone()),
    };
    stated.into_iter().map(make).collect()
}

/// Goal, with the range of speed that counts.
pub(crate) fn goal(fill: &mut Fill) -> Goal {
    let wish = |fill: &Fill, path: &str| match fill.stated(path).map(|item| &item.leaf) {
        Some(Leaf::Wish(wish)) => Some(wish.clone()),
        _ => None,
    };
    let from = fill.stated_value("goal.speed_from").map(|v| v.si);
    let to = fill.stated_value("goal.speed_to").map(|v| v.si);
    Goal {
        power: wish(fill, "goal.power"),
        torque: wish(fill, "goal.torque"),
        range: from.zip(to).filter(|(from, to)| from < to),
    }
}

/// Limits; what nobody set has the shipped one.
pub(crate) fn limits(fill: &mut Fill) -> Limits {
    Limits {
        engine_speed: fill.stated_value("limits.engine_speed"),
        mean_piston_speed: fill.need("limits.mean_piston_speed"),
        knock_margin: fill.need("limits.knock_margin"),
        inlet_mach_index: fill.need("limits.inlet_mach_index"),
        peak_pressure: fill.stated_value("limits.peak_pressure"),
        exhaust_temperature: fill.stated_value("limits.exhaust_temperature"),
    }
}
