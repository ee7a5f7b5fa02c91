//! The ± of a curve.

/// The samples behind a ±.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// ln of each sample's torque over the predicted one, `[sample][speed of the curve]`.
    pub deviations: Vec<Vec<f64>>,
}
