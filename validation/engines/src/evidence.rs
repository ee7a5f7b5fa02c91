//! What the published points and peaks of an engine say about the generic numbers.

use crate::case::{Case, Published};
use crate::figures::Figures;
use crate::fit::{Evidence, Scores};
use crate::model;
use shortblock_curve::{Curve, Predicted};
use shortblock_engine::build::RatingKind;
use shortblock_plan::{Quality, discrepancy_covariance, discrepancy_table};

/// 95 % of a normal distribution lies within so many standard deviations.
const K_95: f64 = 1.96;
/// Step of the slopes, prior standard deviations: well above the bumps of the response (own).
const STEP: f64 = 1.0;
/// Two figures of one sheet are rounded apart from each other: 0.3 %, own.
const ROUNDED: f64 = 0.003;

/// Speeds of the points that are fitted, rad/s, rising, each once, and ln of their torque.
pub fn wanted(case: &Case) -> (Vec<f64>, Vec<f64>) {
    let mut points: Vec<(f64, f64)> =
        case.points().iter().map(|p| (p.speed, p.torque().ln())).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-6);
    points.into_iter().unzip()
}

/// Published peaks, in the order of the file.
pub fn peaks(case: &Case) -> Vec<Published> {
    case.published().into_iter().filter(|p| p.kind == RatingKind::Peak).collect()
}

/// What a curve says of the published figures: ln torque at the fitted points, then ln of its best
/// for each peak.
fn figures(case: &Case, speeds: &[f64], torque: &[f64]) -> Result<Vec<f64>, String> {
    let curve: Curve<Predicted> = Curve::from_torque("", speeds.to_vec(), torque.to_vec())
        .map_err(|e| format!("{}: {e}", case.file))?;
    let at = |speed: f64| {
        let inside = speed.clamp(curve.lowest_speed(), curve.highest_speed());
        curve.at(shortblock_curve::Quantity::Torque, inside)
    };
    let points = wanted(case).0.into_iter().filter_map(at);
    let best = peaks(case).into_iter().map(|p| curve.smoothed_peak(p.quantity).value);
    Ok(points.chain(best).map(f64::ln).collect())
}

/// What the generic numbers and the inputs do to the published figures of an engine: to the fitted
/// points first, then to the peaks.
pub struct Effects {
    /// Change of each figure's ln by one prior standard deviation of each number.
    pub slopes: Vec<Scores>,
    /// Covariance of the figures' ln from inputs, rating and rounding.
    pub known: Vec<Vec<f64>>,
    /// How many figures are points.
    pub points: usize,
}

/// Central differences about the numbers as their sources have them, and samples of the inputs, on
/// coarse cells.
pub fn effects(case: &Case) -> Result<Effects, String> {
    let speeds = &case.speeds;
    let points = wanted(case).0.len();
    let mut slopes = vec![[0.0; 4]; points + peaks(case).len()];
    for k in 0..4 {
        let at = |by: f64| {
            let mut z = [0.0; 4];
            z[k] = by;
            let points = model::points(case, &z, speeds, Quality::Coarse)?;
            let speeds: Vec<f64> = points.iter().map(|p| p.speed).collect();
            let torque: Vec<f64> = points.iter().map(|p| p.torque).collect();
            figures(case, &speeds, &torque)
        };
        let (up, down) = (at(STEP)?, at(-STEP)?);
        for (slope, (up, down)) in slopes.iter_mut().zip(up.iter().zip(&down)) {
            slope[k] = (up - down) / (2.0 * STEP);
        }
    }
    let sampled = model::samples(case, speeds)?;
    let centre = figures(case, speeds, &sampled.centre)?;
    let rows = sampled.samples.iter().map(|row| figures(case, speeds, row));
    let rows = rows.collect::<Result<Vec<_>, String>>()?;
    let known = known(case, &centre, &rows);
    if known.iter().flatten().any(|x| !x.is_finite()) || centre.len() != slopes.len() {
        return Err(format!("{}: samples without torque at a rated point", case.file));
    }
    Ok(Effects { slopes, known, points })
}

/// Covariance of samples about their centre, rating and rounding.
fn known(case: &Case, centre: &[f64], samples: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let count = samples.len().max(2) as f64 - 1.0;
    let sampled = |i: usize, j: usize| {
        samples.iter().map(|row| (row[i] - centre[i]) * (row[j] - centre[j])).sum::<f64>() / count
    };
    let rating = case.build.tested_as.tolerance.si / K_95;
    let of = |i: usize, j: usize| {
        let rounded = if i == j { ROUNDED * ROUNDED } else { 0.0 };
        sampled(i, j) + rating * rating + rounded
    };
    (0..centre.len()).map(|i| (0..centre.len()).map(|j| of(i, j)).collect()).collect()
}

impl Effects {
    /// Of the fitted points alone; of the peaks alone.
    fn part(&self, peaks: bool) -> (Vec<Scores>, Vec<Vec<f64>>) {
        let part = if peaks { self.points..self.slopes.len() } else { 0..self.points };
        let known = self.known[part.clone()].iter().map(|row| row[part.clone()].to_vec());
        (self.slopes[part.clone()].to_vec(), known.collect())
    }

    /// Residuals (ln published over predicted) of points or of peaks, and their covariance: what is
    /// known plus the shipped discrepancy.
    pub fn with(&self, case: &Case, residual: Vec<f64>, of_peaks: bool) -> Evidence {
        let (slopes, known) = self.part(of_peaks);
        let speeds = wanted(case).0;
        let own = |i: usize, j: usize| match of_peaks {
            true => peak_covariance(i == j),
            false => discrepancy_covariance(speeds[i], speeds[j]),
        };
        let row = |i: usize| (0..known.len()).map(|j| known[i][j] + own(i, j)).collect();
        Evidence { residual, slopes, covariance: (0..known.len()).map(row).collect(), known }
    }
}

/// Covariance of ln of best torque and best power (or of one with itself) by the shipped table.
fn peak_covariance(itself: bool) -> f64 {
    let shared =
        discrepancy_table().iter().filter(|t| t.of == "peak" && (itself || t.name == "level"));
    shared.map(|term| term.sd * term.sd).sum()
}

/// What the generic numbers are chosen by, at `z0` on fine cells: peaks where the published ones are
/// those of the curve, since a peak at the wrong speed says little about them, else points.
pub fn linearised(case: &Case, z0: &Scores, effects: &Effects) -> Result<Evidence, String> {
    let points = model::points(case, z0, &case.speeds, Quality::Fine)?;
    let column = |of: fn(&Figures) -> f64| points.iter().map(of).collect::<Vec<f64>>();
    let predicted = figures(case, &column(|p| p.speed), &column(|p| p.torque))?;
    let published = wanted(case).1.into_iter();
    let published = published.chain(peaks(case).into_iter().map(|peak| peak.value.ln()));
    let residual: Vec<f64> = published.zip(&predicted).map(|(y, f)| y - f).collect();
    if residual.len() != effects.slopes.len() || residual.iter().any(|r| !r.is_finite()) {
        return Err(format!("{}: a rated point could not be worked out", case.file));
    }
    let (points, peaks) = residual.split_at(effects.points);
    let own = if case.peaks_known { peaks } else { points };
    Ok(effects.with(case, own.to_vec(), case.peaks_known))
}
