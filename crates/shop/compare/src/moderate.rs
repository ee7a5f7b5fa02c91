//! Moderated variance: the scatter of a few pulls held against that of earlier sessions.
//!
//! Earlier sessions' variances are taken as drawn from a scaled inverse chi-squared spread with
//! ν0 degrees of freedom around s0²; ν0 comes from the moments of their logarithms (Smyth,
//! Statistical Applications in Genetics and Molecular Biology 3 (2004) article 3, section 6.2, from
//! memory): trigamma(ν0/2) = var(ln s²) - mean trigamma(ν/2). ν0 is limited to 4..12.

use statrs::function::gamma::digamma;

/// Least and most degrees of freedom an earlier scatter may count for.
pub(crate) const LEAST_DOF: f64 = 4.0;
const MOST_DOF: f64 = 12.0;

/// Scatter expected before the session.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// Variance s0².
    pub variance: f64,
    /// Degrees of freedom ν0, 4 to 12.
    pub dof: f64,
}

/// (ν0 s0² + ν s²)/(ν0 + ν): variance after the session, where `sum_of_squares` is ν s².
pub fn moderated(prior: Prior, sum_of_squares: f64, dof: f64) -> f64 {
    (prior.dof * prior.variance + sum_of_squares) / (prior.dof + dof)
}

/// Prior from earlier sessions' (variance, degrees of freedom); `None` under three usable ones.
pub fn prior_of(sessions: &[(f64, f64)]) -> Option<Prior> {
    let usable: Vec<(f64, f64)> = sessions
        .iter()
        .copied()
        .filter(|&(s2, dof)| s2 > 0.0 && s2.is_finite() && dof >= 1.0 && dof.is_finite())
        .collect();
    let n = usable.len() as f64;
    if usable.len() < 3 {
        return None;
    }
    let logs: Vec<f64> =
        usable.iter().map(|&(s2, d)| s2.ln() - digamma(d / 2.0) + (d / 2.0).ln()).collect();
    let mean = logs.iter().sum::<f64>() / n;
    let spread = logs.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / (n - 1.0);
    let noise = usable.iter().map(|&(_, d)| trigamma(d / 2.0)).sum::<f64>() / n;
    let excess = spread - noise;
    let dof = if excess > 0.0 { 2.0 * trigamma_inverse(excess) } else { f64::INFINITY };
    let dof = dof.max(LEAST_DOF);
    let shift = if dof.is_finite() { digamma(dof / 2.0) - (dof / 2.0).ln() } else { 0.0 };
    Some(Prior { variance: (mean + shift).exp(), dof: dof.min(MOST_DOF) })
}

/// Trigamma function of `x` > 0: recurrence to 12, then the asymptotic series
/// (Abramowitz & Stegun 6.4.6 and 6.4.12, from memory), better than 1e-12 relative.
fn trigamma(x: f64) -> f64 {
    let (mut x, mut sum) = (x, 0.0);
    while x < 12.0 {
        sum += 1.0 / (x * x);
        x += 1.0;
    }
    let r = 1.0 / (x * x);
    let series = r * (1.0 / 6.0 + r * (-1.0 / 30.0 + r * (1.0 / 42.0 - r / 30.0)));
    sum + 1.0 / x + r / 2.0 + series / x
}

/// `x` with trigamma(x) = `y` > 0, by bisection in ln x between 1e-4 and 1e8.
fn trigamma_inverse(y: f64) -> f64 {
    let (mut low, mut high) = (1.0e-4_f64.ln(), 1.0e8_f64.ln());
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if trigamma(middle.exp()) > y { low = middle } else { high = middle }
    }
    (0.5 * (low + high)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// trigamma(1) = π²/6, trigamma(1/2) = π²/2 (Abramowitz & Stegun 6.4.2, 6.4.4).
    #[test]
    fn trigamma_has_its_known_values() {
        let pi2 = std::f64::consts::PI.powi(2);
        assert!((trigamma(1.0) - pi2 / 6.0).abs() < 1e-12);
        assert!((trigamma(0.5) - pi2 / 2.0).abs() < 1e-11);
        assert!((trigamma_inverse(trigamma(3.3)) - 3.3).abs() < 1e-9);
    }

    #[test]
    fn sessions_that_scatter_alike_count_for_the_most_and_unlike_ones_for_the_least() {
        let alike = prior_of(&[(1.0e-5, 6.0); 5]).unwrap();
        assert_eq!(alike.dof, MOST_DOF);
        let unlike = prior_of(&[(1e-7, 6.0), (1e-5, 6.0), (1e-3, 6.0)]).unwrap();
        assert_eq!(unlike.dof, LEAST_DOF);
        assert!(prior_of(&[(1e-5, 6.0); 2]).is_none());
    }
}
