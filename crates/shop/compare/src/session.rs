//! What one session teaches of the scatter.

use crate::components::Source;
use crate::history::{SessionScatter, Spread};
use crate::scatter::{BAND_RPM, Change};
use crate::select::Data;
use nalgebra::{DMatrix, DVector};

/// Pull variance in bands of 250 rpm from residuals (one row a pull, one column a speed).
pub(crate) fn scatter(
    speeds_rpm: &[f64],
    residuals: &DMatrix<f64>,
    dof: f64,
    resels_per_1000_rpm: Option<f64>,
) -> SessionScatter {
    let from_rpm = (speeds_rpm[0] / BAND_RPM).floor() * BAND_RPM;
    let band = |rpm: f64| ((rpm - from_rpm) / BAND_RPM).floor() as usize;
    let last = band(speeds_rpm[speeds_rpm.len() - 1]);
    let mut sums = vec![(0.0, 0usize); last + 1];
    for (rpm, e) in speeds_rpm.iter().zip(residuals.column_iter()) {
        let sum = &mut sums[band(*rpm)];
        sum.0 += e.norm_squared() / dof;
        sum.1 += 1;
    }
    let mean = |(sum, count): &(f64, usize)| (*count > 0).then(|| sum / *count as f64);
    SessionScatter {
        dof,
        from_rpm,
        variances: sums.iter().map(mean).collect(),
        resels_per_1000_rpm,
    }
}

/// Pulls of one build between two refits.
struct Fit {
    /// Build, dyno, session.
    group: (bool, usize, u32),
    block: u32,
    sum: f64,
    pulls: f64,
}

/// Variance of refitting from builds fitted more than once in a session: variance of the refits'
/// means less what pulls make of it (one-way random effects by moments; ISO 5725-2, 7.4). Drift goes
/// into it. `pull_variance` is that of the same `means`.
pub(crate) fn refit_spread(
    data: &Data,
    change: Change,
    pull_variance: f64,
    means: &DVector<f64>,
) -> Option<Spread> {
    let mut fits: Vec<Fit> = Vec::new();
    for (spot, y) in data.spots.iter().zip(means.iter()) {
        let group = (spot.b, spot.dyno, spot.session);
        match fits.iter_mut().find(|f| f.group == group && f.block == spot.block) {
            Some(fit) => {
                fit.sum += y;
                fit.pulls += 1.0;
            }
            None => fits.push(Fit { group, block: spot.block, sum: *y, pulls: 1.0 }),
        }
    }
    let (mut squares, mut expected, mut dof) = (0.0, 0.0, 0.0);
    let mut groups: Vec<_> = fits.iter().map(|f| f.group).collect();
    groups.sort_unstable();
    groups.dedup();
    for group in groups {
        let of: Vec<_> = fits.iter().filter(|f| f.group == group).collect();
        let k = of.len() as f64;
        let mean = of.iter().map(|f| f.sum / f.pulls).sum::<f64>() / k;
        squares += of.iter().map(|f| (f.sum / f.pulls - mean).powi(2)).sum::<f64>();
        expected += (k - 1.0) / k * of.iter().map(|f| pull_variance / f.pulls).sum::<f64>();
        dof += k - 1.0;
    }
    let variance = (squares - expected) / dof;
    (dof > 0.0).then_some(Spread { source: Source::Refit, change, variance, dof })
}
