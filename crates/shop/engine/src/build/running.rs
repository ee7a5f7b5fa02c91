//! Fuel, mixture, spark, temperatures and air.

use crate::fill::Fill;
use crate::item::{Leaf, Table};
use crate::schema::{self, Kind};
use crate::value::Value;

/// Fuel and mixture.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuel {
    /// What it is called.
    pub name: String,
    /// What it is made of, one of the words of the schema.
    pub kind: String,
    /// Volume shares of other fuels mixed in.
    pub blend: Vec<(String, Value)>,
    /// Research octane number.
    pub ron: Value,
    /// Motor octane number.
    pub mon: Value,
    /// Mixture.
    pub lambda: Lambda,
    /// How it gets into the air.
    pub delivery: String,
}

/// Mixture at full load.
#[derive(Debug, Clone, PartialEq)]
pub enum Lambda {
    /// The same at all speeds.
    Fixed(Value),
    /// Over engine speed, rad/s: columns "speed", "lambda".
    Table(Table),
}

/// How the spark is set.
#[derive(Debug, Clone, PartialEq)]
pub enum SparkPlan {
    /// A fixed angle before top dead centre, rad.
    Fixed(Value),
    /// Over engine speed, rad/s: columns "speed", "advance" (rad).
    Table(Table),
    /// Best torque; held back by knock when `knock_limited`.
    BestTorque {
        /// Held back by knock with the margin.
        knock_limited: bool,
    },
}

/// Spark.
#[derive(Debug, Clone, PartialEq)]
pub struct Spark {
    /// How it is set.
    pub plan: SparkPlan,
    /// How far to stay from knock, rad of crank angle.
    pub knock_margin: Value,
    /// Greatest advance that may be asked for, rad.
    pub at_most: Value,
}

/// Temperatures and air of the run.
#[derive(Debug, Clone, PartialEq)]
pub struct RunState {
    /// Oil, K.
    pub oil_temperature: Value,
    /// Coolant, K.
    pub coolant_temperature: Value,
    /// Cylinders cooled by air.
    pub air_cooled: bool,
    /// Air, K.
    pub air_temperature: Value,
    /// Barometer, Pa.
    pub air_pressure: Value,
    /// Relative humidity, 0 to 1.
    pub humidity: Value,
}

/// A fuel called by the name of a kind is of that kind, unless somebody said otherwise.
pub(crate) fn kind_by_name(fill: &mut Fill) {
    let Some(Kind::Choice(kinds)) = schema::word("fuel.kind").map(|w| w.field.kind) else { return };
    let name = fill.word("fuel.name").to_lowercase();
    let called =
        |kind: &&&str| name.split(|c: char| !c.is_alphanumeric() && c != '-').any(|w| w == **kind);
    if let Some(kind) = kinds.iter().find(called) {
        fill.settle_word("fuel.kind", kind, "by its name");
    }
}

/// Fuel and mixture.
pub(crate) fn fuel(fill: &mut Fill) -> Fuel {
    let blend = match fill.stated("fuel.blend").map(|item| &item.leaf) {
        Some(Leaf::Blend(parts)) => parts.clone(),
        _ => Vec::new(),
    };
    let lambda = match fill.table("fuel.lambda") {
        Some(table) => Lambda::Table(table),
        None => Lambda::Fixed(fill.need("fuel.lambda")),
    };
    let (ron, mon) = octane(fill);
    Fuel {
        name: fill.word("fuel.name"),
        kind: fill.word("fuel.kind"),
        blend,
        ron,
        mon,
        lambda,
        delivery: fill.word("fuel.delivery"),
    }
}

/// Half the usual difference of the two octane numbers of pump petrol (c.p.).
const HALF_SENSITIVITY: f64 = 5.0;

/// Both octane numbers; from the North American pump number when only that is given.
fn octane(fill: &mut Fill) -> (Value, Value) {
    let pump = fill.stated_value("fuel.octane.AKI");
    let none = fill.stated("fuel.octane.RON").is_none() && fill.stated("fuel.octane.MON").is_none();
    if let (Some(pump), true) = (pump, none) {
        let how = "pump number and a sensitivity of 10";
        let number =
            |si: f64| Value::worked_out(si, pump.plus_minus.hypot(1.5), pump.quantity, how);
        let (ron, mon) = (number(pump.si + HALF_SENSITIVITY), number(pump.si - HALF_SENSITIVITY));
        fill.items.remove("fuel.octane.RON");
        fill.items.remove("fuel.octane.MON");
        fill.keep("fuel.octane.RON", &ron);
        fill.keep("fuel.octane.MON", &mon);
        return (ron, mon);
    }
    if fill.stated("fuel.octane.RON").is_none()
        && let Some(mon) = fill.stated_value("fuel.octane.MON").filter(|v| !v.is_assumed())
    {
        let how = "motor number and a sensitivity of 10";
        let si = mon.si + 2.0 * HALF_SENSITIVITY;
        let ron = Value::worked_out(si, mon.plus_minus.hypot(3.0), mon.quantity, how);
        fill.keep("fuel.octane.RON", &ron);
        return (ron, mon);
    }
    (fill.need("fuel.octane.RON"), fill.need("fuel.octane.MON"))
}

/// Spark.
pub(crate) fn spark(fill: &mut Fill) -> Spark {
    let plan = match fill.item("spark.advance").map(|item| item.leaf.clone()) {
        Some(Leaf::Value(value)) => SparkPlan::Fixed(value),
        Some(Leaf::Table(table)) => SparkPlan::Table(table),
        Some(Leaf::Word(word)) => SparkPlan::BestTorque { knock_limited: word != "best torque" },
        _ => SparkPlan::BestTorque { knock_limited: true },
    };
    Spark {
        plan,
        knock_margin: fill.need("spark.knock_margin"),
        at_most: fill.need("spark.at_most"),
    }
}

/// Temperatures and air.
pub(crate) fn state(fill: &mut Fill) -> RunState {
    RunState {
        oil_temperature: fill.need("oil.temperature"),
        coolant_temperature: fill.need("coolant.temperature"),
        air_cooled: fill.word("coolant.kind") == "air",
        air_temperature: fill.need("air.temperature"),
        air_pressure: fill.need("air.pressure"),
        humidity: fill.need("air.humidity"),
    }
}
