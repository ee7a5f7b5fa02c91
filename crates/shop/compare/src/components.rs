//! The model of one set of pulls: what moves a pull, how much of it reaches the difference.

use crate::covariance;
use crate::design::{Columns, Spot, columns};
use crate::estimate::{Estimate, satterthwaite};
use crate::moderate::{LEAST_DOF, Prior, moderated};
use crate::scatter::{Known, Origin, Scatter};
use nalgebra::{DMatrix, DVector};

/// What moves a pull besides the change under test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Source {
    /// Pull to pull.
    Pull,
    /// Taking parts off and putting them on.
    Refit,
    /// Another session.
    Session,
    /// Drift through a session.
    Slope,
    /// Warm-up after a stop.
    WarmUp,
    /// What the weather correction gets wrong.
    Correction,
    /// Oil temperature.
    Oil,
    /// Another dynamometer.
    Dyno,
}

/// One source in the average difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// What it is.
    pub source: Source,
    /// Its variance as used, mean over the range, fractions squared (per pull, per kelvin and so on).
    pub variance: f64,
    /// Degrees of freedom.
    pub dof: f64,
    /// Assumed or from history; pull scatter is moderated by the pulls themselves.
    pub origin: Origin,
    /// Part of u² it makes, 0 to 1.
    pub share: f64,
}

struct Random<'a> {
    source: Source,
    known: &'a Known,
    variance: f64,
    z: DMatrix<f64>,
}

/// Model of one set.
pub(crate) struct Model<'a> {
    columns: Columns,
    random: Vec<Random<'a>>,
    pull: &'a Known,
    speeds_rpm: &'a [f64],
    within: Vec<DVector<f64>>,
    pub resels_per_1000_rpm: Option<f64>,
}

/// Weights with what they were made for.
pub(crate) struct Weighted {
    pub a: DVector<f64>,
    /// aᵀ K_c a for each random column.
    q: Vec<f64>,
}

impl<'a> Model<'a> {
    pub fn new(spots: &[Spot], scatter: &'a Scatter, speeds_rpm: &'a [f64]) -> Self {
        let columns = columns(spots);
        let mean = |k: &Known| mean_over(speeds_rpm, k);
        let random = [
            (Source::Refit, &scatter.refit, &columns.block),
            (Source::Session, &scatter.session, &columns.session),
            (Source::Slope, &scatter.slope, &columns.slope),
            (Source::WarmUp, &scatter.warm_up, &columns.warm_up),
            (Source::Correction, &scatter.correction, &columns.correction),
            (Source::Oil, &scatter.oil, &columns.oil),
            (Source::Dyno, &scatter.dyno, &columns.dyno),
        ]
        .into_iter()
        .filter(|(.., z)| z.iter().any(|v| *v != 0.0))
        .map(|(source, known, z)| Random { source, known, variance: mean(known), z: z.clone() })
        .collect();
        let within = covariance::basis(&columns.within);
        let resels_per_1000_rpm = scatter.resels_per_1000_rpm;
        Self { columns, random, pull: &scatter.pull, speeds_rpm, within, resels_per_1000_rpm }
    }

    /// Degrees of freedom the pulls themselves give their scatter.
    pub fn within_dof(&self) -> f64 {
        (self.columns.fixed.nrows() - self.within.len()) as f64
    }

    /// Residuals beside refits (and drift where the pulls allow), one column a speed.
    pub fn residuals(&self, y: &DMatrix<f64>) -> DMatrix<f64> {
        let mut e = y.clone();
        for q in &self.within {
            let along = q.transpose() * &e;
            e.ger(-1.0, q, &along.transpose(), 1.0);
        }
        e
    }

    /// Pull variance expected before the session, at each speed.
    pub fn prior(&self, speed_rpm: f64) -> Prior {
        Prior { variance: self.pull.variance.at(speed_rpm), dof: self.pull.dof }
    }

    /// Pull variance expected before the session, mean over the range.
    pub fn mean_prior(&self) -> Prior {
        Prior { variance: mean_over(self.speeds_rpm, self.pull), dof: self.pull.dof.max(LEAST_DOF) }
    }

    /// Weights for a pull variance; `refit` replaces the variance of refitting.
    pub fn weigh(&self, pull_variance: f64, refit: Option<f64>) -> Option<Weighted> {
        let variance = |r: &Random| match (r.source, refit) {
            (Source::Refit, Some(v)) => v,
            _ => r.variance,
        };
        let random: Vec<_> = self.random.iter().map(|r| (variance(r), &r.z)).collect();
        let a = covariance::weights(&self.columns.fixed, pull_variance, &random)?;
        let q = self.random.iter().map(|r| (r.z.tr_mul(&a)).norm_squared()).collect();
        Some(Weighted { a, q })
    }

    /// Difference of one figure per pull.
    pub fn estimate(
        &self,
        w: &Weighted,
        y: &DVector<f64>,
        pull_variance: f64,
        refit: Option<f64>,
    ) -> Estimate {
        let parts = self.parts(w, pull_variance, |r| match (r.source, refit) {
            (Source::Refit, Some(v)) => v,
            _ => r.variance,
        });
        let (u2, dof) = satterthwaite(parts.into_iter());
        Estimate { delta: w.a.dot(y), standard: u2.sqrt(), dof }
    }

    /// Uncertainty at one speed: (u, degrees of freedom).
    pub fn at_speed(&self, w: &Weighted, speed_rpm: f64, pull_variance: f64) -> (f64, f64) {
        let parts = self.parts(w, pull_variance, |r| r.known.variance.at(speed_rpm));
        let (u2, dof) = satterthwaite(parts.into_iter());
        (u2.sqrt(), dof)
    }

    /// Pull scatter seen in `y` held against the prior.
    pub fn pull_variance(&self, prior: Prior, y: &DVector<f64>) -> f64 {
        moderated(prior, covariance::residual(&self.within, y).norm_squared(), self.within_dof())
    }

    /// Every source with its part of u².
    pub fn table(&self, w: &Weighted, pull_variance: f64) -> Vec<Component> {
        let parts = self.parts(w, pull_variance, |r| r.variance);
        let u2: f64 = parts.iter().map(|p| p.0).sum();
        let share = |part: f64| if u2 > 0.0 { part / u2 } else { 0.0 };
        let pull = Component {
            source: Source::Pull,
            variance: pull_variance,
            dof: parts[0].1,
            origin: self.pull.origin,
            share: share(parts[0].0),
        };
        let rest = self.random.iter().zip(&parts[1..]).map(|(r, part)| Component {
            source: r.source,
            variance: r.variance,
            dof: r.known.dof,
            origin: r.known.origin,
            share: share(part.0),
        });
        std::iter::once(pull).chain(rest).collect()
    }

    fn parts(
        &self,
        w: &Weighted,
        pull_variance: f64,
        variance: impl Fn(&Random) -> f64,
    ) -> Vec<(f64, f64)> {
        let pull = (pull_variance * w.a.norm_squared(), self.pull.dof + self.within_dof());
        let rest = self.random.iter().zip(&w.q).map(|(r, q)| (variance(r) * q, r.known.dof));
        std::iter::once(pull).chain(rest).collect()
    }
}

fn mean_over(speeds_rpm: &[f64], known: &Known) -> f64 {
    speeds_rpm.iter().map(|n| known.variance.at(*n)).sum::<f64>() / speeds_rpm.len() as f64
}
