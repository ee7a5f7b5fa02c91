//! Builds laid over each other on the same samples.

use crate::ask::Ask;
use crate::error::PlanError;
use crate::prediction::{Figure, Prediction};
use crate::watch::Watch;
use shortblock_curve::{Difference, Predicted};
use shortblock_cycle::Executor;
use shortblock_engine::Build;

/// One build less another.
#[derive(Debug, Clone)]
pub struct BuildDifference {
    /// Torque and power over speed, with their own ±.
    pub curve: Difference<Predicted>,
    /// Of best torque, N·m, wherever each stands.
    pub best_torque: Figure,
    /// Of best power, W, wherever each stands.
    pub best_power: Figure,
    /// Of the mean torque over the range, N·m; `None` when a curve does not cover it.
    pub average_torque: Option<Figure>,
    /// Of the mean power over the range, W.
    pub average_power: Option<Figure>,
    /// Chance that the build makes more power on average over the range, 0 to 1.
    pub chance_of_gain: Option<f64>,
}

/// Builds laid over each other.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Each build's own prediction, in the order given.
    pub predictions: Vec<Prediction>,
    /// Each build after the first less the first.
    pub differences: Vec<BuildDifference>,
}

/// Predicts builds at the same speeds and lays each over the first.
///
/// # Errors
/// As [`predict`](crate::predict), for any of the builds; fewer than two builds.
pub fn compare(
    builds: &[&Build],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Comparison, PlanError> {
    let _ = (builds, ask, executor, watch);
    Err(PlanError::Ask {
        what: "comparisons are not worked out yet".into(),
        hint: "predict the builds one by one".into(),
    })
}
