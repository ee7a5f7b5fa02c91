//! The closed part of the cycle, from intake closing to exhaust opening, in two zones.

mod case;
mod mixture;
mod result;

pub use case::*;
pub use mixture::Mixture;
pub use result::*;

use crate::CylinderError;

/// Largest step while the charge burns, degrees.
pub const STEP_DEG: f64 = 1.0;
/// Range in which the spark is searched, degrees after firing dead centre.
pub const SPARK_RANGE_DEG: (f64, f64) = (-70.0, 15.0);

/// Integrates the closed part for the spark asked for.
///
/// # Errors
/// [`CylinderError::Setting`] for a setting out of its range, [`CylinderError::State`] with the
/// angle and the last good state when the gas leaves the range of its properties.
pub fn solve(case: &ClosedCase, spark: SparkDemand) -> Result<ClosedResult, CylinderError> {
    let _ = (case, spark);
    Err(CylinderError::Setting {
        what: "closed part",
        value: 0.0,
        need: "integrated, which this commit does not do yet",
    })
}
