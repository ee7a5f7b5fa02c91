//! Two builds compared.

use crate::CompareError;
use crate::band::Band;
use crate::components::Component;
use crate::estimate::Estimate;
use crate::fitted::Fitted;
use crate::history::{SessionScatter, Spread};
use crate::interval::Interval;
use crate::modes::{ByMode, asked, first_mode, pooled};
use crate::plan::{Advice, plan_test};
use crate::scatter::Scatter;
use crate::select::{Data, select};
use crate::tried::{Mode, PullSet};
use crate::verdict::{Margin, Verdict};

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
    /// Sweeps and held speeds asked apart, where both ran both builds. Where they do not agree
    /// they are not pooled: the answer, and all else here, is then that of the mode that was run
    /// first.
    pub by_mode: Option<ByMode>,
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
    /// What this session adds to the pull scatter of the history, mode by mode.
    pub for_history: Vec<(Mode, SessionScatter)>,
    /// What this session says of refitting, when one build was fitted more than once.
    pub refit_spread: Option<Spread>,
}

/// Compares build `b` with build `a` of the plan.
///
/// Returns differences as fractions (B less A of ln torque).
///
/// # Errors
/// [`CompareError`] when a build has no pull, the grid is uneven, the range is not covered, sweep
/// rates differ uncorrected, crank and wheel are mixed, the builds were run in different ways only,
/// or a number is not usable.
pub fn compare(set: &PullSet, scatter: &Scatter, plan: &Plan) -> Result<Comparison, CompareError> {
    let (all, after) = select(set, plan)?;
    let data = all.without(|i| after[i]);
    let progress = progress(plan, all.spots.len());
    let levels = progress.levels();
    let cannot = || cannot(plan, &data);
    let (outcome, by_mode) = asked(&data, scatter, levels, plan.margin).ok_or_else(cannot)?;
    let whole = Fitted::new(&data, scatter).ok_or_else(cannot)?;
    let used = pooled(&data, by_mode.as_ref());
    let fitted = Fitted::new(&used, scatter).ok_or_else(cannot)?;
    let with_set_aside = if after.contains(&true) {
        asked(&all, scatter, levels, plan.margin).map(|(outcome, _)| outcome)
    } else {
        None
    };
    let one_mode = first_mode(&data);
    let refit_spread = Fitted::new(&one_mode, scatter).and_then(|f| f.refit_spread(scatter.change));
    Ok(Comparison {
        plan: plan.clone(),
        progress,
        levels,
        with_set_aside,
        by_mode,
        peak: fitted.peak(),
        tipping_refit: fitted.tipping(levels.average, &outcome),
        left_out: left_out(&used, scatter, levels, plan.margin),
        components: fitted.components(),
        pull_scatter_seen: fitted.seen().map(|v| v.sqrt()),
        advice: plan_test(&fitted.known_by_now(scatter), plan.margin, plan.margin.fraction(), &[]),
        different_dynos: data.different_dynos,
        used_range_rpm: (data.speeds_rpm[0], data.speeds_rpm[data.speeds_rpm.len() - 1]),
        scatter: scatter.clone(),
        for_history: whole.for_history(),
        refit_spread,
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
    let asked = asked(&data, scatter, levels, plan.margin);
    asked.map(|(outcome, _)| outcome).ok_or_else(|| cannot(plan, &data))
}

/// Why B cannot be told from the levels.
fn cannot(plan: &Plan, data: &Data) -> CompareError {
    let (a, b) = (plan.a.clone(), plan.b.clone());
    match data.counts() {
        (0, _) => CompareError::NoPull { build: a },
        (_, 0) => CompareError::NoPull { build: b },
        _ => CompareError::Apart { a, b },
    }
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
