//! Where an exhaust pipe meets the open air: an open end with its correction, a silencer as a loss,
//! or a silencer of a stated back pressure as a volume with an opening.

use super::assembly::{Assembly, FRICTION, circle, opening_with, piece, radius};
use super::outlet::Walls;
use super::rated::{EXHAUST_PER_AIR, air_flow};
use crate::PlanError;
use shortblock_cycle::{End, Node, Piece};
use shortblock_engine::Build;
use shortblock_engine::build::RatedDrop;
use shortblock_flow::OUTFLOW_END;

/// Gas in the silencers at full load, K; own: it leaves the port with 1100 to 1250 K and loses 150
/// to 300 K on its way.
const TAIL_GAS: f64 = 950.0;
/// Gas constant of exhaust gas, J/(kg K).
const R_EXHAUST: f64 = 289.0;
/// Entry loss of the air that flows back into a tail pipe, heads (Idelchik, sharp edge, from memory).
const SHARP: f64 = 0.5;
/// The silencer's own part of a back pressure is at least this share; own.
const LEAST_SHARE: f64 = 0.1;
/// Path of a stated back pressure.
const BACK_PRESSURE: &str = "exhaust.silencer.back_pressure";

/// The outer end of an exhaust pipe.
pub(super) struct EndOfPipe {
    pub end: End,
    /// Inertia of the gas outside.
    pub correction: Option<Piece>,
}

/// Ends one of `count` equal pipes whose last pieces are `pieces`.
///
/// # Errors
/// A back pressure without a flow; a silencer too small for its pipe.
pub(super) fn end_of(
    build: &Build,
    count: usize,
    pieces: &[Piece],
    walls: &Walls,
    assembly: &mut Assembly,
) -> Result<EndOfPipe, PlanError> {
    let exhaust = &build.exhaust_system;
    let end = |node, opening| End { node, opening, entry_loss: SHARP };
    if let Some(rated) = exhaust.back_pressure.as_ref().filter(|rated| rated.drop.si > 0.0) {
        let node = silencer(build, rated, count, pieces, walls, assembly)?;
        return Ok(EndOfPipe { end: end(node, 1.0), correction: None });
    }
    let area = pieces.last().map_or(0.0, |piece| piece.area_right);
    let tail = exhaust.tail.as_ref().map_or(area, |(_, bore)| circle(bore.si));
    let loss = exhaust.silencer_loss.si * (area / tail).powi(2);
    let outside = piece(OUTFLOW_END * radius(area), area, area, walls.tail);
    let correction = (loss <= 0.0 && area > 0.0).then_some(outside);
    Ok(EndOfPipe { end: end(Node::Cell, opening_with(loss)), correction })
}

/// A volume behind the pipe and an opening out of it, which takes what pipes and the sudden
/// enlargement leave of the back pressure at the rated flow.
fn silencer(
    build: &Build,
    rated: &RatedDrop,
    count: usize,
    pieces: &[Piece],
    walls: &Walls,
    assembly: &mut Assembly,
) -> Result<Node, PlanError> {
    let count = count.max(1) as f64;
    let flow = EXHAUST_PER_AIR * air_flow(rated, BACK_PRESSURE)? / count;
    let density = build.state.air_pressure.si / (R_EXHAUST * TAIL_GAS);
    let head = |area: f64| 0.5 * (flow / area).powi(2) / density;
    let friction = |p: &Piece| {
        let mean = 0.5 * (p.area_left + p.area_right);
        4.0 * FRICTION * p.length / (2.0 * radius(mean)) * head(mean)
    };
    let enlargement = pieces.last().map_or(0.0, |piece| head(piece.area_right));
    let pipes = enlargement + pieces.iter().map(friction).sum::<f64>();
    if pipes > rated.drop.si {
        assembly.note("the exhaust pipes alone have more than the stated back pressure");
    }
    let own = (rated.drop.si - pipes).max(LEAST_SHARE * rated.drop.si);
    let area = flow / (2.0 * density * own).sqrt();
    let volume = build.exhaust_system.silencer_volume.si / count;
    let node = assembly.volume("silencer", volume, walls.tail, true);
    assembly.opening("silencer", node, Node::Cell, area, 0.0);
    Ok(node)
}
