//! What stands at one word of the engine file once it has been read and checked.

use std::collections::BTreeMap;

use crate::value::{Remarks, Spot, Value};
use shortblock_document::Place;
use shortblock_units::Origin;

/// Whether the lift a timing is stated at is at the lifter or at the valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LiftBasis {
    /// Rise of the lifter off the base circle; the lash plays no part.
    Lifter,
    /// Lift of the valve with the running lash set: how far it is really open.
    Valve,
    /// Lift of the valve at zero lash: lifter rise times rocker ratio.
    ValveZeroLash,
    /// The valve leaving its seat, running lash set.
    Seat,
}

/// A checking lift: how high, and of what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckingLift {
    /// Lift in metres; 0 at the seat.
    pub lift: f64,
    /// Of what.
    pub basis: LiftBasis,
    /// Whether the file said of what; else it was taken from the kind of valve train.
    pub stated: bool,
}

/// A duration in crank angle at a checking lift; `None` when no lift was stated.
#[derive(Debug, Clone, PartialEq)]
pub struct Duration {
    /// Crank angle, rad.
    pub angle: Value,
    /// The lift it is stated at.
    pub at: CheckingLift,
}

/// From which dead centre an event is counted, and to which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// Before top dead centre (of the gas exchange).
    Btdc,
    /// After top dead centre.
    Atdc,
    /// Before bottom dead centre.
    Bbdc,
    /// After bottom dead centre.
    Abdc,
}

/// A table that was read: columns in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Name and values of each column, all of one length, sorted by the first column.
    pub columns: Vec<(&'static str, Vec<f64>)>,
    /// Single values beside the columns.
    pub beside: BTreeMap<&'static str, Item>,
    /// A factor on everything but the first column, 1 ± the table's uncertainty.
    pub scale: Value,
}

impl Table {
    /// The column of this name, factor not applied.
    #[must_use]
    pub fn column(&self, name: &str) -> Option<&[f64]> {
        self.columns.iter().find(|(n, _)| *n == name).map(|(_, values)| values.as_slice())
    }

    /// The table's value at `x` of the first column, between rows in a straight line, outside them
    /// the end value; factor applied. `None` for an unknown column or an empty table.
    #[must_use]
    pub fn at(&self, name: &str, x: f64) -> Option<f64> {
        let xs = &self.columns.first()?.1;
        let ys = self.column(name)?;
        let above = xs.partition_point(|v| *v < x);
        let y = match (above.checked_sub(1), xs.get(above)) {
            (None, _) => *ys.first()?,
            (Some(below), None) => *ys.get(below)?,
            (Some(below), Some(x1)) => {
                let (x0, y0, y1) = (xs[below], ys[below], ys[above]);
                y0 + (y1 - y0) * (x - x0) / (x1 - x0)
            }
        };
        Some(y * self.scale.si)
    }
}

/// What a value is wanted over.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// What is wanted.
    pub value: Value,
    /// From this engine speed, rad/s.
    pub from: Option<f64>,
    /// To this engine speed, rad/s.
    pub to: Option<f64>,
}

/// What stands at a word.
#[derive(Debug, Clone, PartialEq)]
pub enum Leaf {
    /// A number with its unit.
    Value(Value),
    /// A text, a chosen word or a date.
    Word(String),
    /// A list of texts.
    Words(Vec<String>),
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Count(usize),
    /// Cylinder numbers, from 1.
    Cylinders(Vec<usize>),
    /// Groups of cylinder numbers.
    Groups(Vec<Vec<usize>>),
    /// Columns.
    Table(Table),
    /// Durations at checking lifts.
    Durations(Vec<Duration>),
    /// A valve event at a checking lift.
    Event(Value, From, CheckingLift),
    /// A flow at a pressure drop: flow, drop.
    FlowAtDrop(Value, Value),
    /// A pressure drop at a flow (mass or volume) or a power: drop, flow.
    DropAtFlow(Value, Value),
    /// A value wanted over a range of speed.
    Wish(Wish),
    /// Volume shares by fuel.
    Blend(Vec<(String, Value)>),
    /// Several tables with fields of their own.
    Entries(Vec<BTreeMap<&'static str, Item>>),
    /// Said to be not applicable.
    NotApplicable,
    /// Said to be not measured: the assumed value stands in, and says so.
    NotMeasured,
}

/// A leaf with where it stands and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What stands there.
    pub leaf: Leaf,
    /// Where it comes from.
    pub origin: Origin,
    /// The text as typed.
    pub text: String,
    /// Place in the sources; `None` for what was filled in.
    pub place: Option<Place>,
    /// File and line, for people.
    pub spot: Option<Spot>,
    /// What was noted beside it.
    pub remarks: Remarks,
    /// Why it was assumed; empty for what was typed.
    pub why: String,
    /// Source of what was assumed; empty for what was typed.
    pub source: String,
}

impl Item {
    /// A leaf that comes from where `value` comes from; it stands in no file of its own.
    pub(crate) fn of(leaf: Leaf, value: &Value) -> Self {
        Self {
            leaf,
            origin: value.origin,
            text: value.text.clone(),
            place: None,
            spot: value.spot.clone(),
            remarks: value.remarks.clone(),
            why: value.why.clone(),
            source: value.source.clone(),
        }
    }

    /// The single number that stands for the item in what-if and sampling, if it has one.
    #[must_use]
    pub fn value(&self) -> Option<&Value> {
        match &self.leaf {
            Leaf::Value(value) | Leaf::Event(value, ..) => Some(value),
            Leaf::FlowAtDrop(value, _) | Leaf::DropAtFlow(value, _) => Some(value),
            Leaf::Wish(wish) => Some(&wish.value),
            Leaf::Table(table) => Some(&table.scale),
            Leaf::Durations(list) => list.first().map(|d| &d.angle),
            _ => None,
        }
    }
}

/// Everything that was stated, by path.
pub type Items = BTreeMap<String, Item>;
