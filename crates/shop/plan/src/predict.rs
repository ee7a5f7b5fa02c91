//! From a build to its predicted curve.

use crate::ask::Ask;
use crate::error::PlanError;
use crate::prediction::Prediction;
use crate::watch::Watch;
use shortblock_cycle::Executor;
use shortblock_engine::Build;

/// The mesh's ± is the difference between cells twice as long and these, times this: Roache's grid
/// convergence index for two meshes, 3 / (2² - 1), safety factor 3 and the scheme's order 2
/// (J. Fluids Eng. 116, 1994; from memory).
pub const TWO_MESH_FACTOR: f64 = 1.0;

/// Predicts a build.
///
/// # Errors
/// A part that makes no network, an ask that can't be, no speed that could be worked out, stopped.
pub fn predict(
    build: &Build,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Prediction, PlanError> {
    let _ = (build, ask, executor, watch);
    Err(PlanError::Ask {
        what: "predictions are not worked out yet".into(),
        hint: "wait for the network of the build".into(),
    })
}
