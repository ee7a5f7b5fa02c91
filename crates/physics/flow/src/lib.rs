//! Quasi-one-dimensional gas dynamics: ducts, their ends, openings and volumes.
//!
//! A [`Duct`] is a row of cells; [`Duct::sweep`] advances it by one step from the flows at its
//! two ends. Every end (valve, throttle, plenum, open air) is one closed form, [`end_flux`],
//! between a [`Reservoir`] and the duct's [`EndState`]; two volumes talk through [`orifice`].
//! One time step of a network has two phases: first all ends, then all sweeps and volumes.
//!
//! Everything is generic over a [`shortblock_lanes::Lane`] (operating points or candidates in
//! lock-step) and over the number `S` of transported mass fractions; gas 0 takes the rest.
//! All kernels are `inline(always)`, so that the caller's `#[target_feature]` function decides
//! the instruction set.

#![deny(missing_docs)]

mod bench;
mod duct;
mod end;
mod error;
mod gas_set;
mod geometry;
mod nozzle;
mod orifice;
mod passing;
mod riemann;
mod state;
mod step;
mod stream;
mod sweep;
mod volume;
mod wall;

pub use bench::{Bench, BenchFlow};
pub use duct::{Duct, End, Events, Scratch, Totals};
pub use end::{EndFlux, EndState, Opening, Reservoir, end_flux, wall_flux};
pub use error::FlowError;
pub use gas_set::{Gas, GasSet, Mixture};
pub use geometry::{DuctGeometry, FLANGED_END, OUTFLOW_END, UNFLANGED_END, cell_count};
pub use nozzle::Nozzle;
pub use orifice::{Flow, Yielding, orifice, yielding_orifice};
pub use passing::Passing;
pub use state::{Conserved, Primitive};
pub use stream::Stream;
pub use volume::Volume;
pub use wall::{WallHeat, heat_transfer_coefficient};
