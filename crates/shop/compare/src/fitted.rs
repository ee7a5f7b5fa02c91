//! One set of pulls with the weights that the model came to.

use crate::band::{Band, critical_value, resels};
use crate::compare::{Levels, Outcome};
use crate::components::{Component, Model, Weighted};
use crate::estimate::Estimate;
use crate::history::{SessionScatter, Spread};
use crate::scatter::{Change, Known, Profile, Scatter};
use crate::select::Data;
use crate::tried::Mode;
use crate::verdict::{Evidence, Margin, verdict};
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

/// The model of a set with its weights. Variances of the pulls come one a mode.
pub(crate) struct Fitted<'a> {
    pub data: &'a Data,
    pub model: Model<'a>,
    residuals: DMatrix<f64>,
    /// Moderated pull variances at each speed.
    variances: Vec<Vec<f64>>,
    mean_variance: Vec<f64>,
    pub weighted: Weighted,
    /// Mean over the range, one a pull.
    pub means: DVector<f64>,
    pub average_variance: Vec<f64>,
}

impl<'a> Fitted<'a> {
    /// `None` when B cannot be told from the levels.
    pub fn new(data: &'a Data, scatter: &'a Scatter) -> Option<Self> {
        let model = Model::new(&data.spots, scatter, &data.speeds_rpm);
        let residuals = model.residuals(&data.y);
        let variances: Vec<Vec<f64>> = data
            .speeds_rpm
            .iter()
            .zip(residuals.column_iter())
            .map(|(rpm, e)| model.at_speed_moderated(*rpm, e))
            .collect();
        let mean = |mode: usize| variances.iter().map(|v| v[mode]).sum::<f64>();
        let mean_variance: Vec<f64> =
            (0..model.modes.len()).map(|m| mean(m) / variances.len() as f64).collect();
        let weighted = model.weigh(&mean_variance, None)?;
        let means = data.y.column_mean();
        let average_variance = model.moderated(&means);
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

    pub fn outcome(&self, levels: Levels, margin: Margin) -> Outcome {
        let average =
            self.model.estimate(&self.weighted, &self.means, &self.average_variance, None);
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
        let at = |(rpm, v): (&f64, &Vec<f64>)| self.model.at_speed(&self.weighted, *rpm, v);
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

    pub fn peak(&self) -> Estimate {
        let step = self.data.speeds_rpm[1] - self.data.speeds_rpm[0];
        let window = ((PEAK_RPM / step).round() as usize + 1).min(self.data.speeds_rpm.len());
        let largest = |row: usize| {
            let y: Vec<f64> = self.data.y.row(row).iter().copied().collect();
            let means = y.windows(window).map(|w| w.iter().sum::<f64>() / window as f64);
            means.fold(f64::NEG_INFINITY, f64::max)
        };
        let peaks = DVector::from_fn(self.data.spots.len(), |i, _| largest(i));
        self.model.estimate(&self.weighted, &peaks, &self.model.moderated(&peaks), None)
    }

    pub fn tipping(&self, level: f64, outcome: &Outcome) -> Option<f64> {
        let excludes = |sd: f64| -> Option<bool> {
            let refit = Some(sd * sd);
            let weighted = self.model.weigh(&self.mean_variance, refit)?;
            let e = self.model.estimate(&weighted, &self.means, &self.average_variance, refit);
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

    /// What the ± of the average is made of.
    pub fn components(&self) -> Vec<Component> {
        self.model.table(&self.weighted, &self.mean_variance)
    }

    /// Pull variance seen, mean over the range.
    pub fn seen(&self) -> Option<f64> {
        let nu = self.model.within_dof();
        let mean = self.residuals.norm_squared() / self.residuals.ncols() as f64;
        (nu >= 1.0).then(|| mean / nu)
    }

    /// What a session of one mode says of refitting. The means over the range scatter less than a pull at one
    /// speed, so it is their own scatter that is taken off.
    pub fn refit_spread(&self, change: Change) -> Option<Spread> {
        let nu = self.model.within_dof();
        let of_means = self.model.sums_of_squares(&self.means).iter().sum::<f64>() / nu;
        let known = (nu >= 1.0).then_some(of_means)?;
        crate::session::refit_spread(self.data, change, known, &self.means)
    }

    /// The scatter with that of the pulls of the first mode as it is known by now.
    pub fn known_by_now(&self, scatter: &Scatter) -> Scatter {
        let variance = Profile::flat(self.average_variance[0]);
        let dof = scatter.pulls(self.model.modes[0].mode).dof + self.model.modes[0].dof;
        Scatter { pull: Known { variance, dof, ..scatter.pull.clone() }, ..scatter.clone() }
    }

    /// What the session showed of the scatter of each mode.
    pub fn for_history(&self) -> Vec<(Mode, SessionScatter)> {
        let speeds = &self.data.speeds_rpm;
        let of = self.model.modes.iter().filter(|m| m.dof >= 1.0);
        of.map(|m| {
            let e = self.residuals.select_rows(&m.rows);
            let per_1000 = || 1000.0 * resels(&e) / self.span_rpm();
            let smoothness = (m.dof >= RESELS_DOF).then(per_1000);
            (m.mode, crate::session::scatter(speeds, &e, m.dof, smoothness))
        })
        .collect()
    }
}
