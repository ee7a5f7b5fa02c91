//! A port as pieces of a duct, from the face of the head to the valves.

use super::assembly::{circle, piece};
use super::valve_area::rated_area;
use super::valves::Which;
use shortblock_cycle::Piece;
use shortblock_engine::build::Side;

/// Mean area of a port over the area that its ends let one expect, at least and at most; a poured
/// volume outside says more about the filler than about the port. Own.
const MEAN_AREA: (f64, f64) = (0.6, 1.7);
/// Half a port opens to at most this in area: wider within a cell would be a sudden step, whose loss
/// a worked port has not. Own.
const GENTLE: f64 = 1.25;
/// The duct ends in at least this times the largest effective area of its valves.
const ROOM: f64 = 1.08;

/// Area under the seats of one side less the stems, m², all valves.
pub(super) fn throat_area(side: &Side) -> f64 {
    let valves = &side.valves;
    valves.count as f64 * (circle(valves.throat.si) - circle(valves.stem.si))
}

/// The port in the direction of the flow, walls at `wall` (K).
///
/// With a poured volume the middle is as wide as that asks. Where a slim port would open to its
/// throats like a funnel, it ends narrower than the throats: what the bowl does to the flow is in the
/// flow sheet.
pub(super) fn pieces(side: &Side, which: Which, wall: f64) -> Vec<Piece> {
    let length = side.port.length.si;
    let (face, throat) = (circle(side.port.face.si), throat_area(side).max(0.0));
    let (middle, end) = match &side.port.volume {
        None => return in_flow(vec![piece(length, face, throat, wall)], which),
        Some(volume) => {
            let cone = (face + throat + (face * throat).sqrt()) / 3.0;
            let mean = (volume.si / length).clamp(MEAN_AREA.0 * cone, MEAN_AREA.1 * cone);
            match which {
                Which::Intake => slim(side, face, throat, mean),
                Which::Exhaust => {
                    let middle = middle_for(face, throat, mean);
                    (middle.clamp((face / GENTLE).min(throat), (throat * GENTLE).max(face)), throat)
                }
            }
        }
    };
    let half = 0.5 * length;
    in_flow(vec![piece(half, face, middle, wall), piece(half, middle, end, wall)], which)
}

/// Areas in the middle and at the valves of an intake port with this mean area, m².
fn slim(side: &Side, face: f64, throat: f64, mean: f64) -> (f64, f64) {
    let middle = middle_for(face, throat, mean);
    if throat <= GENTLE * middle {
        return (middle, throat);
    }
    // End = GENTLE x middle: 6 V/L = A1 + sqrt(A1) s + (2 + GENTLE + sqrt(GENTLE)) s^2, Am = s^2.
    let (a, b, c) = (2.0 + GENTLE + GENTLE.sqrt(), face.sqrt(), face - 6.0 * mean);
    let middle = (((b * b - 4.0 * a * c).max(0.0).sqrt() - b) / (2.0 * a)).powi(2);
    let most = side.flow.flow.iter().copied().fold(0.0, f64::max);
    let valves = rated_area(most, side.flow.test_pressure.si, "").unwrap_or(0.0);
    let end = (GENTLE * middle).max(ROOM * valves).min(throat);
    (middle.max(end / GENTLE), end)
}

/// Area in the middle of two cones with this mean area:
/// `6 V/L = A1 + A2 + (sqrt(A1) + sqrt(A2)) s + 2 s^2`, `Am = s^2`.
fn middle_for(one: f64, other: f64, mean: f64) -> f64 {
    let (half, rest) = (0.25 * (one.sqrt() + other.sqrt()), one + other - 6.0 * mean);
    let side = (half * half - 0.5 * rest).max(0.0).sqrt() - half;
    side.max(0.5 * one.min(other).sqrt()).powi(2)
}

/// Pieces from face to throat turned the way the gas goes.
fn in_flow(pieces: Vec<Piece>, which: Which) -> Vec<Piece> {
    if which == Which::Intake {
        return pieces;
    }
    let turn = |p: Piece| Piece { area_left: p.area_right, area_right: p.area_left, ..p };
    pieces.into_iter().rev().map(turn).collect()
}

#[cfg(test)]
mod tests {
    use super::super::demo::demo;
    use super::*;

    fn volume(pieces: &[Piece]) -> f64 {
        let cone = |p: &Piece| {
            let (a, b) = (p.area_left, p.area_right);
            p.length / 3.0 * (a + b + (a * b).sqrt())
        };
        pieces.iter().map(cone).sum()
    }

    /// Poured 178 cc and 84.5 cc in the demo files.
    #[test]
    fn a_poured_volume_is_the_volume_of_the_port() {
        for (entry, poured) in [("126/b1.toml", 178e-6), ("114/b1.toml", 84.5e-6)] {
            let build = demo(entry);
            let pieces = pieces(&build.intake, Which::Intake, 300.0);
            assert!((volume(&pieces) / poured - 1.0).abs() < 1e-9, "{entry} {pieces:?}");
            assert!(pieces.iter().all(|p| p.area_right < 1.3 * p.area_left), "{pieces:?}");
        }
    }

    #[test]
    fn without_a_volume_a_port_tapers_from_face_to_throat() {
        let build = demo("201/b1.toml");
        let port = pieces(&build.exhaust, Which::Exhaust, 300.0);
        assert_eq!(port.len(), 1);
        assert_eq!(port[0].area_left, throat_area(&build.exhaust));
        assert_eq!(port[0].area_right, circle(build.exhaust.port.face.si));
    }
}
