//! Samples of what is uncertain: sixteen of each value, spread evenly over its normal distribution.
//!
//! Latin hypercube sampling (McKay, Beckman & Conover 1979, from memory): every value takes the
//! same sixteen scores, in an order that follows from the seed and the value's path alone. So a
//! value has the same samples in every build, whatever else the build holds.

use crate::normal::{Chance, K_95, quantile};
use crate::record::hash_text;
use shortblock_cycle::Network;
use shortblock_engine::Build;

/// Number of samples.
pub(crate) const SAMPLES: usize = 16;

/// Standard deviations of what all engines have in common, as shares: flow into and out of the
/// cylinders, burning rate, heat to the cylinder walls, friction with auxiliaries. Start values of
/// a study on invented engines; the heat's agrees with the usual spread of Woschni's factor.
pub(crate) const CLOSURE_SD: [(&str, f64); 4] =
    [("model.flow", 0.03), ("model.burn", 0.12), ("model.heat", 0.12), ("model.friction", 0.12)];

/// Factors on the relations that all engines have in common; 1 for each as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closures {
    /// On the effective area of the valves, both sides.
    pub flow: f64,
    /// On the burning rate.
    pub burn: f64,
    /// On the heat to the cylinder walls.
    pub heat: f64,
    /// On friction with auxiliaries.
    pub friction: f64,
}

impl Closures {
    /// As they are.
    pub const ONE: Closures = Closures { flow: 1.0, burn: 1.0, heat: 1.0, friction: 1.0 };

    /// Both factors together.
    pub(crate) fn times(&self, other: &Closures) -> Closures {
        Closures {
            flow: self.flow * other.flow,
            burn: self.burn * other.burn,
            heat: self.heat * other.heat,
            friction: self.friction * other.friction,
        }
    }

    /// Factors of so many standard deviations, in the order of [`CLOSURE_SD`]; lognormal, so that
    /// none is below zero.
    pub(crate) fn at(scores: [f64; 4]) -> Closures {
        let factor = |i: usize| (scores[i] * CLOSURE_SD[i].1).exp();
        Closures { flow: factor(0), burn: factor(1), heat: factor(2), friction: factor(3) }
    }

    /// Puts the factors on a design.
    pub(crate) fn act_on(&self, network: &mut Network) {
        for cylinder in &mut network.cylinders {
            let sides = [&mut cylinder.intake, &mut cylinder.exhaust];
            for area in sides.into_iter().flat_map(|side| &mut side.effective_area) {
                *area *= self.flow;
            }
        }
        network.combustion.burn_multiplier *= self.burn;
        network.combustion.heat_multiplier *= self.heat;
        network.friction.multiplier *= self.friction;
    }
}

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
