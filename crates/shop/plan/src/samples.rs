//! Samples of what is uncertain: sixteen of each value, spread evenly over its normal distribution.
//!
//! Latin hypercube sampling (McKay, Beckman & Conover 1979, from memory): every value takes the
//! same sixteen scores, in an order that follows from the seed and the value's path alone. So a
//! value has the same samples in every build, whatever else the build holds.

use crate::normal::{Chance, K_95, quantile};
use crate::record::hash_text;
use shortblock_engine::Build;

/// Number of samples.
pub(crate) const SAMPLES: usize = 16;

/// The sixteen scores: middles of equal shares of the normal distribution, stretched to a sample
/// variance of exactly 1 about a mean of 0.
pub(crate) fn scores() -> [f64; SAMPLES] {
    let mut z = [0.0; SAMPLES];
    for (i, score) in z.iter_mut().enumerate() {
        *score = quantile((i as f64 + 0.5) / SAMPLES as f64);
    }
    let variance = z.iter().map(|x| x * x).sum::<f64>() / (SAMPLES - 1) as f64;
    z.map(|x| x / variance.sqrt())
}

/// The scores of one value, sample by sample.
pub(crate) fn column(seed: u64, path: &str) -> [f64; SAMPLES] {
    let mut column = scores();
    let mut chance = Chance::new(seed ^ hash_text(path));
    for i in (1..SAMPLES).rev() {
        column.swap(i, (chance.next() % (i as u64 + 1)) as usize);
    }
    column
}

/// A value that is not known exactly.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Uncertain {
    pub path: String,
    pub si: f64,
    /// Standard deviation, SI.
    pub sd: f64,
}

/// The uncertain values of a build, but for those that were `fixed` from outside.
pub(crate) fn uncertain(build: &Build, fixed: &[&str]) -> Vec<Uncertain> {
    let free = build.parameters().filter(|(path, value)| {
        value.plus_minus > 0.0 && value.plus_minus.is_finite() && !fixed.contains(path)
    });
    free.map(|(path, value)| Uncertain {
        path: path.to_owned(),
        si: value.si,
        sd: value.plus_minus / K_95,
    })
    .collect()
}

/// Where a cam stands is moved after everything else: moving a duration or the other cam writes
/// both centrelines down again as they are.
const LAST: [&str; 2] = ["intake.cam.centreline", "exhaust.cam.centreline"];
/// A sample that makes no engine is pulled towards the centre by half, so many times.
const PULLS: usize = 3;

/// The build with each uncertain value moved by its score; the share by which the scores had to be
/// pulled in comes with it. `None` when no pull makes an engine of it.
pub(crate) fn moved(
    build: &Build,
    values: &[Uncertain],
    score: impl Fn(&str) -> f64,
) -> Option<(Build, f64)> {
    let scores: Vec<f64> = values.iter().map(|value| score(&value.path)).collect();
    (0..=PULLS).find_map(|pull| {
        let share = 0.5_f64.powi(pull as i32);
        let to = |i: usize| values[i].si + share * scores[i] * values[i].sd;
        let stage = |wanted: &dyn Fn(&str) -> bool| -> Vec<(&str, f64)> {
            let all = values.iter().enumerate();
            all.filter(|(_, v)| wanted(&v.path)).map(|(i, v)| (v.path.as_str(), to(i))).collect()
        };
        let mut moved = build.with_all_si(&stage(&|path| !LAST.contains(&path))).ok()?;
        for last in LAST {
            let moves = stage(&|path| path == last);
            if !moves.is_empty() {
                moved = moved.with_all_si(&moves).ok()?;
            }
        }
        Some((moved, share))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_have_mean_zero_and_variance_one() {
        let z = column(3, "bottom_end.bore");
        let mean = z.iter().sum::<f64>() / SAMPLES as f64;
        let variance = z.iter().map(|x| x * x).sum::<f64>() / (SAMPLES - 1) as f64;
        assert!(mean.abs() < 1e-12 && (variance - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_value_has_the_same_samples_whatever_else_there_is() {
        assert_eq!(column(1, "intake.runner.length"), column(1, "intake.runner.length"));
        assert_ne!(column(1, "intake.runner.length"), column(2, "intake.runner.length"));
        assert_ne!(column(1, "intake.runner.length"), column(1, "exhaust.primary.length"));
    }

    #[test]
    fn columns_are_independent_of_each_other() {
        // Correlation of two random orders of n has standard deviation 1/sqrt(n - 1).
        let n = 400;
        let mut sum = 0.0;
        for i in 0..n {
            let (a, b) = (column(i, "a"), column(i, "b"));
            let r = a.iter().zip(&b).map(|(x, y)| x * y).sum::<f64>() / (SAMPLES - 1) as f64;
            sum += r * r;
        }
        let mean_square = sum / n as f64;
        assert!((mean_square * 15.0 - 1.0).abs() < 0.3, "{mean_square}");
    }
}
