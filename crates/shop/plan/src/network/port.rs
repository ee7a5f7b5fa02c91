//! A port as pieces of a duct, from the face of the head to the valves.

use super::assembly::{circle, piece};
use shortblock_cycle::Piece;
use shortblock_engine::build::Side;

/// Mean area of a port over the area that its ends let one expect, at least and at most; a poured
/// volume outside says more about the filler than about the port. Own.
const MEAN_AREA: (f64, f64) = (0.6, 1.7);

/// Area under the seats of one side less the stems, m², all valves.
pub(super) fn throat_area(side: &Side) -> f64 {
    let valves = &side.valves;
    valves.count as f64 * (circle(valves.throat.si) - circle(valves.stem.si))
}

/// From the face to the throat, walls at `wall` (K). With a poured volume the middle is as wide as
/// that asks; its area is found from the volumes of two cones.
pub(super) fn pieces(side: &Side, wall: f64) -> Vec<Piece> {
    let length = side.port.length.si;
    let (face, throat) = (circle(side.port.face.si), throat_area(side).max(0.0));
    let Some(volume) = &side.port.volume else {
        return vec![piece(length, face, throat, wall)];
    };
    // Cones: V = (L/2)/3 (A1 + Am + sqrt(A1 Am)) + the same to A2, quadratic in sqrt(Am).
    let (a, b) = (face.sqrt(), throat.sqrt());
    let cone = (face + throat + a * b) / 3.0;
    let mean = (volume.si / length).clamp(MEAN_AREA.0 * cone, MEAN_AREA.1 * cone);
    let (half, rest) = (0.25 * (a + b), face + throat - 6.0 * mean);
    let middle = (-half + (half * half - 0.5 * rest).max(0.0).sqrt()).max(0.3 * a.min(b)).powi(2);
    vec![piece(0.5 * length, face, middle, wall), piece(0.5 * length, middle, throat, wall)]
}

/// The same pieces from the other end.
pub(super) fn reversed(pieces: Vec<Piece>) -> Vec<Piece> {
    let turn = |p: Piece| Piece { area_left: p.area_right, area_right: p.area_left, ..p };
    pieces.into_iter().rev().map(turn).collect()
}
