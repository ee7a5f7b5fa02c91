//! What moves the curve: one sensible step of each value, ranked.

use crate::ask::Ask;
use crate::error::PlanError;
use crate::prediction::Figure;
use crate::watch::Watch;
use shortblock_cycle::Executor;
use shortblock_engine::Build;
use shortblock_units::{Origin, Quantity};

/// What a step of one value does.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// Path of the value.
    pub path: String,
    /// The value as it is, SI.
    pub from: f64,
    /// The step taken, SI; below zero where a step up leaves what is possible.
    pub step: f64,
    /// Quantity of both.
    pub quantity: Quantity,
    /// Where the value comes from.
    pub origin: Origin,
    /// Change of torque at each speed of [`Moves::speeds`], N·m.
    pub torque: Vec<Figure>,
    /// Change of best torque, N·m.
    pub best_torque: Figure,
    /// Change of best power, W.
    pub best_power: Figure,
    /// Change of mean torque over the range, N·m.
    pub average_torque: Figure,
    /// Change of best power when the value is off by its whole ±, W: what not knowing it costs.
    pub not_knowing: f64,
}

/// What moves a build.
#[derive(Debug, Clone, PartialEq)]
pub struct Moves {
    /// Speeds, rad/s.
    pub speeds: Vec<f64>,
    /// Range of the averages, rad/s.
    pub range: (f64, f64),
    /// Effects, the largest change of best power first.
    pub effects: Vec<Effect>,
    /// Values whose step could not be worked out, and why.
    pub failed: Vec<(String, String)>,
}

/// Takes one sensible step of each value that acts, on the coarse mesh, and ranks what it does.
///
/// # Errors
/// As [`predict`](crate::predict).
pub fn moves(
    build: &Build,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Moves, PlanError> {
    let _ = (build, ask, executor, watch);
    Err(PlanError::Ask {
        what: "effects are not worked out yet".into(),
        hint: "predict with one value changed".into(),
    })
}
