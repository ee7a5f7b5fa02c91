//! Assumed values that nothing uses in this build: another value says the same better, or there is
//! nothing for them to act on. They are left out of its list, so that nobody measures them for nothing.

use super::durations::is_at_seat;
use super::{Build, Cam, SparkPlan};
use crate::fill::Fill;
use crate::item::LiftBasis;
use shortblock_units::Origin;

/// Fuels that no octane number describes: alcohols cool by evaporation and have little chemistry
/// before the flame, nitromethane burns without air.
const WITHOUT_OCTANE: [&str; 5] = ["methanol", "ethanol", "e85", "m85", "nitromethane"];

/// Takes the assumed values that nothing uses out of the list; what a file says stays.
pub(super) fn drop(build: &Build, fill: &mut Fill) {
    let octane = has_octane(build);
    let held_back = matches!(build.spark.plan, SparkPlan::BestTorque { knock_limited: true });
    let searched = matches!(build.spark.plan, SparkPlan::BestTorque { .. });
    let from_volumes = fill.stated("chamber.volume").is_some();
    let mut idle: Vec<String> = Vec::new();
    let mut unless = |used: bool, path: &str| idle.extend((!used).then(|| path.to_owned()));
    // The research number alone acts (see `shop/plan`, fuel).
    unless(false, "fuel.octane.MON");
    unless(octane, "fuel.octane.RON");
    unless(octane && held_back, "spark.knock_margin");
    unless(searched, "spark.at_most");
    // A stated compression ratio holds both.
    unless(from_volumes, "bottom_end.deck");
    unless(from_volumes, "chamber.gasket.thickness");
    for (side, cam) in [("intake", &build.intake.cam), ("exhaust", &build.exhaust.cam)] {
        // A flow sheet, measured or usual, holds the seat.
        unless(false, &format!("{side}.valves.seat_angle"));
        let of_lifter = is_of_lifter(fill, side, cam);
        unless(of_lifter || is_at_no_lash(fill, side, cam), &format!("{side}.cam.lash"));
        unless(of_lifter, &format!("valve_train.rocker_ratio.{side}"));
        unless(ramp_acts(cam), &format!("{side}.cam.ramp"));
        // A measured curve is not symmetrical by itself.
        unless(cam.curve.is_none(), &format!("{side}.cam.asymmetry"));
    }
    for path in idle {
        let unsaid = |origin, said: bool| origin == Origin::Assumed && !said;
        if fill.items.get(&path).is_some_and(|item| unsaid(item.origin, item.place.is_some())) {
            fill.items.remove(&path);
        }
    }
}

/// Whether an octane number describes the fuel. A blend with any nitromethane has none, nor one of
/// such fuels alone.
fn has_octane(build: &Build) -> bool {
    let fuel = &build.fuel;
    let parts = || {
        std::iter::once(fuel.kind.as_str()).chain(fuel.blend.iter().map(|(kind, _)| kind.as_str()))
    };
    let nitromethane = parts().any(|kind| kind == "nitromethane");
    !nitromethane && parts().any(|kind| !WITHOUT_OCTANE.contains(&kind))
}

/// Whether lift or a duration that counts is stated at the lifter: then rocker ratio and lash turn it
/// to the valve's. A measured curve counts alone, and a lift at the valve before any other.
fn is_of_lifter(fill: &Fill, side: &str, cam: &Cam) -> bool {
    if cam.curve.is_some() {
        let table = fill.table(&format!("{side}.cam.lift_curve"));
        return table.is_some_and(|table| table.column("valve").is_none());
    }
    let says = |word: &str| fill.stated(&format!("{side}.cam.{word}")).is_some();
    let lift = says("lobe_lift") && !says("lift");
    lift || is_stated(cam, LiftBasis::Lifter)
}

/// Whether lift or a duration that counts is stated at the valve without lash.
fn is_at_no_lash(fill: &Fill, side: &str, cam: &Cam) -> bool {
    let says = |word: &str| fill.stated(&format!("{side}.cam.{word}")).is_some();
    let lift = says("gross_lift") && !says("lobe_lift") && !says("lift");
    cam.curve.is_none() && (lift || is_stated(cam, LiftBasis::ValveZeroLash))
}

fn is_stated(cam: &Cam, basis: LiftBasis) -> bool {
    cam.durations.iter().any(|duration| duration.stated_at.basis == basis)
}

/// The ramp gives the seat's duration, which acts unless two durations above the seat, or the whole
/// curve, are known.
fn ramp_acts(cam: &Cam) -> bool {
    cam.curve.is_none() && cam.durations.iter().filter(|duration| !is_at_seat(duration)).count() < 2
}
