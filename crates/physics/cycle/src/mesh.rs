//! How finely a design is cut: cells along each duct and steps over each cycle.
//!
//! Both follow from a cell length and from the point's own speed, never from the points it is
//! worked out with, so that a result does not depend on its neighbours.

use crate::engine::HEAT_EVERY;
use crate::network::{CylinderSpec, DuctSpec, End, Network, Node, Piece, VolumeSpec};
use crate::table::CYCLE;

/// Wave speed (sound plus flow) that hot exhaust gas does not exceed for long, m/s. Own choice.
const HOT_WAVE_SPEED: f64 = 1250.0;
/// Wave speed that fresh charge does not exceed for long, m/s. Own choice.
const COLD_WAVE_SPEED: f64 = 580.0;
/// Courant number of the longest step.
const COURANT: f64 = 0.9;
/// Courant number of the longest step in variants of the design that the mesh was cut for.
pub const COURANT_OF_VARIANTS: f64 = 1.0;
/// Share of a volume's filling time that a step may take; the carrying on swings without end at 1.
const FILLING: f64 = 0.75;
/// Speed of sound in exhaust gas and in fresh charge, for filling times, m/s. Own choice.
const HOT_SOUND: f64 = 750.0;
/// See [`HOT_SOUND`].
const COLD_SOUND: f64 = 350.0;
/// Speed of sound in the residual gas of a cylinder in overlap, m/s. Own choice.
const RESIDUAL_SOUND: f64 = 600.0;
/// Crank angles of a cycle at which that rate is looked at: every 5 degrees.
const SCAVENGING_SAMPLES: usize = 144;
/// Fewest cells of a duct: the second-order slopes need neighbours.
const FEWEST_CELLS: usize = 3;
/// Fewest and most steps of a cycle.
const STEPS: (usize, usize) = (360, 92160);
/// Fewest steps on a mesh of the start.
const START_STEPS: usize = 180;

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
    /// Fewest steps of a cycle, for the events of the valves.
    fewest_steps: usize,
    /// The coarser mesh on which a run starts; from the same design, so that variants of it that
    /// are worked out on this mesh also share their start.
    pub(crate) start: Option<Box<Mesh>>,
}

/// Meshes on which a run starts.
pub(crate) const COARSENINGS: usize = 2;
/// From mesh to mesh of the start the cells are so much longer.
const START_FACTOR: f64 = 2.0;
/// A mesh with more than this share of the cells is no start: short ducts cannot be coarsened.
const WORTH_A_START: f64 = 0.75;

impl Mesh {
    /// Cuts `network` into cells of about the wanted length.
    ///
    /// Designs that are compared (steps of one value, samples of uncertain values) are worked
    /// out on the mesh of the design they vary.
    pub fn of(network: &Network, wanted: CellLength) -> Mesh {
        Mesh::with_starts(network, wanted, STEPS.0, COARSENINGS)
    }

    fn with_starts(network: &Network, wanted: CellLength, fewest_steps: usize, n: usize) -> Mesh {
        let mesh = Mesh::alone(network, wanted, fewest_steps);
        if n == 0 {
            return mesh;
        }
        let coarser = wanted.times(START_FACTOR);
        let start = Box::new(Mesh::with_starts(network, coarser, START_STEPS, n - 1));
        let count = |mesh: &Mesh| mesh.cells.iter().sum::<usize>() as f64;
        let worth = count(&start) < WORTH_A_START * count(&mesh);
        Mesh { start: worth.then_some(start), ..mesh }
    }

    /// The mesh of the start that is so often coarsened, if there is one.
    pub(crate) fn coarsened(&self, times: usize) -> Option<&Mesh> {
        (0..times).try_fold(self, |mesh, _| mesh.start.as_deref())
    }

    fn alone(network: &Network, wanted: CellLength, fewest_steps: usize) -> Mesh {
        let cells: Vec<usize> = network.ducts.iter().map(|duct| cells_of(duct, wanted)).collect();
        let longest_step = (COURANT * crossing_time(network, &cells)).min(filling_step(network));
        Mesh { cells, longest_step, fewest_steps, start: None }
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

    /// Steps per cycle at an engine speed in rad/s: as few as keep the step short enough, within
    /// bounds.
    pub fn steps_per_cycle(&self, speed: f64) -> usize {
        let cycle_time = 4.0 * std::f64::consts::PI / speed;
        let least = (cycle_time / self.longest_step).ceil() as usize;
        least.clamp(self.fewest_steps, STEPS.1).next_multiple_of(HEAT_EVERY)
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
            (Node::Volume(j) | Node::Axis(j), Some(piece)) if j == i => {
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
    let volumes = network.volumes.iter().enumerate().map(step);
    volumes.chain(network.cylinders.iter().map(scavenging_step)).fold(f64::INFINITY, f64::min)
}

/// The same for a cylinder through its valves: the quickest is the overlap, in the smallest volume.
fn scavenging_step(cylinder: &CylinderSpec) -> f64 {
    let rate = |i: usize| {
        let theta = CYCLE * i as f64 / SCAVENGING_SAMPLES as f64;
        let area = cylinder.intake.at(theta) + cylinder.exhaust.at(theta);
        area * RESIDUAL_SOUND / cylinder.mechanism.volume(theta)
    };
    let quickest = (0..SCAVENGING_SAMPLES).map(rate).fold(0.0, f64::max);
    FILLING / quickest.max(f64::MIN_POSITIVE)
}

fn cells_of(duct: &DuctSpec, wanted: CellLength) -> usize {
    let length = if duct.hot { wanted.hot } else { wanted.cold };
    ((duct.length() / length).round() as usize).max(FEWEST_CELLS)
}
