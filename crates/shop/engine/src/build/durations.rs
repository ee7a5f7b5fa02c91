//! Durations turned to lift of the valve with its lash set; the seat's from the ramp.

use shortblock_units::Quantity;

use super::cam::{Cam, LiftCurve, ValveDuration, Which};
use super::centreline::{ANGLE_DOUBT, Stated};
use super::short_block::{TrainKind, ValveTrain};
use super::timing;
use crate::defaults;
use crate::fill::Fill;
use crate::item::{CheckingLift, Duration, Leaf, LiftBasis};
use crate::value::Value;
use shortblock_document::Finding;

/// Lift at which the shipped ramp is stated, m.
const RAMP_LIFT: f64 = 1.0e-3;
/// A valve this far open is taken as leaving its seat: hardly any gas passes below it, and a
/// duration at or below it is the seat's own, m; own.
const SEAT_LIFT: f64 = 0.2e-3;
/// Durations at the seat of mild road cams to the wildest of drag racing, degrees; common practice,
/// no source. Outside it a duration was mostly read at another lift than the one it is stated at.
const USUAL_AT_SEAT: std::ops::RangeInclusive<f64> = 210.0..=340.0;

/// Durations by valve lift, the seat's first; the seat's is assumed when nobody said.
pub(super) fn durations(
    fill: &mut Fill,
    which: Which,
    train: &ValveTrain,
    events: Option<Stated>,
    cam: &Cam,
) -> Vec<ValveDuration> {
    let path = format!("{}.cam.duration", which.name());
    let mut stated: Vec<Duration> = match fill.stated(&path).map(|item| &item.leaf) {
        Some(Leaf::Durations(list)) => list.clone(),
        _ => Vec::new(),
    };
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
    if let (true, Some(curve)) = (list.is_empty(), &cam.curve) {
        return of_curve(curve);
    }
    if list.is_empty() {
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
    if let [seat, ..] = list.as_slice() {
        doubt_seat(fill, &path, seat.angle.degrees());
    }
    list
}

/// Whether a duration counts as the seat's.
pub(super) fn is_at_seat(duration: &ValveDuration) -> bool {
    duration.valve_lift <= SEAT_LIFT
}

/// Was it the seat's duration that was stated at a lift, or the other way round? Not asked when a
/// stated duration is so far off that it is asked about itself.
fn doubt_seat(fill: &mut Fill, path: &str, degrees: f64) {
    let Some(Leaf::Durations(stated)) = fill.stated(path).map(|item| &item.leaf) else { return };
    let likely = defaults::default_of(path).and_then(|standing| standing.doubt);
    let likely = |d: &Duration| likely.is_none_or(|(low, high)| (low..=high).contains(&d.angle.si));
    if USUAL_AT_SEAT.contains(&degrees) || !stated.iter().all(likely) {
        return;
    }
    let what = format!("this makes {degrees:.0} deg at the seat; 210 to 340 deg are usual");
    let remedy = "A card's \"advertised\" duration is the seat's: \"280 deg at seat\"; the shorter \
                  one is at 0.050 in of lifter or 1 mm of valve.";
    fill.doubt(path, Finding::new(what).mark("at which lift was it read?").remedy(remedy));
}

/// Durations of a measured curve at the seat and at 1.0 mm.
fn of_curve(curve: &LiftCurve) -> Vec<ValveDuration> {
    let at = |lift: f64, basis: LiftBasis| {
        let above = curve.angle_above(lift)?;
        let angle = Value::worked_out(above, 0.0, Quantity::Angle, "the measured lift curve");
        let stated_at = CheckingLift { lift, basis, stated: true };
        Some(ValveDuration { valve_lift: lift, angle, stated_at })
    };
    let seat = at(SEAT_LIFT, LiftBasis::Seat).map(|d| ValveDuration { valve_lift: 0.0, ..d });
    [seat, at(RAMP_LIFT, LiftBasis::Valve)].into_iter().flatten().collect()
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
    let what = "the checking lift does not say whether it is of lifter or of valve";
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
