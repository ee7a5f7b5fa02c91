//! How finely a design is cut: cells along each duct and steps over each cycle.
//!
//! Both follow from a cell length and from the point's own speed, never from the points it is
//! worked out with, so that a result does not depend on its neighbours.

use crate::network::{DuctSpec, End, Network, Node, Piece, VolumeSpec};

/// Wave speed (sound plus flow) that hot exhaust gas does not exceed for long, m/s. Own choice.
const HOT_WAVE_SPEED: f64 = 1250.0;
/// Wave speed that fresh charge does not exceed for long, m/s. Own choice.
const COLD_WAVE_SPEED: f64 = 580.0;
/// Courant number of the longest step.
const COURANT: f64 = 0.8;
/// Courant number of the longest step in variants of the design that the mesh was cut for.
pub const COURANT_OF_VARIANTS: f64 = 1.0;
/// Share of a volume's filling time that a step may take; the carrying on swings without end at 1.
const FILLING: f64 = 0.75;
/// Speed of sound in exhaust gas and in fresh charge, for filling times, m/s. Own choice.
const HOT_SOUND: f64 = 750.0;
/// See [`HOT_SOUND`].
const COLD_SOUND: f64 = 350.0;
/// Fewest cells of a duct: the second-order slopes need neighbours.
const FEWEST_CELLS: usize = 3;
/// Steps per cycle that exist. Points on one rung turn in lock-step, so a finer ladder leaves
/// lanes empty: a factor of two costs least over a curve.
const LADDER: [usize; 9] = [360, 720, 1440, 2880, 5760, 11520, 23040, 46080, 92160];

/// The wanted cell lengths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellLength {
    /// In ducts with fresh charge, m.
    pub cold: f64,
    /// In ducts with exhaust gas, m.
    pub hot: f64,
}

impl CellLength {
    /// Cells for the answer: 25 mm in fresh charge, 50 mm in exhaust gas.
    pub const FINE: CellLength = CellLength { cold: 0.025, hot: 0.050 };
    /// Cells for a first look: twice as long.
    pub const COARSE: CellLength = CellLength { cold: 0.050, hot: 0.100 };

    /// Both lengths times `factor`.
    pub fn times(self, factor: f64) -> CellLength {
        CellLength { cold: self.cold * factor, hot: self.hot * factor }
    }
}

/// Cells of every duct of one topology and the largest step they allow.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Number of cells of each duct.
    pub cells: Vec<usize>,
    /// Longest time step, s.
    pub longest_step: f64,
    /// The coarser mesh on which a run starts; from the same design, so that variants of it that
    /// are worked out on this mesh also share their start.
    pub(crate) start: Option<Box<Mesh>>,
}

/// The mesh of the start has so much longer cells.
const START_FACTOR: f64 = 2.0;

impl Mesh {
    /// Cuts `network` into cells of about the wanted length.
    ///
    /// Designs that are compared (steps of one value, samples of uncertain values) are worked
    /// out on the mesh of the design they vary.
    pub fn of(network: &Network, wanted: CellLength) -> Mesh {
        let start = Box::new(Mesh::alone(network, wanted.times(START_FACTOR)));
        Mesh { start: Some(start), ..Mesh::alone(network, wanted) }
    }

    fn alone(network: &Network, wanted: CellLength) -> Mesh {
        let cells: Vec<usize> = network.ducts.iter().map(|duct| cells_of(duct, wanted)).collect();
        let longest_step = (COURANT * crossing_time(network, &cells)).min(filling_step(network));
        Mesh { cells, longest_step, start: None }
    }

    /// The same cells with a step that is short enough for a variant of the design too: at most
    /// [`COURANT_OF_VARIANTS`] in its ducts. The variant must have the same ducts.
    #[must_use]
    pub fn also_for(mut self, variant: &Network) -> Mesh {
        let step =
            (COURANT_OF_VARIANTS * crossing_time(variant, &self.cells)).min(filling_step(variant));
        self.longest_step = self.longest_step.min(step);
        self.start = self.start.map(|start| Box::new(start.also_for(variant)));
        self
    }

    /// Steps per cycle at an engine speed in rad/s: the first rung of the ladder that keeps the
    /// step short enough, or the last rung.
    pub fn steps_per_cycle(&self, speed: f64) -> usize {
        let cycle_time = 4.0 * std::f64::consts::PI / speed;
        let least = cycle_time / self.longest_step;
        LADDER.into_iter().find(|&n| n as f64 >= least).unwrap_or(LADDER[LADDER.len() - 1])
    }

    /// Cell-lane updates of one cycle at a speed in rad/s.
    pub fn updates_per_cycle(&self, speed: f64) -> usize {
        self.steps_per_cycle(speed) * self.cells.iter().sum::<usize>()
    }
}

/// Time a wave takes through the quickest cell, s.
fn crossing_time(network: &Network, cells: &[usize]) -> f64 {
    let crossing = |(duct, &n): (&DuctSpec, &usize)| {
        let wave_speed = if duct.hot { HOT_WAVE_SPEED } else { COLD_WAVE_SPEED };
        duct.length() / n as f64 / wave_speed
    };
    network.ducts.iter().zip(cells).map(crossing).fold(f64::INFINITY, f64::min)
}

/// Longest step, s, in which the quickest volume takes up [`FILLING`] of what its pipes can bring:
/// a volume is carried on from its last rates, and swings when it is filled in about one step.
fn filling_step(network: &Network) -> f64 {
    let step = |(i, volume): (usize, &VolumeSpec)| {
        let end = |end: &End, piece: Option<&Piece>, left: bool| match (end.node, piece) {
            (Node::Volume(j), Some(piece)) if j == i => {
                end.opening * if left { piece.area_left } else { piece.area_right }
            }
            _ => 0.0,
        };
        let area = network.ducts.iter().map(|duct| {
            end(&duct.left, duct.pieces.first(), true) + end(&duct.right, duct.pieces.last(), false)
        });
        let sound = if volume.hot { HOT_SOUND } else { COLD_SOUND };
        FILLING * volume.volume / (area.sum::<f64>() * sound).max(f64::MIN_POSITIVE)
    };
    network.volumes.iter().enumerate().map(step).fold(f64::INFINITY, f64::min)
}

fn cells_of(duct: &DuctSpec, wanted: CellLength) -> usize {
    let length = if duct.hot { wanted.hot } else { wanted.cold };
    ((duct.length() / length).round() as usize).max(FEWEST_CELLS)
}
