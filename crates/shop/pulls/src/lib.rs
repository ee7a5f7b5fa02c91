//! Dyno logs in, pulls out: what a file says, what its columns are, where the pulls in it are, and
//! what each of them was on a grid of speeds.
//!
//! A file goes through four steps, each a view over the one before; nothing is overwritten:
//!
//! 1. a [`Log`]: columns with names, units and numbers as written;
//! 2. a [`Recording`]: the same columns as [`Channel`]s in SI, each with the reasons why;
//! 3. pulls: stretches of a recording in which speed sweeps, steps or coasts down;
//! 4. a pull on a grid of speeds, with count and scatter of every point.
//!
//! Nothing here opens a file: bytes come in, and the caller keeps them as they came.

#![deny(missing_docs)]

mod channel;
pub mod chassis;
pub mod check;
pub mod derived;
mod error;
pub mod grid;
pub mod inertia;
pub mod lag;
mod log;
mod pull;
mod recognise;
mod recording;
pub mod savgol;
mod source;
pub mod sweep;

pub use channel::Channel;
pub use error::PullsError;
pub use log::{Column, Dialect, Form, Group, Log, Warning, Words};
pub use pull::{Done, Of, Pull, Treatment};
pub use recognise::{
    Confidence, Doubt, Layout, Match, Recognition, Said, Standing, is_unit_of, recognise,
};
pub use recording::{Recorded, Recording};
pub use source::read;

/// One turn a minute, rad/s.
const RPM: f64 = std::f64::consts::PI / 30.0;
/// Above this no engine turns, rad/s, and no roller runs, m/s.
const IMPOSSIBLE: f64 = 60_000.0 * RPM;
