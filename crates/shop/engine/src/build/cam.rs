//! Cams in any of the trade's ways, turned to lift of the valve with its lash set.

use shortblock_units::Quantity;

use super::centreline::{centreline, events};
use super::durations::durations;
use super::lift_curve;
use super::short_block::{TrainKind, ValveTrain};
use crate::fill::Fill;
use crate::item::CheckingLift;
use crate::value::Value;
use shortblock_document::Finding;

/// A duration turned to the lift of the valve with its lash set.
#[derive(Debug, Clone, PartialEq)]
pub struct ValveDuration {
    /// Lift of the valve, lash taken off, m; 0 is the seat.
    pub valve_lift: f64,
    /// Crank angle above that lift, rad.
    pub angle: Value,
    /// As it was stated.
    pub stated_at: CheckingLift,
}

/// A measured lift curve, lash taken off.
#[derive(Debug, Clone, PartialEq)]
pub struct LiftCurve {
    /// Crank angle after top dead centre of the gas exchange, rad, rising.
    pub angle: Vec<f64>,
    /// Lift of the valve, m.
    pub lift: Vec<f64>,
}

/// One cam as it stands in the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Cam {
    /// Greatest lift at the valve, lash taken off, m.
    pub lift: Value,
    /// Running lash at the valve, m; 0 with hydraulic lifters.
    pub lash: Value,
    /// Valve movement over lifter movement.
    pub rocker_ratio: Value,
    /// Angle of greatest lift, rad: intake after, exhaust before top dead centre; positive.
    pub centreline: Value,
    /// Durations by rising valve lift; the first is the seat's.
    pub durations: Vec<ValveDuration>,
    /// Opening flank longer than the closing one by this, rad.
    pub asymmetry: Value,
    /// Measured curve; wins over durations.
    pub curve: Option<LiftCurve>,
}

impl LiftCurve {
    /// Crank angle between the first and the last point above a lift, rad, between rows in a
    /// straight line; `None` when it is never reached.
    #[must_use]
    pub fn angle_above(&self, lift: f64) -> Option<f64> {
        let first = self.lift.iter().position(|l| *l > lift)?;
        let last = self.lift.iter().rposition(|l| *l > lift)?;
        let crossing = |inside: usize, outside: Option<usize>| {
            let at = |i: usize| Some((*self.angle.get(i)?, *self.lift.get(i)?));
            match (at(inside), outside.and_then(at)) {
                (Some((a, la)), Some((b, lb))) => Some(a + (b - a) * (la - lift) / (la - lb)),
                (inside, _) => inside.map(|(a, _)| a),
            }
        };
        Some(crossing(last, Some(last + 1))? - crossing(first, first.checked_sub(1))?)
    }
}

impl Cam {
    /// Duration at the seat, rad.
    #[must_use]
    pub fn seat_duration(&self) -> f64 {
        self.durations.first().map_or(0.0, |d| d.angle.si)
    }
}

/// Which side a cam is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Which {
    Intake,
    Exhaust,
}

impl Which {
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        }
    }
}

/// The cam of one side.
pub(crate) fn of(fill: &mut Fill, which: Which, train: &ValveTrain) -> Cam {
    let at = |key: &str| format!("{}.cam.{key}", which.name());
    let rocker_ratio = rocker_ratio(fill, which, train);
    let lash = lash(fill, &at("lash"), train);
    let events = events(fill, which);
    let centreline = centreline(fill, which, events.as_ref());
    let curve = lift_curve::of(fill, which, &rocker_ratio, &lash, &centreline);
    let mut cam = Cam {
        lift: lift(fill, which, &rocker_ratio, &lash, curve.as_ref()),
        lash,
        rocker_ratio,
        centreline,
        durations: Vec::new(),
        asymmetry: fill.need(&at("asymmetry")),
        curve,
    };
    cam.durations = durations(fill, which, train, events, &cam);
    cam
}

fn rocker_ratio(fill: &mut Fill, which: Which, train: &ValveTrain) -> Value {
    if train.kind == TrainKind::Bucket {
        return Value::worked_out(1.0, 0.0, Quantity::Ratio, "a bucket has no rocker");
    }
    fill.need(&format!("valve_train.rocker_ratio.{}", which.name()))
}

fn lash(fill: &mut Fill, path: &str, train: &ValveTrain) -> Value {
    if train.hydraulic && fill.stated(path).is_none() {
        let how = "hydraulic lifters take up the lash";
        let value = Value::worked_out(0.0, 0.0, Quantity::Length, how);
        fill.items.remove(path);
        fill.keep(path, &value);
        return value;
    }
    let lash = fill.need(path);
    if train.hydraulic && lash.si > 0.0 {
        let doubt = Finding::new("lash is given for hydraulic lifters, which have none");
        fill.doubt(path, doubt.remedy("Take it out, or write lifter = \"solid\"."));
    }
    lash
}

/// Net lift: as stated, from the lobe, the gross lift or the measured curve, or assumed; two ways
/// are compared.
fn lift(
    fill: &mut Fill,
    which: Which,
    ratio: &Value,
    lash: &Value,
    curve: Option<&LiftCurve>,
) -> Value {
    let at = |key: &str| format!("{}.cam.{key}", which.name());
    let from_lobe = fill.stated_value(&at("lobe_lift")).map(|lobe| {
        let si = lobe.si * ratio.si - lash.si;
        let pm =
            (lobe.plus_minus * ratio.si).hypot(lobe.si * ratio.plus_minus).hypot(lash.plus_minus);
        Value::worked_out(si, pm, Quantity::Length, "lobe lift x rocker ratio, less lash")
    });
    let from_gross = fill.stated_value(&at("gross_lift")).map(|gross| {
        let pm = gross.plus_minus.hypot(lash.plus_minus);
        Value::worked_out(gross.si - lash.si, pm, Quantity::Length, "gross lift less lash")
    });
    let from_curve = curve.map(|curve| {
        let top = curve.lift.iter().copied().fold(0.0, f64::max);
        Value::worked_out(top, 0.0, Quantity::Length, "the measured lift curve")
    });
    let stated = fill.stated(&at("lift")).and_then(|item| item.value().cloned());
    let ways = [stated, from_lobe, from_gross, from_curve];
    let ways: Vec<Value> = ways.into_iter().flatten().collect();
    let Some(first) = ways.first().cloned() else { return fill.need(&at("lift")) };
    for other in &ways[1..] {
        let apart = (first.si - other.si).abs();
        if apart > 0.04 * first.si + first.plus_minus + other.plus_minus {
            let what = format!(
                "{} lift is {:.2} mm one way and {:.2} mm the other",
                which.name(),
                first.si * 1e3,
                other.si * 1e3
            );
            let path = [at("lobe_lift"), at("gross_lift"), at("lift_curve")]
                .into_iter()
                .find(|path| fill.stated(path).is_some())
                .unwrap_or_else(|| at("lift"));
            let remedy = "lift: at the valve, lash taken off; gross_lift: at the valve, zero lash; lobe_lift: at the lifter.";
            fill.doubt(&path, Finding::new(what).mark("which is right?").remedy(remedy));
        }
    }
    fill.keep(&at("lift"), &first);
    first
}
