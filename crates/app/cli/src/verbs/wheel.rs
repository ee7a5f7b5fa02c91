//! Power at the wheels, and beside it, never mixed with it, what the crankshaft may have given.

use crate::json::clean;
use crate::logs::{Day, DayPull, RollerDay};
use crate::manner::Manner;
use serde_json::{Value as Json, json};
use shortblock_curve::{Curve, Measured, Quantity as Column};
use shortblock_pulls::chassis::{CrankEstimate, WheelPower};
use shortblock_sheets::plain_number;
use shortblock_units::Quantity;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// Power at the wheels over engine speed, corrected where it can be, with the word for what it is.
pub fn curve(day: &Day, pull: &DayPull) -> Option<(Curve<Measured>, String)> {
    let wheel = day.wheel(pull)?;
    let observed: Vec<f64> = wheel.power.iter().map(|power| power.0).collect();
    let (power, word) = match &pull.air {
        Ok(air) => (air.corrected(&observed).ok()?, format!("wheel, {}", day.brought())),
        Err(_) => (observed, "wheel, as read".to_owned()),
    };
    let good = wheel.speeds.iter().zip(&power).filter(|(_, power)| power.is_finite());
    let (speed, power): (Vec<f64>, Vec<f64>) = good.map(|(s, p)| (*s, *p)).unzip();
    let curve = Curve::from_power(pull.label.clone(), speed, power).ok()?;
    Some((wheel.notes.into_iter().fold(curve, Curve::with_note), word))
}

/// The roller's day where there is one and its record suffices.
fn roller(day: &Day) -> Option<&RollerDay> {
    day.roller.as_ref()?.as_ref().ok()
}

/// The estimate where power at the wheels is best, and that engine speed, rad/s.
fn crank(day: &Day, pull: &DayPull) -> Option<(CrankEstimate, f64)> {
    let best = curve(day, pull)?.0.smoothed_peak(Column::Power);
    let factor = pull.air.as_ref().map_or(1.0, |air| air.factor());
    let read = WheelPower(best.value / factor);
    let found = roller(day)?.crank(day.pull(pull)?, read, best.speed, pull)?;
    Some((found.ok()?, best.speed))
}

/// What stands under the table: what the figures are, and the estimates with their assumption.
pub fn under(day: &Day, manner: &Manner) -> String {
    let notes = match &day.roller {
        None => return String::new(),
        Some(Err(why)) => return manner.wrapped(why, 2),
        Some(Ok(roller)) => roller.notes.join(" "),
    };
    let mut out = manner.wrapped(&notes, 2);
    for pull in &day.pulls {
        if let Some(why) = day.no_wheel(pull) {
            out += &manner.wrapped(&format!("{} has no power at the wheels: {why}", pull.label), 2);
        }
    }
    let mut assumptions: Vec<(String, Vec<&str>)> = Vec::new();
    let mut estimates = Vec::new();
    for pull in &day.pulls {
        let Some((estimate, speed)) = crank(day, pull) else { continue };
        let power = manner.value(estimate.power(), Some(estimate.plus_minus()), Quantity::Power);
        let at = plain_number((speed / RPM / 50.0).round() * 50.0, 0);
        estimates.push(format!("{} {power} at {at} rpm", pull.label));
        match assumptions.iter_mut().find(|(words, _)| words == estimate.assumption()) {
            Some((_, pulls)) => pulls.push(&pull.label),
            None => assumptions.push((estimate.assumption().to_owned(), vec![&pull.label])),
        }
    }
    if !estimates.is_empty() {
        out += &manner.wrapped(&format!("crank, estimated: {}", estimates.join("; ")), 2);
    }
    for (words, pulls) in &assumptions {
        let of =
            if assumptions.len() > 1 { format!(" of {}", pulls.join(", ")) } else { String::new() };
        out += &manner.wrapped(&format!("assumed{of}: {words}"), 6);
    }
    out
}

/// The estimate of a pull as JSON.
pub fn crank_json(day: &Day, pull: &DayPull, manner: &Manner) -> Option<Json> {
    let (estimate, speed) = crank(day, pull)?;
    let unit = manner.unit(Quantity::Power);
    Some(json!({
        "kind": "crank, estimated",
        "value": clean(unit.from_si(estimate.power())),
        "plus_minus": clean(unit.from_si(estimate.plus_minus())),
        "unit": unit.symbol, "at_rpm": clean(speed / RPM),
        "assumed": estimate.assumption(),
    }))
}
