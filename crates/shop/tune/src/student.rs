//! Quantiles that the loops need.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Two-sided 95 % quantile of Student's t ("19 times in 20").
pub(crate) fn nineteen_in_twenty(dof: f64) -> f64 {
    match StudentsT::new(0.0, 1.0, dof) {
        Ok(t) => t.inverse_cdf(0.975),
        Err(_) => f64::INFINITY,
    }
}

/// Probability that a standard normal value lies below `z`.
pub(crate) fn normal_below(z: f64) -> f64 {
    Normal::standard().cdf(z)
}
