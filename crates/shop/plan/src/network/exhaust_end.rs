//! Where an exhaust pipe meets the open air: silencer or stated back pressure as an opening, or an
//! open end with its correction.

use super::assembly::{FRICTION, opening_with, piece, radius};
use super::outlet::Walls;
use super::rated::{EXHAUST_PER_AIR, air_flow};
use crate::PlanError;
use shortblock_cycle::{End, Node, Piece};
use shortblock_engine::Build;
use shortblock_flow::OUTFLOW_END;

/// Gas in the tail pipe at full load, K; own: it leaves the port with 1100 to 1250 K and loses 150
/// to 300 K on its way.
const TAIL_GAS: f64 = 950.0;
/// Gas constant of exhaust gas, J/(kg K).
const R_EXHAUST: f64 = 289.0;

/// The outer end of an exhaust pipe.
pub(super) struct EndOfPipe {
    pub end: End,
    /// Inertia of the gas outside.
    pub correction: Option<Piece>,
}

impl EndOfPipe {
    /// For one of `count` equal pipes whose last pieces are `pieces`.
    ///
    /// # Errors
    /// A back pressure without a flow.
    pub fn of(
        build: &Build,
        count: usize,
        pieces: &[Piece],
        walls: &Walls,
        notes: &mut Vec<String>,
    ) -> Result<Self, PlanError> {
        let Some(last) = pieces.last() else {
            return Ok(Self { end: super::assembly::open(Node::Ambient), correction: None });
        };
        let area = last.area_right;
        let loss = Self::loss(build, count, pieces, notes)?;
        let end = End { node: Node::Ambient, opening: opening_with(loss), entry_loss: 0.5 };
        let open_end = || piece(OUTFLOW_END * radius(area), area, area, walls.tail);
        Ok(Self { end, correction: (loss <= 0.0).then(open_end) })
    }

    /// Loss in heads of the last area beside the head itself.
    pub fn loss(
        build: &Build,
        count: usize,
        pieces: &[Piece],
        notes: &mut Vec<String>,
    ) -> Result<f64, PlanError> {
        let exhaust = &build.exhaust_system;
        let area = pieces.last().map_or(0.0, |piece| piece.area_right);
        let Some(rated) = exhaust.back_pressure.as_ref().filter(|rated| rated.drop.si > 0.0) else {
            let tail =
                exhaust.tail.as_ref().map_or(area, |(_, bore)| super::assembly::circle(bore.si));
            return Ok(exhaust.silencer_loss.si * (area / tail).powi(2));
        };
        let path = "exhaust.silencer.back_pressure";
        let flow = EXHAUST_PER_AIR * air_flow(rated, path)? / count.max(1) as f64;
        let density = 101_325.0 / (R_EXHAUST * TAIL_GAS);
        let head = 0.5 * (flow / area).powi(2) / density;
        let pipes: f64 = pieces
            .iter()
            .map(|p| {
                let mean = 0.5 * (p.area_left + p.area_right);
                4.0 * FRICTION * p.length / (2.0 * radius(mean)) * (area / mean).powi(2)
            })
            .sum();
        let wanted = rated.drop.si / head - pipes;
        if wanted < 0.0 {
            let text = "the exhaust pipes alone have more than the stated back pressure";
            notes.push(text.to_owned());
        }
        Ok(wanted.max(0.0))
    }
}
