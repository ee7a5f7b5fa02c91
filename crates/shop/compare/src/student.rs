//! Student's t for any number of degrees of freedom, fractions included.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Beyond this many degrees of freedom t is normal to nine digits of its quantiles' use here.
const NORMAL_FROM: f64 = 1.0e7;

/// Value that t with `dof` degrees of freedom stays under with probability `p`.
pub(crate) fn quantile(p: f64, dof: f64) -> f64 {
    match student(dof) {
        Some(t) => t.inverse_cdf(p),
        None => Normal::standard().inverse_cdf(p),
    }
}

/// Probability that t with `dof` degrees of freedom lies above `t`.
pub(crate) fn upper_tail(t: f64, dof: f64) -> f64 {
    match student(dof) {
        Some(distribution) => distribution.sf(t),
        None => Normal::standard().sf(t),
    }
}

/// Probability that a standard normal value lies below `z`.
pub(crate) fn normal_below(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

fn student(dof: f64) -> Option<StudentsT> {
    if dof >= NORMAL_FROM { None } else { StudentsT::new(0.0, 1.0, dof).ok() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed tables of Student's t (any handbook; here from memory): 2.776, 4.604, 2.228.
    #[test]
    fn quantiles_are_those_of_the_printed_table() {
        for (p, dof, t) in [(0.975, 4.0, 2.776), (0.995, 4.0, 4.604), (0.975, 10.0, 2.228)] {
            assert!((quantile(p, dof) - t).abs() < 5e-4);
            assert!((upper_tail(quantile(p, dof), dof) - (1.0 - p)).abs() < 1e-10);
        }
        assert!((quantile(0.975, f64::INFINITY) - 1.959964).abs() < 1e-6);
    }
}
