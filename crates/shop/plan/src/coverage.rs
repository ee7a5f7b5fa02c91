//! Proof of the ±: invented engines whose truth is known, and how often the ± holds it.
//!
//! The truth of an engine is the same engine with every uncertain value, the relations all engines
//! have in common and the model's own error drawn from their priors, on a finer mesh. This proves
//! the machinery, not the model: truth and prediction share their equations.

use crate::ask::{Ask, Quality};
use crate::closures::{Closures, NAMES};
use crate::discrepancy;
use crate::error::PlanError;
use crate::gas_dynamics::GasDynamics;
use crate::normal::Chance;
use crate::predict::predict_with;
use crate::prediction::{Figure, Prediction};
use crate::samples::{moved, uncertain};
use crate::solver::{Asked, Solver, Trial};
use crate::watch::{Stage, Staged, Watch, Within};
use shortblock_curve::{Curve, Predicted, Quantity};
use shortblock_cycle::Executor;
use shortblock_engine::Build;

/// How often the ± of one kind of figure held the truth.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Held {
    /// The figure: "torque at a speed", "best torque", "best power", "mean torque".
    pub figure: &'static str,
    /// How far the truth was off, over the ±.
    off: Vec<f64>,
    /// Half widths, as shares of the predicted figure.
    half_widths: Vec<f64>,
    /// Interval scores, as shares of the predicted figure.
    scores: Vec<f64>,
}

/// Share of misses that a 95 % interval stands for.
const ALPHA: f64 = 0.05;

impl Held {
    fn of(figure: &'static str) -> Self {
        Self { figure, ..Self::default() }
    }

    fn add(&mut self, predicted: Figure, truth: f64) {
        let Some(plus_minus) = predicted.plus_minus else { return };
        let off = (truth - predicted.value).abs();
        let scale = predicted.value.abs();
        self.off.push(off / plus_minus);
        self.half_widths.push(plus_minus / scale);
        self.scores.push((2.0 * plus_minus + 2.0 / ALPHA * (off - plus_minus).max(0.0)) / scale);
    }

    fn join(&mut self, other: Self) {
        self.off.extend(other.off);
        self.half_widths.extend(other.half_widths);
        self.scores.extend(other.scores);
    }

    /// How many figures were held against their truth.
    #[must_use]
    pub fn count(&self) -> usize {
        self.off.len()
    }

    /// How many of them a ± so many times as wide held; 1 is the ± itself.
    #[must_use]
    pub fn held(&self, times: f64) -> usize {
        self.off.iter().filter(|off| **off <= times).count()
    }

    /// Share that held, with the 95 % interval of a share (Wilson 1927, from memory). Figures at
    /// several speeds of one engine are not independent: the interval is too narrow for those.
    #[must_use]
    pub fn share(&self) -> (f64, f64, f64) {
        let n = self.count().max(1) as f64;
        let (p, z2) = (self.held(1.0) as f64 / n, 1.96 * 1.96);
        let middle = (p + 0.5 * z2 / n) / (1.0 + z2 / n);
        let half = 1.96 * (p * (1.0 - p) / n + 0.25 * z2 / (n * n)).sqrt() / (1.0 + z2 / n);
        (p, middle - half, middle + half)
    }

    /// Median half width, as a share of the figure.
    #[must_use]
    pub fn median_half_width(&self) -> f64 {
        let mut sorted = self.half_widths.clone();
        sorted.sort_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
    }

    /// Mean interval score, as a share of the figure: width plus 2/0.05 times what lies outside
    /// (Gneiting & Raftery 2007, equation 43, from memory). Smaller is better.
    #[must_use]
    pub fn interval_score(&self) -> f64 {
        self.scores.iter().sum::<f64>() / self.scores.len().max(1) as f64
    }
}

/// What came of a proof.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Coverage {
    /// By kind of figure.
    pub figures: Vec<Held>,
    /// Engines that could not be worked out, and why.
    pub failed: Vec<String>,
}

impl Coverage {
    /// Takes in what came of other engines.
    pub fn join(&mut self, other: Coverage) {
        self.failed.extend(other.failed);
        for one in other.figures {
            match self.figures.iter_mut().find(|own| own.figure == one.figure) {
                Some(own) => own.join(one),
                None => self.figures.push(one),
            }
        }
    }
}

/// Predicts each engine with its ± and holds it against a truth drawn from the priors; each engine
/// has a seed of its own, counted up from `seed`.
///
/// # Errors
/// Stopped; an engine that fails is told in [`Coverage::failed`].
pub fn coverage(
    engines: &[Build],
    seed: u64,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Coverage, PlanError> {
    coverage_with(&GasDynamics, engines, seed, ask, executor, watch)
}

pub(crate) fn coverage_with(
    solver: &dyn Solver,
    engines: &[Build],
    seed: u64,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Coverage, PlanError> {
    let mut figures =
        ["torque at a speed", "best torque", "best power", "mean torque"].map(Held::of);
    let mut failed = Vec::new();
    for (i, engine) in engines.iter().enumerate() {
        let own = seed.wrapping_add(i as u64);
        let ask = Ask { plus_minus: true, seed: own, ..ask.clone() };
        let watch = Within(watch);
        match one(solver, engine, own, &ask, executor, &watch) {
            Ok((prediction, truth)) => hold(&mut figures, &prediction, &truth),
            Err(PlanError::Stopped) => return Err(PlanError::Stopped),
            Err(error) => failed.push(format!("engine {own}: {error}")),
        }
    }
    Ok(Coverage { figures: figures.to_vec(), failed })
}

/// An engine's prediction and its truth at the same speeds.
fn one(
    solver: &dyn Solver,
    engine: &Build,
    seed: u64,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<(Prediction, Curve<Predicted>), PlanError> {
    let prediction = predict_with(solver, engine, ask, executor, watch)?;
    // Another stream than the samples': those start from the seed itself.
    let mut chance = Chance::new(seed ^ 0x7275_7468);
    let values = uncertain(engine, &[]);
    let drawn: Vec<(String, f64)> =
        values.iter().map(|value| (value.path.clone(), chance.normal())).collect();
    let score = |path: &str| drawn.iter().find(|(p, _)| p == path).map_or(0.0, |(_, z)| *z);
    let (build, _) = moved(engine, &values, score).ok_or_else(|| PlanError::Ask {
        what: "the truth makes no engine".into(),
        hint: "draw another".into(),
    })?;
    let closures = Closures::at(NAMES.map(|_| chance.normal()));
    let trials = [Trial { build: &build, closures }];
    let speeds = prediction.curve.speed();
    let cells = match ask.quality {
        Quality::Coarse => Quality::Fine.cells(),
        Quality::Fine => Quality::Fine.cells().times(0.5),
    };
    let asked = Asked { centre: &build, trials: &trials, speeds, cells, settings: ask.settings };
    let worked = solver.work_out(&asked, executor, &Staged { watch, stage: Stage::Fine })?;
    let row = worked.rows.into_iter().next().unwrap_or(Err(PlanError::Stopped))?;
    let torque = row.into_iter().zip(speeds).map(|(point, speed)| {
        let failed = |reason| PlanError::NoPoint { speed: *speed, reason: Box::new(reason) };
        Ok(point.map_err(failed)?.brake_torque)
    });
    let torque = torque.collect::<Result<Vec<f64>, PlanError>>()?;
    let errors = discrepancy::Errors::of(speeds, &torque, &mut chance).draw(&mut chance);
    let torque = torque.iter().zip(errors).map(|(torque, error)| torque * error.exp()).collect();
    Ok((prediction.clone(), Curve::from_torque("truth", speeds.to_vec(), torque)?))
}

fn hold(figures: &mut [Held; 4], prediction: &Prediction, truth: &Curve<Predicted>) {
    let plus_minus = prediction.curve.plus_minus(Quantity::Torque);
    for (i, torque) in truth.torque().iter().enumerate() {
        let plus_minus = plus_minus.and_then(|all| all.get(i).copied());
        figures[0].add(Figure { value: prediction.curve.torque()[i], plus_minus }, *torque);
    }
    figures[1].add(prediction.best_torque.figure, truth.peak(Quantity::Torque).value);
    figures[2].add(prediction.best_power.figure, truth.peak(Quantity::Power).value);
    if let Some(mean) = prediction.averages
        && let Ok(of_truth) = truth.average(Quantity::Torque, mean.low, mean.high)
    {
        figures[3].add(mean.torque, of_truth.value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests_support::{Linear, four};
    use crate::watch::Unwatched;
    use shortblock_cycle::Serial;

    #[test]
    fn the_plus_minus_holds_as_often_as_it_says() {
        let slopes = [
            ("intake.runner.length", 0.015),
            ("exhaust.primary.bore", -0.012),
            ("intake.flow_coefficient", 0.02),
            ("exhaust.flow_coefficient", 0.01),
            ("model.flow", 0.02),
            ("model.burn", 0.01),
            ("model.friction", -0.02),
        ];
        let solver = Linear { tilt: (-0.3, 1.0), ..Linear::new(&slopes) };
        let engines = vec![four(); 1000];
        let ask = Ask { speeds: Some(vec![250.0, 350.0, 450.0, 550.0, 650.0]), ..Ask::default() };
        let found = coverage_with(&solver, &engines, 7, &ask, &Serial, &Unwatched).unwrap();
        assert!(found.failed.is_empty());
        for held in &found.figures {
            let (share, ..) = held.share();
            // 1000 draws of 0.95 scatter by 0.7 %: four and a half of them either side.
            assert!((0.919..=0.981).contains(&share), "{} {share}", held.figure);
        }
        let mut twice = found.clone();
        twice.join(found.clone());
        assert_eq!(twice.figures[1].count(), 2 * found.figures[1].count());
    }

    #[test]
    fn a_plus_minus_half_as_wide_is_found_out() {
        let mut held = Held::of("best torque");
        let mut chance = Chance::new(3);
        for _ in 0..500 {
            let narrow = Figure { value: 100.0, plus_minus: Some(0.98) };
            held.add(narrow, 100.0 + chance.normal());
        }
        let (share, low, high) = held.share();
        // 0.98 standard deviations hold 67.3 % (normal tables).
        assert!(low < 0.673 && high > 0.673 && high < 0.93, "{share}");
    }

    #[test]
    fn interval_score_is_that_of_the_paper() {
        // Width 4, truth 1 outside: 4 + (2 / 0.05) x 1 = 44; inside: 4. As shares of 100.
        let mut held = Held::of("best torque");
        let figure = Figure { value: 100.0, plus_minus: Some(2.0) };
        held.add(figure, 103.0);
        assert!((held.interval_score() - 0.44).abs() < 1e-12);
        held.add(figure, 99.0);
        assert!((held.interval_score() - 0.24).abs() < 1e-12);
    }
}
