//! Valve events and centreline, in any of the trade's ways, compared where two are given.

use shortblock_units::{Origin, Quantity};

use super::cam::Which;
use super::{lift_curve, timing};
use crate::fill::Fill;
use crate::item::{CheckingLift, From as Counted, Leaf};
use crate::value::Value;
use shortblock_document::Finding;

/// Two statements of an angle further apart than this are asked; own: twice what degreeing shows.
pub(super) const ANGLE_DOUBT: f64 = 1.5;
/// Further apart than this they contradict each other; own.
const ANGLE_FAULT: f64 = 6.0;

/// Opening and closing at one checking lift.
pub(super) struct Stated {
    /// Before top for the intake, after top for the exhaust, degrees.
    pub near_tdc: f64,
    /// After bottom for the intake, before bottom for the exhaust, degrees.
    pub near_bdc: f64,
    /// ± of the sum of both, degrees.
    pub plus_minus: f64,
    /// The lift both are stated at.
    pub at: CheckingLift,
}

/// The events of one side, when both are stated.
pub(super) fn events(fill: &mut Fill, which: Which) -> Option<Stated> {
    let paths = ["opens", "closes"].map(|key| format!("{}.cam.{key}", which.name()));
    let read = |path: &str| match fill.stated(path).map(|item| &item.leaf) {
        Some(Leaf::Event(value, from, at)) => Some((value.clone(), *from, *at)),
        _ => None,
    };
    let both = [read(&paths[0]), read(&paths[1])];
    let [Some(opens), Some(closes)] = both else {
        if let Some(given) = [&both[0], &both[1]].iter().position(|e| e.is_some()) {
            let place = fill.place(&paths[given]);
            let fault = Finding::new("opening and closing belong together; one is missing");
            let remedy = format!("Give {} too.", paths[1 - given]);
            fill.fault(fault.about(&paths[given]).remedy(remedy), place.as_ref());
        }
        return None;
    };
    if opens.2.basis != closes.2.basis || (opens.2.lift - closes.2.lift).abs() > 1e-6 {
        let place = fill.place(&paths[1]);
        let fault = Finding::new("opening and closing are stated at different lifts");
        let remedy = "State both at the same lift; a second pair goes in as a duration.";
        fill.fault(fault.about(&paths[1]).remedy(remedy), place.as_ref());
        return None;
    }
    let intake = which == Which::Intake;
    let pm = opens.0.plus_minus.hypot(closes.0.plus_minus).to_degrees();
    let turned =
        |event: &(Value, Counted, CheckingLift)| timing::signed(event.0.degrees(), event.1, intake);
    let (top, bottom) = match (timing::is_at_top(opens.1), timing::is_at_top(closes.1)) {
        (true, false) => (turned(&opens), turned(&closes)),
        (false, true) => (turned(&closes), turned(&opens)),
        _ => {
            let place = fill.place(&paths[0]);
            let what = "one event counts from top dead centre, the other from bottom";
            let remedy = match which {
                Which::Intake => "Intake: opens BTDC or ATDC, closes ABDC.",
                Which::Exhaust => "Exhaust: opens BBDC, closes ATDC or BTDC.",
            };
            fill.fault(Finding::new(what).about(&paths[0]).remedy(remedy), place.as_ref());
            return None;
        }
    };
    Some(Stated { near_tdc: top, near_bdc: bottom, plus_minus: pm, at: opens.2 })
}

/// Centreline: degreed, from separation and intake centreline or advance, from the events, or
/// assumed; ways that are given are compared.
pub(super) fn centreline(fill: &mut Fill, which: Which, events: Option<&Stated>) -> Value {
    let path = format!("{}.cam.centreline", which.name());
    let mut ways: Vec<(String, Value)> = Vec::new();
    if let Some(item) = fill.stated(&path)
        && let Some(value) = item.value()
    {
        ways.push((path.clone(), value.clone()));
    }
    if let Some(value) = from_pair(fill, which) {
        ways.push(("cam.lobe_separation".to_owned(), value));
    }
    if let Some(events) = events {
        let (_, centre) = timing::from_events(events.near_tdc, events.near_bdc);
        let pm = (0.5 * events.plus_minus).to_radians();
        let how = "halfway between opening and closing";
        let value = Value::worked_out(centre.to_radians(), pm, Quantity::Angle, how);
        ways.push((format!("{}.cam.opens", which.name()), value));
    }
    if let Some(value) = lift_curve::peak(fill, which) {
        ways.push((format!("{}.cam.lift_curve", which.name()), value));
    }
    let Some((_, first)) = ways.first().cloned() else { return fill.need(&path) };
    for (other_path, other) in &ways[1..] {
        let apart = (first.si - other.si).to_degrees().abs();
        compare_angles(fill, which, other_path, apart, &first, other);
    }
    fill.keep(&path, &first);
    first
}

fn compare_angles(
    fill: &mut Fill,
    which: Which,
    path: &str,
    apart: f64,
    first: &Value,
    other: &Value,
) {
    if apart <= ANGLE_DOUBT + (first.plus_minus + other.plus_minus).to_degrees() {
        return;
    }
    let what = format!(
        "the {} centreline is {:.1} deg one way and {:.1} deg the other",
        which.name(),
        first.degrees(),
        other.degrees()
    );
    let finding = Finding::new(what).about(path).mark("which is right?");
    if apart > ANGLE_FAULT {
        let place = fill.place(path);
        fill.fault(finding.remedy("Take one of the two ways out."), place.as_ref());
    } else {
        fill.doubt(
            path,
            finding.remedy("The degreed centreline is used. If both are right, say why."),
        );
    }
}

/// Centreline from `[cam]`: intake = separation - advance; exhaust = 2 separation - intake.
fn from_pair(fill: &mut Fill, which: Which) -> Option<Value> {
    let stated = |fill: &Fill, path: &str| fill.stated(path).and_then(|item| item.value().cloned());
    let separation = stated(fill, "cam.lobe_separation");
    let centreline = stated(fill, "cam.intake_centreline").or_else(|| {
        (which == Which::Exhaust).then(|| stated(fill, "intake.cam.centreline")).flatten()
    });
    let advance = stated(fill, "cam.advance");
    let intake = match (&separation, centreline, advance) {
        (_, Some(centreline), None) => centreline,
        (Some(separation), None, Some(advance)) => {
            let pm = separation.plus_minus.hypot(advance.plus_minus);
            Value::worked_out(
                separation.si - advance.si,
                pm,
                Quantity::Angle,
                "lobe separation less advance",
            )
        }
        (Some(separation), Some(centreline), Some(advance)) => {
            let apart = (separation.si - advance.si - centreline.si).to_degrees().abs();
            if which == Which::Intake {
                let worked = Value { si: separation.si - advance.si, ..centreline.clone() };
                compare_angles(fill, which, "cam.advance", apart, &centreline, &worked);
            }
            centreline
        }
        (Some(separation), None, None) => {
            let pm = 3.0_f64.to_radians();
            Value {
                source: "c.p.".to_owned(),
                origin: Origin::Assumed,
                ..Value::worked_out(separation.si, pm, Quantity::Angle, "ground without advance")
            }
        }
        (None, None, _) => return None,
        (None, Some(centreline), Some(_)) => centreline,
    };
    if which == Which::Intake {
        return Some(intake);
    }
    let separation = separation?;
    let pm = (2.0 * separation.plus_minus).hypot(intake.plus_minus);
    let how = "twice the lobe separation less the intake centreline";
    Some(Value {
        origin: if intake.is_assumed() { Origin::Assumed } else { Origin::WorkedOut },
        source: intake.source.clone(),
        ..Value::worked_out(2.0 * separation.si - intake.si, pm, Quantity::Angle, how)
    })
}
