//! A network of ducts, volumes and cylinders run to a repeating cycle.
//!
//! Describe a design as a [`Network`], cut it into a [`Mesh`], ask for operating points with
//! [`run`]. Points, designs or samples are worked out in lock-step lanes (see `shortblock-lanes`)
//! with the vector instructions that the processor has. The cycle is full load, four-stroke,
//! spark ignition.

#![deny(missing_docs)]

#[cfg(test)]
extern crate self as shortblock_cycle;

#[cfg(test)]
mod balance;
mod batch;
mod build;
mod carry;
mod close;
#[cfg(test)]
#[allow(dead_code)]
#[path = "../tests/designs/mod.rs"]
mod designs;
mod ends;
mod engine;
mod error;
mod gas_exchange;
mod level;
mod loss;
mod mesh;
mod network;
mod outcome;
mod point;
mod prepare;
mod run;
mod spark;
mod stage;
mod surfaces;
mod table;
mod trace;
mod vapour;

pub use error::{CycleError, LastGood};
pub use mesh::{COURANT_OF_VARIANTS, CellLength, Mesh};
pub use network::{
    Combustion, CylinderSpec, DuctSpec, End, Friction, Network, Node, OpeningSpec, Piece, Side,
    ValveFlow, VolumeSpec,
};
pub use point::{Convergence, CylinderPoint, Demand, Point};
pub use prepare::SPEED_RANGE;
pub use run::{Executor, Job, Serial, Unwatched, Watch, run};
pub use shortblock_lanes::Level;
pub use trace::{Column, Station, Trace, trace};

/// Gases carried along beside the air: fuel vapour and burned gas.
const SCALARS: usize = 2;
/// Index of fuel vapour among them.
const FUEL: usize = 0;
/// Index of burned gas among them.
const BURNED: usize = 1;

/// Width of the numbers the gas dynamics are worked out in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Precision {
    /// 64 bits.
    F64,
    /// 32 bits; the closed part stays in 64.
    F32,
}

/// How points are worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Vector instructions.
    pub level: Level,
    /// Number width.
    pub precision: Precision,
    /// Largest distance of trapped masses and works from those of the cycle that repeats, relative,
    /// as far as the last changes tell it.
    pub tolerance: f64,
    /// Cycles after which a point is given up as not converged.
    pub most_cycles: usize,
    /// Whether a coarser mesh is turned over first.
    pub coarse_start: bool,
    /// Whether a first look will do: one cylinder seeks the spark for all, in longer steps of the
    /// closed part, and a knock limit found at the end moves it no more.
    pub first_look: bool,
}

/// Tolerance of a first look.
const FIRST_LOOK_TOLERANCE: f64 = 5e-3;

impl Settings {
    /// The usual settings on this processor.
    pub fn usual() -> Settings {
        Settings {
            level: Level::best(),
            precision: Precision::F64,
            tolerance: 1e-3,
            most_cycles: 40,
            coarse_start: true,
            first_look: false,
        }
    }

    /// The same for a first look, in narrow numbers.
    #[must_use]
    pub fn for_a_first_look(self) -> Settings {
        let tolerance = self.tolerance.max(FIRST_LOOK_TOLERANCE);
        Settings { precision: Precision::F32, tolerance, first_look: true, ..self }
    }
}
