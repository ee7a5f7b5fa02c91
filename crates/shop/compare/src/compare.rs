//! Two builds compared.

use crate::CompareError;
use crate::band::{Band, critical_value, resels};
use crate::components::{Component, Model, Weighted};
use crate::estimate::Estimate;
use crate::history::{SessionScatter, Spread};
use crate::interval::Interval;
use crate::plan::{Advice, plan_test};
use crate::scatter::{Known, Profile, Scatter};
use crate::select::{Data, select};
use crate::tried::PullSet;
use crate::verdict::{Evidence, Margin, Verdict, verdict};
use nalgebra::{DMatrix, DVector};

/// Resolution elements of the range where neither pulls nor history tell.
const USUAL_RESELS: f64 = 8.0;
/// Fewest resolution elements taken.
const LEAST_RESELS: f64 = 4.0;
/// Degrees of freedom from which the pulls' own smoothness is used.
const RESELS_DOF: f64 = 4.0;
/// Degrees of freedom from which it may still raise the usual number. The normalised residuals of
/// Gaussian noise give its mean right from two on: E χ(ν-1) E 1/χ(ν) = 1.
const ROUGH_DOF: f64 = 2.0;
/// Width of the peak's window, rpm.
const PEAK_RPM: f64 = 250.0;
/// Largest refit scatter looked for as a tipping point, fraction.
const LARGEST_TIPPING: f64 = 0.20;

/// What was decided before the first pull.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Build that is the yardstick.
    pub a: String,
    /// Build that is held against it.
    pub b: String,
    /// Lower end of the used range, rpm.
    pub from_rpm: f64,
    /// Upper end of the used range, rpm.
    pub to_rpm: f64,
    /// Pulls planned, of both builds together, with the extension if there is one.
    pub planned_pulls: usize,
    /// True once the plan was extended after the planned pulls were looked at.
    pub extended: bool,
    /// Smallest difference worth having.
    pub margin: Margin,
}

/// How far the plan has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Progress {
    /// Pulls are still to come: only the plainest difference is called real, "so far".
    SoFar,
    /// All planned pulls are in.
    Done,
    /// All are in after one extension.
    Extended,
}

/// Chance each answer may be wrong by chance alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    /// Of the average.
    pub average: f64,
    /// Of the band over speed.
    pub band: f64,
}

impl Progress {
    /// 0.03 for each when the plan is done; 0.001 before; 0.6 of it after an extension.
    pub fn levels(self) -> Levels {
        let level = match self {
            Self::SoFar => 0.001,
            Self::Done => 0.03,
            Self::Extended => 0.6 * 0.03,
        };
        Levels { average: level, band: level }
    }
}

/// One way to read the pulls.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The answer.
    pub verdict: Verdict,
    /// Difference of the mean over the used range.
    pub average: Estimate,
    /// Its interval at the level of the progress (97 times in 100 when the plan is done).
    pub interval: Interval,
    /// Its 90 % interval, which shows equivalence.
    pub interval_90: Interval,
    /// Difference over speed.
    pub band: Band,
    /// Pulls used of A and of B.
    pub pulls: (usize, usize),
}

/// The answer without one pull.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// Label of the pull left out.
    pub label: String,
    /// Average difference without it.
    pub average: Estimate,
    /// Answer without it.
    pub verdict: Verdict,
}

/// Everything a comparison says.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// What was asked.
    pub plan: Plan,
    /// How far the plan has come.
    pub progress: Progress,
    /// Levels used.
    pub levels: Levels,
    /// The answer, without the pulls set aside.
    pub outcome: Outcome,
    /// The answer with the pulls that were set aside after the difference was seen; `None` when
    /// there are none.
    pub with_set_aside: Option<Outcome>,
    /// Difference of the largest 250 rpm mean.
    pub peak: Estimate,
    /// Refit standard deviation (fraction) at which the average's interval touches 0; `None` when
    /// it holds 0 as it is or excludes it up to 20 %.
    pub tipping_refit: Option<f64>,
    /// The answer without each pull in turn, where both builds keep one.
    pub left_out: Vec<LeftOut>,
    /// What the ± of the average is made of.
    pub components: Vec<Component>,
    /// Standard deviation of pulls beside refits and drift, as seen, mean over the range; `None`
    /// when no degree of freedom is left for it.
    pub pull_scatter_seen: Option<f64>,
    /// Designs that could settle it, with the scatter known by now.
    pub advice: Advice,
    /// A and B share no dynamometer.
    pub different_dynos: bool,
    /// Speeds used, rpm.
    pub used_range_rpm: (f64, f64),
    /// The scatter it was worked out with, kept as it was.
    pub scatter: Scatter,
    /// What this session adds to the pull scatter of the history.
    pub for_history: Option<SessionScatter>,
    /// What this session says of refitting, when one build was fitted more than once.
    pub refit_spread: Option<Spread>,
}

/// Compares build `b` with build `a` of the plan.
///
/// Returns differences as fractions (B less A of ln torque).
///
/// # Errors
/// [`CompareError`] when a build has no pull, the grid is uneven, the range is not covered, sweep
/// rates differ uncorrected, crank and wheel are mixed, or a number is not usable.
pub fn compare(set: &PullSet, scatter: &Scatter, plan: &Plan) -> Result<Comparison, CompareError> {
    let (all, after) = select(set, plan)?;
    let data = all.without(|i| after[i]);
    let progress = progress(plan, all.spots.len());
    let levels = progress.levels();
    let no_difference = || CompareError::NoPull { build: plan.b.clone() };
    let fitted = Fitted::new(&data, scatter).ok_or_else(no_difference)?;
    let outcome = fitted.outcome(levels, plan.margin);
    let with_set_aside = if after.contains(&true) {
        Fitted::new(&all, scatter).map(|f| f.outcome(levels, plan.margin))
    } else {
        None
    };
    let seen = fitted.seen();
    Ok(Comparison {
        plan: plan.clone(),
        progress,
        levels,
        with_set_aside,
        peak: fitted.peak(),
        tipping_refit: fitted.tipping(levels.average, &outcome),
        left_out: left_out(&data, scatter, levels, plan.margin),
        components: fitted.model.table(&fitted.weighted, fitted.mean_variance),
        pull_scatter_seen: seen.map(|v| v.sqrt()),
        advice: plan_test(&fitted.known_by_now(scatter), plan.margin, plan.margin.fraction(), &[]),
        different_dynos: data.different_dynos,
        used_range_rpm: (data.speeds_rpm[0], data.speeds_rpm[data.speeds_rpm.len() - 1]),
        scatter: scatter.clone(),
        for_history: fitted.for_history(),
        refit_spread: crate::session::refit_spread(&data, scatter.change, seen, &fitted.means),
        outcome,
    })
}

/// The answer alone, as [`Comparison::outcome`] has it, at a tenth of the work.
///
/// # Errors
/// As [`compare`].
pub fn answer(set: &PullSet, scatter: &Scatter, plan: &Plan) -> Result<Outcome, CompareError> {
    let (all, after) = select(set, plan)?;
    let data = all.without(|i| after[i]);
    let levels = progress(plan, all.spots.len()).levels();
    let fitted = Fitted::new(&data, scatter)
        .ok_or_else(|| CompareError::NoPull { build: plan.b.clone() })?;
    Ok(fitted.outcome(levels, plan.margin))
}

fn progress(plan: &Plan, pulls: usize) -> Progress {
    if pulls < plan.planned_pulls {
        Progress::SoFar
    } else if plan.extended {
        Progress::Extended
    } else {
        Progress::Done
    }
}

fn left_out(data: &Data, scatter: &Scatter, levels: Levels, margin: Margin) -> Vec<LeftOut> {
    (0..data.spots.len())
        .filter_map(|out| {
            let rest = data.without(|i| i == out);
            let (a, b) = rest.counts();
            if a == 0 || b == 0 {
                return None;
            }
            let outcome = Fitted::new(&rest, scatter)?.outcome(levels, margin);
            let label = data.labels[out].clone();
            Some(LeftOut { label, average: outcome.average, verdict: outcome.verdict })
        })
        .collect()
}

/// The model with the weights it came to.
struct Fitted<'a> {
    data: &'a Data,
    model: Model<'a>,
    residuals: DMatrix<f64>,
    /// Moderated pull variance at each speed.
    variances: Vec<f64>,
    mean_variance: f64,
    weighted: Weighted,
    /// Mean over the range, one a pull.
    means: DVector<f64>,
    average_variance: f64,
}

impl<'a> Fitted<'a> {
    fn new(data: &'a Data, scatter: &'a Scatter) -> Option<Self> {
        let model = Model::new(&data.spots, scatter, &data.speeds_rpm);
        let residuals = model.residuals(&data.y);
        let nu = model.within_dof();
        let variances: Vec<f64> = data
            .speeds_rpm
            .iter()
            .zip(residuals.column_iter())
            .map(|(rpm, e)| crate::moderate::moderated(model.prior(*rpm), e.norm_squared(), nu))
            .collect();
        let mean_variance = variances.iter().sum::<f64>() / variances.len() as f64;
        let weighted = model.weigh(mean_variance, None)?;
        let means = data.y.column_mean();
        let average_variance = model.pull_variance(model.mean_prior(), &means);
        Some(Self {
            data,
            model,
            residuals,
            variances,
            mean_variance,
            weighted,
            means,
            average_variance,
        })
    }

    fn outcome(&self, levels: Levels, margin: Margin) -> Outcome {
        let average = self.model.estimate(&self.weighted, &self.means, self.average_variance, None);
        let interval = average.interval(levels.average);
        let interval_90 = average.interval(0.10);
        let band = self.band(levels.band);
        let pulls = self.data.counts();
        let verdict = verdict(&Evidence {
            delta: average.delta,
            interval,
            interval_90,
            band: &band,
            margin,
            one_pull_a_side: pulls == (1, 1),
        });
        Outcome { verdict, average, interval, interval_90, band, pulls }
    }

    fn band(&self, level: f64) -> Band {
        let delta = self.data.y.tr_mul(&self.weighted.a);
        let at = |(rpm, v): (&f64, &f64)| self.model.at_speed(&self.weighted, *rpm, *v);
        let (u, mut dofs): (Vec<f64>, Vec<f64>) =
            self.data.speeds_rpm.iter().zip(&self.variances).map(at).unzip();
        dofs.sort_by(f64::total_cmp);
        let dof = dofs[dofs.len() / 2];
        let resels = self.resels();
        let critical = critical_value(level, dof, resels, u.len());
        Band {
            speeds_rpm: self.data.speeds_rpm.clone(),
            delta: delta.iter().copied().collect(),
            half_width: u.iter().map(|u| u * critical).collect(),
            critical,
            dof,
            resels,
        }
    }

    fn span_rpm(&self) -> f64 {
        self.data.speeds_rpm[self.data.speeds_rpm.len() - 1] - self.data.speeds_rpm[0]
    }

    fn resels(&self) -> f64 {
        let nu = self.model.within_dof();
        let own = (nu >= ROUGH_DOF).then(|| resels(&self.residuals));
        let told = self.model.resels_per_1000_rpm.map(|r| r * self.span_rpm() / 1000.0);
        let few = || told.unwrap_or_else(|| own.unwrap_or(0.0).max(USUAL_RESELS));
        own.filter(|_| nu >= RESELS_DOF).unwrap_or_else(few).max(LEAST_RESELS)
    }

    fn peak(&self) -> Estimate {
        let step = self.data.speeds_rpm[1] - self.data.speeds_rpm[0];
        let window = ((PEAK_RPM / step).round() as usize + 1).min(self.data.speeds_rpm.len());
        let largest = |row: usize| {
            let y: Vec<f64> = self.data.y.row(row).iter().copied().collect();
            let means = y.windows(window).map(|w| w.iter().sum::<f64>() / window as f64);
            means.fold(f64::NEG_INFINITY, f64::max)
        };
        let peaks = DVector::from_fn(self.data.spots.len(), |i, _| largest(i));
        let variance = self.model.pull_variance(self.model.mean_prior(), &peaks);
        self.model.estimate(&self.weighted, &peaks, variance, None)
    }

    fn tipping(&self, level: f64, outcome: &Outcome) -> Option<f64> {
        let excludes = |sd: f64| -> Option<bool> {
            let refit = Some(sd * sd);
            let weighted = self.model.weigh(self.mean_variance, refit)?;
            let e = self.model.estimate(&weighted, &self.means, self.average_variance, refit);
            Some(e.interval(level).excludes_zero())
        };
        if !outcome.interval.excludes_zero() || excludes(LARGEST_TIPPING)? {
            return None;
        }
        let (mut low, mut high) = (0.0, LARGEST_TIPPING);
        for _ in 0..24 {
            let middle = 0.5 * (low + high);
            if excludes(middle)? { low = middle } else { high = middle }
        }
        Some(0.5 * (low + high))
    }

    /// Pull variance seen, mean over the range.
    fn seen(&self) -> Option<f64> {
        let nu = self.model.within_dof();
        let mean = self.residuals.norm_squared() / self.residuals.ncols() as f64;
        (nu >= 1.0).then(|| mean / nu)
    }

    fn known_by_now(&self, scatter: &Scatter) -> Scatter {
        let variance = Profile::flat(self.average_variance);
        let dof = scatter.pull.dof + self.model.within_dof();
        Scatter { pull: Known { variance, dof, ..scatter.pull.clone() }, ..scatter.clone() }
    }

    fn for_history(&self) -> Option<SessionScatter> {
        let nu = self.model.within_dof();
        let per_1000 = || 1000.0 * resels(&self.residuals) / self.span_rpm();
        let resels_per_1000_rpm = (nu >= RESELS_DOF).then(per_1000);
        (nu >= 1.0).then(|| {
            crate::session::scatter(&self.data.speeds_rpm, &self.residuals, nu, resels_per_1000_rpm)
        })
    }
}
