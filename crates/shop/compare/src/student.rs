//! Student's t for any number of degrees of freedom, fractions included.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// From this many degrees of freedom on a quantile comes from a series: the library's loses digits
/// with every decade of them (8 are left here, none at a million).
const SERIES_FROM: f64 = 1.0e3;
/// Beyond this many degrees of freedom the tail of t is that of the normal distribution.
const NORMAL_FROM: f64 = 1.0e7;

/// Value that t with `dof` degrees of freedom stays under with probability `p`.
pub(crate) fn quantile(p: f64, dof: f64) -> f64 {
    if dof >= SERIES_FROM {
        return from_normal(Normal::standard().inverse_cdf(p), dof);
    }
    match student(dof) {
        Some(t) => t.inverse_cdf(p),
        None => Normal::standard().inverse_cdf(p),
    }
}

/// Quantile of t from that of the normal distribution, for many degrees of freedom, endless ones too
/// (Abramowitz & Stegun 26.7.5, from memory).
fn from_normal(z: f64, dof: f64) -> f64 {
    let x = z * z;
    let terms = [
        (x + 1.0) / 4.0,
        ((5.0 * x + 16.0) * x + 3.0) / 96.0,
        (((3.0 * x + 19.0) * x + 17.0) * x - 15.0) / 384.0,
        ((((79.0 * x + 776.0) * x + 1482.0) * x - 1920.0) * x - 945.0) / 92160.0,
    ];
    z * (1.0 + terms.iter().rev().fold(0.0, |sum, term| (sum + term) / dof))
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
        // SciPy 1.17.1, stats.t.ppf.
        let far = [
            (0.7514, 1_256_524.0, 0.678_902_131_687_875_8),
            (0.9975, 1_000.0, 2.813_277_860_485_553),
            (0.985, 1e9, 2.170_090_380_681_980_2),
        ];
        for (p, dof, t) in far {
            assert!(
                (quantile(p, dof) / t - 1.0_f64).abs() < 1e-12,
                "{p} {dof} {}",
                quantile(p, dof)
            );
        }
    }
}
