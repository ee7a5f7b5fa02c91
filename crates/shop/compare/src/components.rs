//! The model of one set of pulls: what moves a pull, how much of it reaches the difference.

use crate::covariance;
use crate::design::{Columns, Spot, columns};
use crate::estimate::{Estimate, satterthwaite};
use crate::moderate::{LEAST_DOF, Prior, moderated};
use crate::scatter::{Known, Origin, Scatter};
use crate::tried::Mode;
use nalgebra::{DMatrix, DVector, DVectorView};

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

/// Pulls of one mode.
pub(crate) struct OfMode<'a> {
    known: &'a Known,
    pub mode: Mode,
    pub rows: Vec<usize>,
    /// Degrees of freedom the pulls themselves give their scatter.
    pub dof: f64,
}

/// Model of one set. Variances of the pulls by themselves come one a mode, in the order of `modes`.
pub(crate) struct Model<'a> {
    columns: Columns,
    random: Vec<Random<'a>>,
    pub modes: Vec<OfMode<'a>>,
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
        let mut within = Vec::new();
        let mut modes = Vec::new();
        for mode in &columns.within {
            let basis = covariance::basis(&mode.columns);
            let dof = (mode.rows.len() - basis.len()) as f64;
            let known = scatter.pulls(mode.mode);
            modes.push(OfMode { known, mode: mode.mode, rows: mode.rows.clone(), dof });
            within.extend(basis);
        }
        let resels_per_1000_rpm = scatter.resels_per_1000_rpm;
        Self { columns, random, modes, speeds_rpm, within, resels_per_1000_rpm }
    }

    /// Degrees of freedom the pulls themselves give their scatter, of all modes together.
    pub fn within_dof(&self) -> f64 {
        self.modes.iter().map(|m| m.dof).sum()
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

    /// Pull variances at one speed: what was expected of it held against the residuals there.
    pub fn at_speed_moderated(&self, speed_rpm: f64, residuals: DVectorView<f64>) -> Vec<f64> {
        let one = |m: &OfMode| {
            let prior = Prior { variance: m.known.variance.at(speed_rpm), dof: m.known.dof };
            moderated(prior, m.squares(residuals), m.dof)
        };
        self.modes.iter().map(one).collect()
    }

    /// Pull variances expected before the session, mean over the range.
    pub fn expected(&self) -> Vec<f64> {
        self.modes.iter().map(|m| mean_over(self.speeds_rpm, m.known)).collect()
    }

    /// Pull variances of one figure per pull.
    pub fn moderated(&self, y: &DVector<f64>) -> Vec<f64> {
        let squares = self.sums_of_squares(y);
        let one = |(m, squares): (&OfMode, f64)| {
            let dof = m.known.dof.max(LEAST_DOF);
            moderated(Prior { variance: mean_over(self.speeds_rpm, m.known), dof }, squares, m.dof)
        };
        self.modes.iter().zip(squares).map(one).collect()
    }

    /// Sums of squares of one figure per pull beside refits (and drift where the pulls allow).
    pub fn sums_of_squares(&self, y: &DVector<f64>) -> Vec<f64> {
        let mut e = y.clone();
        for q in &self.within {
            let along = q.dot(&e);
            e.axpy(-along, q, 1.0);
        }
        self.modes.iter().map(|m| m.squares(e.as_view())).collect()
    }

    /// Weights for these pull variances; `refit` replaces the variance of refitting.
    pub fn weigh(&self, pulls: &[f64], refit: Option<f64>) -> Option<Weighted> {
        let variance = |r: &Random| match (r.source, refit) {
            (Source::Refit, Some(v)) => v,
            _ => r.variance,
        };
        let random: Vec<_> = self.random.iter().map(|r| (variance(r), &r.z)).collect();
        let mut diagonal = DVector::zeros(self.columns.fixed.nrows());
        for (mode, variance) in self.modes.iter().zip(pulls) {
            mode.rows.iter().for_each(|&i| diagonal[i] = *variance);
        }
        Some(self.weighted(covariance::weights(&self.columns.fixed, &diagonal, &random)?))
    }

    /// Weights with what each random column makes of them.
    pub fn weighted(&self, a: DVector<f64>) -> Weighted {
        let q = self.random.iter().map(|r| (r.z.tr_mul(&a)).norm_squared()).collect();
        Weighted { a, q }
    }

    /// Difference of one figure per pull.
    pub fn estimate(
        &self,
        w: &Weighted,
        y: &DVector<f64>,
        pulls: &[f64],
        refit: Option<f64>,
    ) -> Estimate {
        let parts = self.parts(w, pulls, |r| match (r.source, refit) {
            (Source::Refit, Some(v)) => v,
            _ => r.variance,
        });
        let (u2, dof) = satterthwaite(parts.into_iter());
        Estimate { delta: w.a.dot(y), standard: u2.sqrt(), dof }
    }

    /// Uncertainty at one speed: (u, degrees of freedom).
    pub fn at_speed(&self, w: &Weighted, speed_rpm: f64, pulls: &[f64]) -> (f64, f64) {
        let parts = self.parts(w, pulls, |r| r.known.variance.at(speed_rpm));
        let (u2, dof) = satterthwaite(parts.into_iter());
        (u2.sqrt(), dof)
    }

    /// Every source with its part of u². Pulls of both modes make one.
    pub fn table(&self, w: &Weighted, pulls: &[f64]) -> Vec<Component> {
        let parts = self.parts(w, pulls, |r| r.variance);
        let u2: f64 = parts.iter().map(|p| p.0).sum();
        let share = |part: f64| if u2 > 0.0 { part / u2 } else { 0.0 };
        let (own, rest) = parts.split_at(self.modes.len());
        let (sum, dof) = satterthwaite(own.iter().copied());
        let pull = Component {
            source: Source::Pull,
            variance: sum / w.a.norm_squared(),
            dof,
            origin: self.modes[0].known.origin,
            share: share(sum),
        };
        let rest = self.random.iter().zip(rest).map(|(r, part)| Component {
            source: r.source,
            variance: r.variance,
            dof: r.known.dof,
            origin: r.known.origin,
            share: share(part.0),
        });
        std::iter::once(pull).chain(rest).collect()
    }

    /// Parts of u² with their degrees of freedom: pulls of each mode, then the random columns.
    fn parts(
        &self,
        w: &Weighted,
        pulls: &[f64],
        variance: impl Fn(&Random) -> f64,
    ) -> Vec<(f64, f64)> {
        let own = self.modes.iter().zip(pulls).map(|(m, v)| {
            let squares: f64 = m.rows.iter().map(|&i| w.a[i] * w.a[i]).sum();
            (v * squares, m.known.dof + m.dof)
        });
        let rest = self.random.iter().zip(&w.q).map(|(r, q)| (variance(r) * q, r.known.dof));
        own.chain(rest).collect()
    }
}

impl OfMode<'_> {
    /// Sum of squares of the rows of this mode.
    pub fn squares(&self, e: DVectorView<f64>) -> f64 {
        self.rows.iter().map(|&i| e[i] * e[i]).sum()
    }
}

fn mean_over(speeds_rpm: &[f64], known: &Known) -> f64 {
    speeds_rpm.iter().map(|n| known.variance.at(*n)).sum::<f64>() / speeds_rpm.len() as f64
}
