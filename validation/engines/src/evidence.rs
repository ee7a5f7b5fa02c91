//! What the published points of an engine say about the generic numbers.

use crate::case::Case;
use crate::fit::{Evidence, Scores};
use crate::model;
use shortblock_plan::{Quality, discrepancy_covariance};

/// 95 % of a normal distribution lies within so many standard deviations.
const K_95: f64 = 1.96;
/// Samples scatter: their variance less that of the four numbers is never less than this share.
const LEAST_SHARE: f64 = 0.25;
/// Step of the slopes, prior standard deviations: well above the bumps of the response (own).
const STEP: f64 = 1.0;

/// Speeds of the points that are fitted, rad/s, rising, each once, and ln of their torque.
pub fn wanted(case: &Case) -> (Vec<f64>, Vec<f64>) {
    let mut points: Vec<(f64, f64)> =
        case.points().iter().map(|p| (p.speed, p.torque().ln())).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-6);
    points.into_iter().unzip()
}

/// ln predicted torque at the fitted points.
fn ln_torque(case: &Case, z: &Scores, quality: Quality) -> Result<Vec<f64>, String> {
    let (speeds, _) = wanted(case);
    let points = model::points(case, z, &speeds, quality)?;
    if points.len() != speeds.len() || !points.iter().all(|p| p.torque > 0.0) {
        return Err(format!("{}: a rated point could not be worked out", case.file));
    }
    Ok(points.iter().map(|p| p.torque.ln()).collect())
}

/// Change of ln torque at the fitted points by one prior standard deviation of each number:
/// central differences about the numbers as they are, on coarse cells.
pub fn slopes(case: &Case) -> Result<Vec<Scores>, String> {
    let mut slopes = vec![[0.0; 4]; wanted(case).0.len()];
    for k in 0..4 {
        let at = |by: f64| {
            let mut z = [0.0; 4];
            z[k] = by;
            ln_torque(case, &z, Quality::Coarse)
        };
        let (up, down) = (at(STEP)?, at(-STEP)?);
        for (slope, (up, down)) in slopes.iter_mut().zip(up.iter().zip(&down)) {
            slope[k] = (up - down) / (2.0 * STEP);
        }
    }
    Ok(slopes)
}

/// Residuals at `z0` on fine cells, with slopes that are kept, and the covariance: that of the
/// samples less what the four numbers do, plus rating, plus the shipped discrepancy.
pub fn linearised(
    case: &Case,
    z0: &Scores,
    slopes: &[Scores],
    spread: &[Vec<f64>],
) -> Result<Evidence, String> {
    let (speeds, published) = wanted(case);
    let centre = ln_torque(case, z0, Quality::Fine)?;
    let residual = published.iter().zip(&centre).map(|(y, f)| y - f).collect();
    let known = known(case, &speeds, spread, slopes);
    let covariance = (0..speeds.len())
        .map(|i| {
            let row = known[i].iter().zip(&speeds);
            row.map(|(known, speed)| known + discrepancy_covariance(speeds[i], *speed)).collect()
        })
        .collect();
    Ok(Evidence { residual, slopes: slopes.to_vec(), covariance, known })
}

/// Covariance of inputs, rating and rounding.
fn known(case: &Case, speeds: &[f64], spread: &[Vec<f64>], slopes: &[Scores]) -> Vec<Vec<f64>> {
    let n = speeds.len();
    let sampled = |i: usize, j: usize| {
        let count = spread.len().max(2) as f64 - 1.0;
        spread.iter().map(|row| row[i] * row[j]).sum::<f64>() / count
    };
    let kept = |i: usize| {
        let all = sampled(i, i);
        let numbers = slopes[i].iter().map(|s| s * s).sum::<f64>();
        (all - numbers).max(LEAST_SHARE * all).sqrt()
    };
    let inputs = |i: usize, j: usize| {
        let size = (sampled(i, i) * sampled(j, j)).sqrt();
        if size > 0.0 { sampled(i, j) / size * kept(i) * kept(j) } else { 0.0 }
    };
    let rating = case.build.tested_as.tolerance.si / K_95;
    let mut out = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..n {
            out[i][j] = inputs(i, j) + rating * rating;
        }
        // Two figures of one sheet are rounded apart from each other: 0.3 %, own.
        out[i][i] += 0.003_f64.powi(2);
    }
    out
}
