//! At most four generic numbers chosen by maximum posterior over the engines, and again with each
//! engine left out.
//!
//! Linearised Gauss-Newton on ln of published peaks, or of torque at rated points, with a normal prior on each number's
//! ln (Tarantola, Inverse Problem Theory, 2005, ch. 3; from memory): with residual r = y - f(z),
//! slopes J and covariance C of each engine,
//! z = (1 + sum J' C^-1 J)^-1 sum J' C^-1 (r + J z0), z in prior standard deviations.

use crate::matrix::solve;

/// Flow, burn, cylinder heat, friction.
pub const NAMES: [&str; 4] = ["flow", "burn", "cylinder heat", "friction"];
/// Prior standard deviations of their ln; own, but the heat's, which is that of Woschni's factor.
pub const PRIOR_SD: [f64; 4] = [0.03, 0.12, 0.12, 0.12];
/// Standard normal scores of the four numbers.
pub type Scores = [f64; 4];

/// The factors that scores stand for.
pub fn factors(z: &Scores) -> [f64; 4] {
    std::array::from_fn(|k| (z[k] * PRIOR_SD[k]).exp())
}

/// What one engine says, linearised.
#[derive(Clone)]
pub struct Evidence {
    /// ln published torque less ln predicted, at each rated point.
    pub residual: Vec<f64>,
    /// Change of ln predicted torque by one prior standard deviation of each number.
    pub slopes: Vec<Scores>,
    /// Covariance of the residual without the four numbers: what is known, and the model's own.
    pub covariance: Vec<Vec<f64>>,
    /// What of it is known: inputs, rating, rounding.
    pub known: Vec<Vec<f64>>,
}

/// Scores and what they are known to.
#[derive(Clone)]
pub struct Posterior {
    /// Scores with the greatest posterior.
    pub z: Scores,
    /// Their covariance.
    pub covariance: Vec<Vec<f64>>,
}

impl Posterior {
    /// Standard deviations.
    pub fn sd(&self) -> [f64; 4] {
        std::array::from_fn(|k| self.covariance[k][k].sqrt())
    }
}

/// The posterior by the evidence linearised at `z0`; `None` when a covariance is none.
pub fn posterior<'a>(
    evidence: impl Iterator<Item = &'a Evidence>,
    z0: &Scores,
) -> Option<Posterior> {
    let mut a = vec![vec![0.0; 4]; 4];
    let mut b = vec![0.0; 4];
    for k in 0..4 {
        a[k][k] = 1.0;
    }
    for engine in evidence {
        let wanted: Vec<f64> = engine
            .residual
            .iter()
            .zip(&engine.slopes)
            .map(|(r, slope)| r + (0..4).map(|k| slope[k] * z0[k]).sum::<f64>())
            .collect();
        let weighted = solve(&engine.covariance, &wanted)?;
        for k in 0..4 {
            let column: Vec<f64> = engine.slopes.iter().map(|slope| slope[k]).collect();
            b[k] += column.iter().zip(&weighted).map(|(j, w)| j * w).sum::<f64>();
            let weighted_column = solve(&engine.covariance, &column)?;
            for l in 0..4 {
                let other = engine.slopes.iter().map(|slope| slope[l]);
                a[l][k] += other.zip(&weighted_column).map(|(j, w)| j * w).sum::<f64>();
            }
        }
    }
    let z = solve(&a, &b)?;
    let unit = |k: usize| (0..4).map(|i| f64::from(u8::from(i == k))).collect::<Vec<_>>();
    let covariance = (0..4).map(|k| solve(&a, &unit(k))).collect::<Option<Vec<_>>>()?;
    Some(Posterior { z: std::array::from_fn(|k| z[k]), covariance })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn engine(residual: f64, slope: f64, variance: f64) -> Evidence {
        Evidence {
            residual: vec![residual],
            slopes: vec![[slope, 0.0, 0.0, 0.0]],
            covariance: vec![vec![variance]],
            known: vec![vec![variance]],
        }
    }

    #[test]
    fn one_number_and_one_point_have_the_closed_form() {
        // Posterior mean of a normal: prior 0 ± 1, seen 0.02 with slope 0.02 and sd 0.02: one half.
        let seen = [engine(0.02, 0.02, 4e-4)];
        let found = posterior(seen.iter(), &[0.0; 4]).unwrap();
        let (z, sd) = (found.z, found.sd());
        assert!((z[0] - 0.5).abs() < 1e-12 && (sd[0] - 0.5_f64.sqrt()).abs() < 1e-12);
        assert_eq!(z[1], 0.0);
        assert!((sd[3] - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_linear_model_does_not_care_where_it_is_linearised() {
        let at = |z0: f64| engine(0.03 - 0.02 * z0, 0.02, 1e-4);
        let a = posterior([at(0.0)].iter(), &[0.0; 4]).unwrap().z;
        let b = posterior([at(1.7)].iter(), &[1.7, 0.0, 0.0, 0.0]).unwrap().z;
        assert!((a[0] - b[0]).abs() < 1e-12);
    }

    #[test]
    fn nothing_seen_leaves_the_prior() {
        let found = posterior(std::iter::empty(), &[0.3; 4]).unwrap();
        assert_eq!((found.z, found.sd()), ([0.0; 4], [1.0; 4]));
    }
}
