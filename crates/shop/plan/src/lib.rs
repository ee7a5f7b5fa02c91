//! Prediction of a build: curve with its ±, limits, what moves it, chance of the goal.
//!
//! [`predict`] answers an [`Ask`] about a build with a [`Prediction`]. [`compare`] lays builds over
//! each other on the same samples of what is uncertain, so that the ± of a difference is worked
//! out and not derived from two bands. [`sweep`] gives curves over values, [`moves`] ranks what a
//! sensible step of each value does. Nothing here reads a clock or a file or starts a thread: work
//! goes through an [`Executor`](shortblock_cycle::Executor), progress and stopping through a
//! [`Watch`], chance takes a seed.

#![deny(missing_docs)]

mod ask;
mod band;
mod closures;
mod compare;
mod coverage;
mod discrepancy;
mod error;
mod figures;
mod gas_dynamics;
mod inputs;
mod limits;
mod moves;
mod network;
mod normal;
mod predict;
mod prediction;
mod record;
mod remarks;
mod samples;
mod solver;
mod speeds;
mod sweep;
#[cfg(test)]
mod tests_support;
mod trace;
mod watch;

pub use ask::{Ask, Conditions, Quality};
pub use band::{Band, Parts};
pub use closures::{CLOSURES, ClosureTerm, Closures, closure_table};
pub use compare::{BuildDifference, Comparison, compare};
pub use coverage::{Coverage, Held, coverage};
pub use discrepancy::{DiscrepancyTerm, discrepancy_covariance, discrepancy_table};
pub use error::PlanError;
pub use limits::{LimitCheck, Verdict, Whose};
pub use moves::{Effect, Moves, moves};
pub use network::{Design, network};
pub use predict::{TWO_MESH_FACTOR, predict};
pub use prediction::{Averages, Best, Failure, Figure, GoalCheck, Prediction};
pub use record::Record;
pub use sweep::{Sweep, Swept, Vary, sweep};
pub use trace::trace;
pub use watch::{Stage, Unwatched, Watch};
