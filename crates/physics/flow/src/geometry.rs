//! Plain description of a duct in one lane, end corrections and cell counts.

use crate::FlowError;
use crate::duct::{CellShape, CellWall};
use shortblock_lanes::Lane;
use std::f64::consts::PI;

/// End correction of an unflanged open end in radii. Levine & Schwinger 1948, Phys. Rev. 73:383
/// (from memory).
pub const UNFLANGED_END: f64 = 0.6133;
/// End correction of a flanged open end in radii. Nomura et al. 1960 (from memory).
pub const FLANGED_END: f64 = 0.8217;
/// End correction in radii where a jet leaves the end. Peters et al. 1993 (from memory).
pub const OUTFLOW_END: f64 = 0.2;
/// Area ratio of two faces of a cell above which the cell is a sudden step, not a cone. Ours.
pub(crate) const STEP_RATIO: f64 = 1.3;
/// Fewest cells of a duct.
const CELLS_MIN: usize = 3;

/// One lane's duct.
#[derive(Clone, Debug, PartialEq)]
pub struct DuctGeometry {
    /// Areas of the `n + 1` cell faces from left to right, m2.
    pub face_areas: Vec<f64>,
    /// Length of each cell, m.
    pub cell_length: f64,
    /// Wall temperature, K.
    pub wall_temperature: f64,
    /// Fanning friction factor (a quarter of the Darcy factor).
    pub friction_factor: f64,
    /// Multiplier on the wall's heat transfer (0: adiabatic).
    pub heat_factor: f64,
}

impl DuctGeometry {
    /// A round pipe without friction or heat, wall at 300 K.
    pub fn pipe(length: f64, diameter: f64, cells: usize) -> Self {
        Self::from_area(length, cells, |_| 0.25 * PI * diameter * diameter)
    }

    /// A duct whose area in m2 at distance x (m, from the left end) is `area(x)`.
    pub fn from_area(length: f64, cells: usize, area: impl Fn(f64) -> f64) -> Self {
        let dx = length / cells as f64;
        Self {
            face_areas: (0..=cells).map(|i| area(i as f64 * dx)).collect(),
            cell_length: dx,
            wall_temperature: 300.0,
            friction_factor: 0.0,
            heat_factor: 0.0,
        }
    }

    /// Whether the areas of cell `i` differ so much that it is a sudden step.
    pub(crate) fn has_step(&self, i: usize) -> bool {
        let (a, b) = (self.face_areas[i], self.face_areas[i + 1]);
        a.max(b) > STEP_RATIO * a.min(b)
    }
}

/// How many cells of about `cell_length` a duct of `length` gets: at least 3.
pub fn cell_count(length: f64, cell_length: f64) -> usize {
    let cells = (length / cell_length).round();
    if cells > CELLS_MIN as f64 { cells as usize } else { CELLS_MIN }
}

/// The common cell count of a batch.
pub(crate) fn check(geometry: &[DuctGeometry], lanes: usize) -> Result<usize, FlowError> {
    if geometry.len() != lanes || lanes == 0 {
        return Err(FlowError::LaneCount { given: geometry.len(), lanes });
    }
    let expected = geometry[0].face_areas.len().saturating_sub(1).max(CELLS_MIN);
    for (lane, g) in geometry.iter().enumerate() {
        let cells = g.face_areas.len().saturating_sub(1);
        if cells != expected {
            return Err(FlowError::CellCount { lane, cells, expected });
        }
        let positive = |quantity, value: f64| {
            let good = value.is_finite() && value > 0.0;
            good.then_some(()).ok_or(FlowError::Value {
                lane,
                quantity,
                value,
                range: "above zero",
            })
        };
        let not_negative = |quantity, value: f64| {
            let good = value.is_finite() && value >= 0.0;
            good.then_some(()).ok_or(FlowError::Value {
                lane,
                quantity,
                value,
                range: "of zero or more",
            })
        };
        positive("cell length", g.cell_length)?;
        positive("wall temperature", g.wall_temperature)?;
        not_negative("friction factor", g.friction_factor)?;
        not_negative("heat factor", g.heat_factor)?;
        for &area in &g.face_areas {
            positive("face area", area)?;
        }
    }
    Ok(expected)
}

impl<V: Lane> CellShape<V> {
    pub(crate) fn new(geometry: &[DuctGeometry], i: usize) -> Self {
        let lane = |f: &dyn Fn(&DuctGeometry, f64, f64) -> f64| {
            V::from_fn(|l| {
                let g = &geometry[l];
                f(g, g.face_areas[i], g.face_areas[i + 1])
            })
        };
        Self {
            inverse_volume: lane(&|g, a, b| 2.0 / ((a + b) * g.cell_length)),
            half_taper: lane(&|_, a, b| (b - a) / (a + b)),
            half_friction: lane(&|g, a, b| {
                g.friction_factor * g.cell_length / diameter(0.5 * (a + b))
            }),
            // The wall pressure of a cone is the area-weighted mean of the faces' pressures, exact
            // for steady incompressible flow; that makes it the harmonic mean of the areas.
            push: lane(&|_, a, b| 2.0 * a * b / (a + b)),
        }
    }
}

impl<V: Lane> CellWall<V> {
    pub(crate) fn new(geometry: &[DuctGeometry], i: usize) -> Self {
        Self {
            inverse_diameter: V::from_fn(|l| {
                let a = &geometry[l].face_areas;
                1.0 / diameter(0.5 * (a[i] + a[i + 1]))
            }),
            temperature: V::from_fn(|l| geometry[l].wall_temperature),
            heat_factor: V::from_fn(|l| geometry[l].heat_factor),
        }
    }
}

/// Diameter in m of a circle of `area` m2.
pub(crate) fn diameter(area: f64) -> f64 {
    (4.0 * area / PI).sqrt()
}
