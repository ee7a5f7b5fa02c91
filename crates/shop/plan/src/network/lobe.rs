//! Lift of a cam's valves over crank angle, from what the engine file resolved.

use super::assembly::{fault, part};
use super::valves::Which;
use crate::PlanError;
use shortblock_cylinder::lift::{Lift, LiftCurve, MeasuredAt, Opening};
use shortblock_engine::build::{Cam, ValveDuration};
use std::f64::consts::PI;

/// Lift at which a seat duration counts, m: the engine file's own limit of what is still "the seat".
const SEAT_LIFT: f64 = 0.2e-3;
/// Gas-exchange dead centre, rad after firing dead centre.
const EXCHANGE: f64 = 2.0 * PI;

/// The lift of the valves of one side, and a word about it when flanks had to be the usual ones.
///
/// # Errors
/// Cam data that make no lobe.
pub(super) fn of(cam: &Cam, which: Which) -> Result<(LiftCurve, Option<String>), PlanError> {
    let path = format!("{}.cam", which.word());
    let remedy = "check lifts, durations, and at which lift they are stated";
    if let Some(curve) = &cam.curve {
        let rows: Vec<(f64, f64)> =
            curve.angle.iter().map(|a| a + EXCHANGE).zip(curve.lift.iter().copied()).collect();
        let lift = LiftCurve::measured(&rows, MeasuredAt::Valve, 0.0);
        return Ok((lift.map_err(|error| part(&path, &error, remedy))?, None));
    }
    let openings = openings(cam, which);
    let Some(last) = openings.last() else {
        return Err(fault(&path, "there is no duration at any lift", remedy));
    };
    let max = Lift { value: cam.lift.si, at: MeasuredAt::Valve };
    let error = match LiftCurve::synthesised(max, 0.0, &openings) {
        Ok((curve, _)) => return Ok((curve, None)),
        Err(error) => error,
    };
    // Two durations too far apart for any lobe: the working one counts, with usual flanks.
    let (curve, _) = LiftCurve::synthesised(max, 0.0, std::slice::from_ref(last))
        .map_err(|_| part(&path, &error, remedy))?;
    let note = format!(
        "the {} durations don't make one lobe; the one at {:.2} mm counts, with usual flanks",
        which.word(),
        last.lift.value * 1e3
    );
    Ok((curve, Some(note)))
}

/// One or two openings, rising: the lowest known above the seat (or the seat) and the highest.
fn openings(cam: &Cam, which: Which) -> Vec<Opening> {
    let centre = centreline(cam.centreline.si, which);
    let above: Vec<&ValveDuration> =
        cam.durations.iter().filter(|d| d.valve_lift > SEAT_LIFT).collect();
    let at = |lift: f64, duration: f64, skew: f64| {
        let value = Lift { value: lift, at: MeasuredAt::Valve };
        let mut opening = Opening::from_duration(value, duration, centre);
        opening.opens -= 0.5 * skew;
        opening.closes -= 0.5 * skew;
        opening
    };
    let skew = cam.asymmetry.si;
    match above.as_slice() {
        [] => vec![at(SEAT_LIFT, cam.seat_duration(), skew)],
        [one] => {
            vec![at(SEAT_LIFT, cam.seat_duration(), skew), at(one.valve_lift, one.angle.si, 0.0)]
        }
        [low, .., high] => {
            vec![at(low.valve_lift, low.angle.si, skew), at(high.valve_lift, high.angle.si, 0.0)]
        }
    }
}

/// The centreline as crank angle after firing dead centre, rad: the intake's counts after, the
/// exhaust's before gas-exchange dead centre.
pub(super) fn centreline(angle: f64, which: Which) -> f64 {
    match which {
        Which::Intake => EXCHANGE + angle,
        Which::Exhaust => EXCHANGE - angle,
    }
}
