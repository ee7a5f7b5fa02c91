//! What the model has wrong at the best of a curve: a term of its own, and curves that agree with it.
//!
//! The best of a curve is not the torque at a speed: a tuning peak at the wrong speed is wrong at
//! every speed and right at its best. So best torque and best power have their own terms, from the
//! left-out residuals of peaks. Where the rest of the curve matters too, curves of the process over
//! speed are used whose best torque and power are as far off as those terms say: of many draws the
//! one nearest to the wanted pair, its level then moved to it (nearest-neighbour conditioning;
//! own). docs/decisions/005-peaks-of-their-own.md has the reasons.

use super::{DiscrepancyTerm, Process, students_tail, terms};
use crate::normal::Chance;

/// Draws of the process to choose from.
const POOL: usize = 1000;
/// Curves behind a place or a range: their 95 % lies within 4 % of the limit, by rank (binomial law).
const DRAWS: usize = 1000;
/// The same draws every time.
const SEED: u64 = 1;

/// ± (share, coverage 95 %) of best torque or of best power, whole curve.
pub(crate) fn of_peak() -> f64 {
    terms("peak").map(DiscrepancyTerm::spread).sum::<f64>().sqrt()
}

/// A wanted pair, ln: how far best torque and best power are off. They share the level.
fn wanted(chance: &mut Chance) -> (f64, f64) {
    let mut pair = (0.0, 0.0);
    for term in terms("peak") {
        let tail = term.sd * students_tail(term.degrees, || chance.normal());
        let first = chance.normal();
        let second = if term.name == super::SHARED { first } else { chance.normal() };
        pair = (pair.0 + tail * first, pair.1 + tail * second);
    }
    pair
}

/// Curves of what the model has wrong, ln torque at each speed (rad/s) of a curve of torque: the
/// process over speed among those whose best torque and power are off as peaks are.
pub(crate) struct Errors<'a> {
    speeds: &'a [f64],
    torque: &'a [f64],
    /// Draws of the process, and what they do to best torque and power, ln.
    pool: Vec<(Vec<f64>, (f64, f64))>,
}

impl<'a> Errors<'a> {
    pub fn of(speeds: &'a [f64], torque: &'a [f64], chance: &mut Chance) -> Self {
        let process = Process::at(speeds);
        let mut errors = Self { speeds, torque, pool: Vec::new() };
        let draws = (0..POOL).map(|_| process.draw(|| chance.normal()));
        let draws = draws.map(|error| {
            let off = errors.peaks(&error);
            (error, off)
        });
        errors.pool = draws.collect();
        errors
    }

    /// What errors do to best torque and best power, ln.
    fn peaks(&self, error: &[f64]) -> (f64, f64) {
        let plain = vec![0.0; error.len()];
        let best = |error: &[f64], times: &dyn Fn(f64) -> f64| {
            let all = self.speeds.iter().zip(self.torque).zip(error);
            all.fold(f64::NEG_INFINITY, |best, ((n, t), e)| best.max(times(*n) * t * e.exp()))
        };
        let off = |times: &dyn Fn(f64) -> f64| (best(error, times) / best(&plain, times)).ln();
        (off(&|_| 1.0), off(&|speed| speed))
    }

    /// A curve whose best torque and power are off as drawn.
    pub fn draw(&self, chance: &mut Chance) -> Vec<f64> {
        let (torque, power) = wanted(chance);
        let far = |off: &(f64, f64)| (off.0 - torque).powi(2) + (off.1 - power).powi(2);
        let nearest = self.pool.iter().min_by(|a, b| far(&a.1).total_cmp(&far(&b.1)));
        let Some((error, off)) = nearest else { return Vec::new() };
        let level = 0.5 * (torque - off.0 + power - off.1);
        // No level moves a curve without torque.
        let level = if level.is_finite() { level } else { 0.0 };
        error.iter().map(|error| error + level).collect()
    }
}

/// ± (coverage 95 %) of the best of those points of a curve that are `within`: of its value, as a
/// share, and of its speed, rad/s. Points: engine speed, rad/s, torque, and the figure that is best.
pub(crate) fn of_best(
    speeds: &[f64],
    torque: &[f64],
    figure: &[f64],
    within: &dyn Fn(f64) -> bool,
) -> (f64, f64) {
    let best = |error: &[f64]| {
        let moved = figure.iter().zip(error).map(|(value, error)| value * error.exp());
        let start = (f64::NEG_INFINITY, 0.0);
        let inside = moved.zip(speeds).filter(|(_, speed)| within(**speed));
        inside.fold(start, |best, (v, s)| if v > best.0 { (v, *s) } else { best })
    };
    let (value, speed) = best(&vec![0.0; figure.len()]);
    let mut chance = Chance::new(SEED);
    let errors = Errors::of(speeds, torque, &mut chance);
    let (mut shares, mut places): (Vec<f64>, Vec<f64>) = (0..DRAWS)
        .map(|_| best(&errors.draw(&mut chance)))
        .map(|(v, s)| ((v / value).ln().abs(), (s - speed).abs()))
        .unzip();
    let (share, place) = (held(&mut shares), held(&mut places));
    if share.is_finite() { (share, place) } else { (super::at_a_speed(), 0.0) }
}

/// What 95 % of sizes do not exceed.
fn held(sizes: &mut [f64]) -> f64 {
    sizes.sort_by(f64::total_cmp);
    sizes.get(sizes.len() * 95 / 100).copied().unwrap_or(f64::NAN)
}

/// ± (share, coverage 95 %) of the mean of a figure, torque or power, over a range of the curve.
pub(crate) fn of_mean(speeds: &[f64], torque: &[f64], figure: &[f64], range: (f64, f64)) -> f64 {
    let weights = weights(speeds, range);
    let mean = |error: &[f64]| {
        let all = figure.iter().zip(error).zip(&weights);
        all.map(|((value, error), weight)| weight * value * error.exp()).sum::<f64>()
    };
    let centre = mean(&vec![0.0; figure.len()]);
    let mut chance = Chance::new(SEED);
    let errors = Errors::of(speeds, torque, &mut chance);
    let off = (0..DRAWS).map(|_| (mean(&errors.draw(&mut chance)) / centre).ln().abs());
    let share = held(&mut off.collect::<Vec<f64>>());
    if share.is_finite() { share } else { super::at_a_speed() }
}

/// Part of the range that lies nearest to each speed.
fn weights(speeds: &[f64], (low, high): (f64, f64)) -> Vec<f64> {
    let half = |a: usize, b: usize| 0.5 * (speeds[a] + speeds[b]);
    let last = speeds.len().saturating_sub(1);
    let part = |i: usize| {
        let from = if i == 0 { f64::NEG_INFINITY } else { half(i - 1, i) };
        let to = if i == last { f64::INFINITY } else { half(i, i + 1) };
        (to.min(high) - from.max(low)).max(0.0)
    };
    (0..speeds.len()).map(part).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::discrepancy::at_a_speed;

    fn hump() -> (Vec<f64>, Vec<f64>) {
        let speeds: Vec<f64> = (0..14).map(|i| 200.0 + 50.0 * i as f64).collect();
        let torque = speeds.iter().map(|n| 200.0 - 60.0 * ((n - 450.0) / 350.0).powi(2)).collect();
        (speeds, torque)
    }

    /// Student's distribution of a variance v with d degrees has the variance v d / (d - 2).
    fn variance(of: &dyn Fn(&DiscrepancyTerm) -> f64) -> f64 {
        let tails = |t: &DiscrepancyTerm| t.degrees.map_or(1.0, |d| d as f64 / (d as f64 - 2.0));
        terms("peak").map(|term| tails(term) * of(term) * term.sd.powi(2)).sum()
    }

    #[test]
    fn a_wanted_pair_has_the_written_spread_and_shares_its_level() {
        let (n, mut chance) = (40_000, Chance::new(11));
        let mut sum = (0.0, 0.0);
        for _ in 0..n {
            let (torque, power) = wanted(&mut chance);
            sum = (sum.0 + 0.5 * (torque * torque + power * power), sum.1 + torque * power);
        }
        let found = (sum.0 / n as f64, sum.1 / n as f64);
        let shared = |t: &DiscrepancyTerm| f64::from(u8::from(t.name == super::super::SHARED));
        // Student's of 9 degrees has an excess of 1.2: a variance scatters by sqrt(3.2 / n), 0.9 %;
        // the covariance by no more of the variance. Five of them.
        let all = variance(&|_| 1.0);
        assert!((found.0 / all - 1.0).abs() < 0.05, "{found:?} {all}");
        assert!((found.1 - variance(&shared)).abs() < 0.05 * all, "{found:?}");
    }

    #[test]
    fn the_best_of_the_whole_curve_is_off_as_peaks_are() {
        let (speeds, torque) = hump();
        let power: Vec<f64> = speeds.iter().zip(&torque).map(|(n, t)| n * t).collect();
        for figure in [&torque, &power] {
            let (share, place) = of_best(&speeds, &torque, figure, &|_| true);
            // The rank of 95 % of 1000 scatters by 4 % of the limit; what of a pair the nearest
            // draw leaves adds little.
            assert!((share / of_peak() - 1.0).abs() < 0.15, "{share} {}", of_peak());
            assert!(place > 0.0, "{place}");
        }
    }

    #[test]
    fn a_part_of_the_curve_is_not_known_better_than_its_peak() {
        let (speeds, torque) = hump();
        let (at_one, place) = of_best(&speeds, &torque, &torque, &|speed| speed == 250.0);
        assert_eq!(place, 0.0);
        assert!(at_one > of_peak() && at_one < 1.5 * at_a_speed(), "{at_one} {}", at_a_speed());
    }

    #[test]
    fn weights_share_the_range_out() {
        let parts = weights(&[1.0, 2.0, 4.0, 8.0], (1.5, 7.0));
        assert_eq!(parts, [0.0, 1.5, 3.0, 1.0]);
    }

    #[test]
    fn a_mean_over_a_hair_is_a_speed_and_over_more_is_known_better() {
        let (speeds, torque) = hump();
        let mean = |low: f64, high: f64| of_mean(&speeds, &torque, &torque, (low, high));
        let (at_one, _) = of_best(&speeds, &torque, &torque, &|speed| speed == 600.0);
        assert!((mean(599.0, 601.0) / at_one - 1.0).abs() < 1e-9);
        assert!(mean(200.0, 850.0) < at_one, "{} {at_one}", mean(200.0, 850.0));
    }

    #[test]
    fn a_curve_without_torque_has_the_plus_minus_of_a_speed() {
        let none = [0.0; 3];
        let found = of_best(&[100.0, 200.0, 300.0], &none, &none, &|_| true);
        assert_eq!(found, (at_a_speed(), 0.0));
    }
}
