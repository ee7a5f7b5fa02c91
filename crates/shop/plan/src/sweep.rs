//! Curves over one or two values.

use crate::ask::Ask;
use crate::error::PlanError;
use crate::prediction::Prediction;
use crate::watch::Watch;
use shortblock_cycle::Executor;
use shortblock_engine::Build;

/// A value to go through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vary {
    /// Path of the value, `intake.runner.length`.
    pub path: String,
    /// Its values, typed as in a file: "50 mm".
    pub values: Vec<String>,
}

/// One curve of a sweep.
#[derive(Debug, Clone)]
pub struct Swept {
    /// Path and value as typed, one or two.
    pub values: Vec<(String, String)>,
    /// The prediction, or why there is none with these values.
    pub prediction: Result<Prediction, PlanError>,
}

/// Predicts the build with every value of one path, or every pair of values of two, all at the
/// same speeds. The last path changes fastest.
///
/// # Errors
/// No path, more than two, a path without values; stopped. A value that doesn't fit the build is
/// told in its own place.
pub fn sweep(
    build: &Build,
    vary: &[Vary],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Vec<Swept>, PlanError> {
    let _ = (build, vary, ask, executor, watch);
    Err(PlanError::Ask {
        what: "sweeps are not worked out yet".into(),
        hint: "predict the values one by one".into(),
    })
}
