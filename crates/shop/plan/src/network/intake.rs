//! Intake from plenum or open air to the valves: one duct for each cylinder.

use super::assembly::{Assembly, circle, opening_with, piece, radius};
use super::valves::Which;
use super::{assembly, inlet, port};
use crate::PlanError;
use shortblock_cycle::{End, Node, Piece, Side};
use shortblock_engine::Build;
use shortblock_flow::{FLANGED_END, UNFLANGED_END};

/// Share of the way from runner wall to coolant at which the port's wall stands; own: the port is
/// part of the head, the charge cools it.
const PORT_WALL: f64 = 0.8;
/// Entry loss of a trumpet with a rolled lip, heads of its mouth (Idelchik, rounding of a tenth of
/// the bore and more, from memory).
const ROUNDED: f64 = 0.05;
/// Entry loss of a runner that starts in a plenum with a small rounding; own, between 0.05 rounded
/// and 0.5 sharp.
const PLENUM_ENTRY: f64 = 0.2;
/// Entry loss of a straight pipe with a thin rim in the open (Idelchik, from memory).
const THIN_RIM: f64 = 0.8;
/// A mouth this much wider than its pipe (diameter) counts as flared.
const FLARED: f64 = 1.15;

/// Adds what lies between the air around and the intake valves.
///
/// # Errors
/// A part that can't be simulated, by its path.
pub(super) fn add(build: &Build, assembly: &mut Assembly) -> Result<(), PlanError> {
    let feeds = inlet::add(build, assembly)?;
    for (i, node) in feeds.runners.iter().enumerate() {
        let end = mouth(build, i, *node, feeds.loss_area);
        let mut pieces = runner(build, i, *node);
        pieces.extend(port::pieces(&build.intake, Which::Intake, port_wall(build)));
        let valve = assembly::open(Node::Valve(i, Side::Intake));
        assembly.duct(
            "intake.runner.length",
            format!("intake runner {}", i + 1),
            pieces,
            end,
            valve,
        )?;
    }
    if build.intake_system.throttle.as_ref().is_some_and(|t| t.one_per_cylinder) {
        assembly.note("throttles of their own act as a loss at the outer end of their runner");
    }
    for node in feeds.boxes {
        assembly.check_volume(node, feeds.path)?;
    }
    Ok(())
}

fn port_wall(build: &Build) -> f64 {
    let runner = build.intake_system.wall_temperature.si;
    runner + PORT_WALL * (build.state.coolant_temperature.si - runner)
}

/// Mouth diameter and that of the runner's end, m.
fn mouth_and_end(build: &Build, i: usize) -> (f64, f64) {
    let end = build.intake_system.runner_end.of(i);
    (build.intake_system.trumpet.as_ref().map_or(end, |trumpet| trumpet.mouth.si), end)
}

/// End correction, trumpet and runner, from outside to the head.
fn runner(build: &Build, i: usize, node: Node) -> Vec<Piece> {
    let intake = &build.intake_system;
    let wall = intake.wall_temperature.si;
    let (mouth, end) = mouth_and_end(build, i);
    let (mouth, end, start) = (circle(mouth), circle(end), circle(intake.runner_start.of(i)));
    let correction = if node == Node::Ambient { UNFLANGED_END } else { FLANGED_END };
    let trumpet = intake.trumpet.as_ref().map_or(0.0, |trumpet| trumpet.length.of(i));
    vec![
        piece(correction * radius(mouth), mouth, mouth, wall),
        piece(trumpet, mouth, end, wall),
        piece(intake.runner_length.of(i), end, start, wall),
    ]
}

/// The outer end: losses of mouth, throttle or carburettor barrel, in heads of the mouth.
fn mouth(build: &Build, i: usize, node: Node, loss_area: Option<f64>) -> End {
    let intake = &build.intake_system;
    let (mouth, end) = mouth_and_end(build, i);
    let entry_loss = match (&intake.trumpet, node) {
        (Some(_), _) if mouth >= FLARED * end => ROUNDED,
        (_, Node::Ambient) => THIN_RIM,
        _ => PLENUM_ENTRY,
    };
    let area = circle(mouth);
    let throttle = intake.throttle.as_ref().filter(|throttle| throttle.one_per_cylinder);
    let plate = throttle
        .map_or(0.0, |throttle| throttle.loss.si * (area / circle(throttle.diameter.si)).powi(2));
    // A rating's drop holds the head of the barrel, which the runner here has beside it.
    let barrel = loss_area
        .map_or(0.0, |effective| (area / effective).powi(2) - (area / circle(end)).powi(2));
    End { node, opening: opening_with(plate + barrel.max(0.0)), entry_loss }
}
