//! Cams in any of the trade's ways, turned to lift of the valve with its lash set.

use shortblock_units::{Origin, Quantity};

use super::short_block::{TrainKind, ValveTrain};
use super::timing;
use crate::fault::Finding;
use crate::fill::Fill;
use crate::item::{CheckingLift, Duration, Leaf, LiftBasis};
use crate::value::Value;

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

impl Cam {
    /// Duration at the seat, rad.
    #[must_use]
    pub fn seat_duration(&self) -> f64 {
        self.durations.first().map_or(0.0, |d| d.angle.si)
    }
}

/// Two statements of an angle further apart than this are asked; own: twice what degreeing shows.
const ANGLE_DOUBT: f64 = 1.5;
/// Further apart than this they contradict each other; own.
const ANGLE_FAULT: f64 = 6.0;
/// Lift at which the shipped ramp is stated, m.
const RAMP_LIFT: f64 = 1.0e-3;
/// A valve this far open is taken as leaving its seat: hardly any gas passes below it, and a
/// duration at or below it is the seat's own, m; own.
const SEAT_LIFT: f64 = 0.2e-3;

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
    let mut cam = Cam {
        lift: lift(fill, which, &rocker_ratio, &lash),
        lash,
        rocker_ratio,
        centreline,
        durations: Vec::new(),
        asymmetry: fill.need(&at("asymmetry")),
        curve: None,
    };
    cam.curve = super::lift_curve::of(fill, which, &cam);
    durations(fill, which, train, events, &mut cam);
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

/// Net lift: as stated, from the gross lift, from the lobe, or assumed; two ways are compared.
fn lift(fill: &mut Fill, which: Which, ratio: &Value, lash: &Value) -> Value {
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
    let stated = fill.stated(&at("lift")).and_then(|item| item.value().cloned());
    let ways: Vec<Value> = [stated, from_lobe, from_gross].into_iter().flatten().collect();
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
            let path = [at("lobe_lift"), at("gross_lift")]
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

/// Opening and closing at one checking lift.
struct Stated {
    /// Before top for the intake, after top for the exhaust, degrees.
    near_tdc: f64,
    /// After bottom for the intake, before bottom for the exhaust, degrees.
    near_bdc: f64,
    plus_minus: f64,
    at: CheckingLift,
}

fn events(fill: &mut Fill, which: Which) -> Option<Stated> {
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
    let intake = which == Which::Intake;
    let pm = opens.0.plus_minus.hypot(closes.0.plus_minus).to_degrees();
    let turned = |event: &(Value, crate::item::From, CheckingLift)| {
        timing::signed(event.0.degrees(), event.1, intake)
    };
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
fn centreline(fill: &mut Fill, which: Which, events: Option<&Stated>) -> Value {
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

/// Durations by valve lift, the seat's first; the seat's is assumed when nobody said.
fn durations(
    fill: &mut Fill,
    which: Which,
    train: &ValveTrain,
    events: Option<Stated>,
    cam: &mut Cam,
) {
    let path = format!("{}.cam.duration", which.name());
    let mut stated: Vec<Duration> = match fill.stated(&path).map(|item| &item.leaf) {
        Some(Leaf::Durations(list)) => list.clone(),
        _ => Vec::new(),
    };
    let lobe_says_all = cam.curve.is_some();
    if let Some(events) = events {
        let (degrees, _) = timing::from_events(events.near_tdc, events.near_bdc);
        let pm = events.plus_minus.to_radians();
        let how = "opening + 180 + closing";
        let angle = Value::worked_out(degrees.to_radians(), pm, Quantity::Angle, how);
        stated.push(Duration { angle, at: events.at });
    }
    for duration in &stated {
        doubt_basis(fill, &path, train, &duration.at);
    }
    let mut list: Vec<ValveDuration> = stated.into_iter().map(|d| at_valve(d, cam)).collect();
    if list.is_empty() && !lobe_says_all {
        let at = CheckingLift { lift: RAMP_LIFT, basis: LiftBasis::Valve, stated: true };
        list.push(ValveDuration { valve_lift: RAMP_LIFT, angle: fill.need(&path), stated_at: at });
    }
    list.sort_by(|a, b| a.valve_lift.total_cmp(&b.valve_lift));
    same_lift_twice(fill, &path, &mut list);
    if let Some(lowest) = list.first().cloned() {
        if lowest.valve_lift > SEAT_LIFT {
            list.insert(0, seat(fill, which, &lowest));
        } else {
            list[0].valve_lift = 0.0;
        }
    }
    check_durations(fill, &path, &list, cam);
    cam.durations = list;
}

/// A stated duration at the lift of the valve with its lash set.
fn at_valve(duration: Duration, cam: &Cam) -> ValveDuration {
    let lift = match duration.at.basis {
        LiftBasis::Seat => 0.0,
        LiftBasis::Valve => duration.at.lift,
        LiftBasis::ValveZeroLash => duration.at.lift - cam.lash.si,
        LiftBasis::Lifter => duration.at.lift * cam.rocker_ratio.si - cam.lash.si,
    };
    ValveDuration { valve_lift: lift.max(0.0), angle: duration.angle, stated_at: duration.at }
}

/// With a rocker a checking lift must say what it is of; a bucket differs by the lash only.
fn doubt_basis(fill: &mut Fill, path: &str, train: &ValveTrain, at: &CheckingLift) {
    if at.stated || train.kind == TrainKind::Bucket {
        return;
    }
    let taken = if at.basis == LiftBasis::Lifter { "lifter" } else { "valve" };
    let what = format!(
        "a checking lift of {:.2} mm does not say whether at lifter or valve",
        at.lift * 1e3
    );
    let remedy = format!("Taken as \"of {taken}\". Write \"of lifter\" or \"of valve\" after it.");
    fill.doubt(path, Finding::new(what).mark("of lifter or of valve?").remedy(remedy));
}

fn same_lift_twice(fill: &mut Fill, path: &str, list: &mut Vec<ValveDuration>) {
    let mut i = 1;
    while i < list.len() {
        if list[i].valve_lift - list[i - 1].valve_lift > 0.02e-3 {
            i += 1;
            continue;
        }
        let (a, b) = (list[i - 1].angle.degrees(), list[i].angle.degrees());
        let known = (list[i].angle.plus_minus + list[i - 1].angle.plus_minus).to_degrees();
        if (a - b).abs() > 2.0 * ANGLE_DOUBT + known {
            let what = format!("two ways give {a:.1} and {b:.1} deg of duration at the same lift");
            let doubt = Finding::new(what).mark("which is right?");
            fill.doubt(path, doubt.remedy("The first is used. Take the other out."));
        }
        list.remove(i);
    }
}

/// The seat's duration from the lowest stated one and the ramp.
fn seat(fill: &mut Fill, which: Which, lowest: &ValveDuration) -> ValveDuration {
    let ramp = fill.need(&format!("{}.cam.ramp", which.name()));
    // A flank under constant acceleration: the angle grows with the root of the lift. From 1.0 mm
    // this gives 60 degrees at 0.050 in of lifter with 1.6 rockers, where the trade adds 58 to 60.
    let longer = ((lowest.valve_lift - SEAT_LIFT) / (RAMP_LIFT - SEAT_LIFT)).max(0.0).sqrt();
    let plus_minus = lowest.angle.plus_minus.hypot(ramp.plus_minus * longer);
    let how = "the lowest stated duration and the ramp";
    let si = lowest.angle.si + ramp.si * longer;
    ValveDuration {
        valve_lift: 0.0,
        angle: Value {
            origin: ramp.origin,
            source: ramp.source.clone(),
            ..Value::worked_out(si, plus_minus, Quantity::Angle, how)
        },
        stated_at: CheckingLift { lift: 0.0, basis: LiftBasis::Seat, stated: true },
    }
}

/// Durations must fall as the lift rises, and end below the cam's greatest lift.
fn check_durations(fill: &mut Fill, path: &str, list: &[ValveDuration], cam: &Cam) {
    let place = fill.place(path);
    if list.windows(2).any(|pair| pair[0].angle.si <= pair[1].angle.si) {
        let what = "durations must get shorter as the checking lift rises";
        let remedy = "Check which lift is at the lifter and which at the valve.";
        fill.fault(Finding::new(what).about(path).remedy(remedy), place.as_ref());
    }
    let too_high = |d: &ValveDuration| cam.lift.si > 0.0 && d.valve_lift >= 0.9 * cam.lift.si;
    if list.last().is_some_and(too_high) {
        let what = "a checking lift must be well below the greatest lift";
        let remedy = "Check the unit of lift and checking lift.";
        fill.fault(Finding::new(what).about(path).remedy(remedy), place.as_ref());
    }
}
