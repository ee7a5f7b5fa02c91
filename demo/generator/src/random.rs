//! Chance that is the same on every machine: one stream a purpose, made with `+`, `-` and `*` only.

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};

use crate::curve::{Curve, smooth};

/// Where every stream of the demo starts from.
pub const SEED: u64 = 20_260_514;

/// One stream of chance.
pub(crate) struct Random(Xoshiro256PlusPlus);

impl Random {
    /// The stream with this number; a file's stream does not move when another file changes.
    pub fn stream(number: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(SEED * 1000 + number))
    }

    /// Evenly between 0 and 1.
    fn even(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 * (1.0 / (1_u64 << 53) as f64)
    }

    /// Mean 0, standard deviation 1: the sum of twelve even numbers, which never strays past six.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }

    /// Smooth noise of standard deviation 1 at its knots, which stand `step` apart from `from` on.
    pub fn smooth(&mut self, from: f64, to: f64, step: f64) -> Smooth {
        let knots = ((to - from) / step) as usize + 4;
        Smooth { from, step, knots: (0..knots).map(|_| self.normal()).collect() }
    }
}

/// Noise that belongs together over some distance.
pub(crate) struct Smooth {
    from: f64,
    step: f64,
    knots: Vec<f64>,
}

impl Smooth {
    /// The noise at `x`; past an end that of the end.
    pub fn at(&self, x: f64) -> f64 {
        smooth(&Curve { from: self.from, step: self.step, values: &self.knots }, x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mean_and_spread_are_those_of_a_normal() {
        let mut random = Random::stream(1);
        let drawn: Vec<f64> = (0..40_000).map(|_| random.normal()).collect();
        let n = drawn.len() as f64;
        let mean = drawn.iter().sum::<f64>() / n;
        let variance = drawn.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / n;
        // Four standard errors of each: 1/sqrt(n) and sqrt(2/n).
        assert!(mean.abs() < 4.0 / n.sqrt(), "{mean}");
        assert!((variance - 1.0).abs() < 4.0 * (2.0 / n).sqrt(), "{variance}");
    }
}
