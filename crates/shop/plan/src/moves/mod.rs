//! What moves the curve: one sensible step of each value, ranked.

mod spread;

use crate::ask::Ask;
use crate::band::laid;
use crate::discrepancy::{of_change, of_change_of_mean};
use crate::error::PlanError;
use crate::figures::average_range;
use crate::gas_dynamics::GasDynamics;
use crate::predict::{curves, in_conditions, stages};
use crate::prediction::Figure;
use crate::solver::{Asked, Solver, Trial};
use crate::speeds::speeds;
use crate::watch::{Stage, Staged, Watch};
use shortblock_curve::{Curve, Predicted, Quantity};
use shortblock_cycle::{CellLength, CycleError, Executor, Point};
use shortblock_engine::{Build, Value};
use shortblock_units::Origin;
use spread::Spread;

/// What a step of one value does.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// Path of the value.
    pub path: String,
    /// The value as it is, SI.
    pub from: f64,
    /// The step taken, SI; below zero where a step up leaves what is possible.
    pub step: f64,
    /// Quantity of both.
    pub quantity: shortblock_units::Quantity,
    /// Where the value comes from.
    pub origin: Origin,
    /// Change of torque at each speed of [`Moves::speeds`], N·m.
    pub torque: Vec<Figure>,
    /// Change of best torque, N·m.
    pub best_torque: Figure,
    /// Change of best power, W.
    pub best_power: Figure,
    /// Change of mean torque over the range, N·m.
    pub average_torque: Figure,
    /// Change of best power when the value is off by its whole ±, W: what not knowing it costs.
    pub not_knowing: f64,
}

/// What moves a build.
#[derive(Debug, Clone, PartialEq)]
pub struct Moves {
    /// Speeds, rad/s.
    pub speeds: Vec<f64>,
    /// Range of the averages, rad/s.
    pub range: (f64, f64),
    /// Effects, the largest change of best power first; the first of them with their ±.
    pub effects: Vec<Effect>,
    /// Values that act on nothing in this build.
    pub idle: Vec<String>,
    /// Values whose step could not be worked out, and why.
    pub failed: Vec<(String, String)>,
}

/// Takes one sensible step of each value that acts, all on one coarse mesh, and ranks what it does.
///
/// The effects are ratios of coarse curves laid on the curve of the asked quality. With
/// `ask.plus_minus` the first `most` have the ± of a difference: build and step on the same samples
/// of what is uncertain, on two meshes, and what the model has wrong about a change. That a new part
/// is not quite what is written comes on top. The others have none.
///
/// # Errors
/// As [`predict`](crate::predict).
pub fn moves(
    build: &Build,
    ask: &Ask,
    most: usize,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Moves, PlanError> {
    moves_with(&GasDynamics, build, ask, most, executor, watch)
}

/// Speeds at which steps run; between them ratios are laid on the curve.
const STEP_SPEEDS: usize = 7;

/// A value moved by its step.
struct Step {
    path: String,
    value: Value,
    by: f64,
    build: Build,
}

pub(crate) fn moves_with(
    solver: &dyn Solver,
    build: &Build,
    ask: &Ask,
    most: usize,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Moves, PlanError> {
    let build = &*in_conditions(build, ask)?;
    let with = if ask.plus_minus { most } else { 0 };
    let ask = &Ask { plus_minus: false, ..ask.clone() };
    let speeds = speeds(build, ask)?;
    let (steps, mut failed) = steps(build);
    let mut ahead = stages(ask, speeds.len(), 1);
    ahead.push((Stage::Steps, (steps.len() + 1) * STEP_SPEEDS.min(speeds.len())));
    if with > 0 {
        ahead.extend(spread::stages(with.min(steps.len()), speeds.len()));
    }
    watch.expect(&ahead);
    let one = curves(solver, build, &[build], &speeds, ask, executor, watch)?;
    let curve = one.into_iter().next().unwrap_or(Err(PlanError::Stopped))?.curve;
    let range = average_range(build, ask, &curve);
    let rows = ratios(solver, build, &steps, &curve, ask, executor, watch)?;
    let (mut done, mut idle) = (Vec::new(), Vec::new());
    for (step, row) in steps.iter().zip(rows) {
        match row.map(|row| Some((effect(step, &curve, &row, range, None)?, row))) {
            Ok(Some((effect, _))) if effect.torque.iter().all(|t| t.value == 0.0) => {
                idle.push(effect.path);
            }
            Ok(Some((effect, row))) => done.push((effect, step, row)),
            Ok(None) => failed.push((step.path.clone(), "no torque to compare".to_owned())),
            Err(why) => failed.push((step.path.clone(), why)),
        }
    }
    let size = |effect: &Effect| effect.best_power.value.abs();
    done.sort_by(|(a, ..), (b, ..)| size(b).total_cmp(&size(a)));
    let first: Vec<&Step> = done.iter().take(with).map(|(_, step, _)| *step).collect();
    if !first.is_empty() {
        let spreads = spread::spreads(solver, build, &first, &curve, ask, executor, watch)?;
        for ((effect, step, row), spread) in done.iter_mut().zip(&spreads) {
            if let Some(with) = self::effect(step, &curve, row, range, Some(spread)) {
                *effect = with;
            }
        }
    }
    let effects = done.into_iter().map(|(effect, ..)| effect).collect();
    Ok(Moves { speeds: curve.speed().to_vec(), range, effects, idle, failed })
}

/// What each step does: ln of its torque over the build's at each speed of the curve, or why not.
fn ratios(
    solver: &dyn Solver,
    build: &Build,
    steps: &[Step],
    curve: &Curve<Predicted>,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Vec<Result<Vec<f64>, String>>, PlanError> {
    let at: Vec<f64> = spread_over(curve.len(), STEP_SPEEDS).map(|i| curve.speed()[i]).collect();
    let mut trials = vec![Trial::of(build, ask)];
    trials.extend(steps.iter().map(|step| Trial::of(&step.build, ask)));
    let (cells, settings) = (CellLength::COARSE, ask.of_samples());
    let asked = Asked { centre: build, trials: &trials, speeds: &at, cells, settings };
    let worked = solver.work_out(&asked, executor, &Staged { watch, stage: Stage::Steps })?;
    if watch.stop() {
        return Err(PlanError::Stopped);
    }
    let mut rows = worked.rows.into_iter();
    let centre = rows.next().map_or_else(Vec::new, |row| torques(&row));
    let each = rows
        .map(|row| laid(&at, &torques(&row), &centre, curve.speed()).ok_or_else(|| reason(&row)));
    Ok(each.collect())
}

/// The build with each value moved up by its step, or down where up makes no engine.
fn steps(build: &Build) -> (Vec<Step>, Vec<(String, String)>) {
    let (mut steps, mut failed) = (Vec::new(), Vec::new());
    for (path, value) in build.parameters() {
        let Some(step) = build.step(path).filter(|step| *step > 0.0) else { continue };
        let moved = |by: f64| build.with_si(path, value.si + by).map(|build| (by, build));
        match moved(step).or_else(|_| moved(-step)) {
            Ok((by, build)) => {
                steps.push(Step { path: path.to_owned(), value: value.clone(), by, build });
            }
            Err(faults) => {
                let why = faults.faults.first().map_or_else(String::new, |f| f.what.clone());
                failed.push((path.to_owned(), why));
            }
        }
    }
    (steps, failed)
}

/// At most `most` of so many speeds, evenly spread, both ends among them.
fn spread_over(count: usize, most: usize) -> impl Iterator<Item = usize> {
    let most = most.min(count);
    let last = count.saturating_sub(1) as f64;
    let parts = most.saturating_sub(1).max(1) as f64;
    (0..most).map(move |i| (i as f64 * last / parts).round() as usize)
}

type Row = Result<Vec<Result<Point, CycleError>>, PlanError>;

fn torques(row: &Row) -> Vec<Option<f64>> {
    let each = row.iter().flatten();
    each.map(|point| point.as_ref().ok().map(|point| point.brake_torque)).collect()
}

fn reason(row: &Row) -> String {
    match row {
        Err(error) => error.to_string(),
        Ok(points) => {
            let first = points.iter().find_map(|point| point.as_ref().err());
            first.map_or("no torque to compare".to_owned(), ToString::to_string)
        }
    }
}

/// What a step does to the curve; with its ± where the spread is known.
fn effect(
    step: &Step,
    curve: &Curve<Predicted>,
    deviations: &[f64],
    (low, high): (f64, f64),
    spread: Option<&Spread>,
) -> Option<Effect> {
    let torque = curve.torque().iter().zip(deviations).map(|(t, d)| t * d.exp()).collect();
    let moved = Curve::from_torque(curve.label(), curve.speed().to_vec(), torque).ok()?;
    // A figure of a curve, and the model's ± of a change of it, as shares of the figure.
    let change = |of: Of, model: &dyn Fn(f64) -> f64| {
        let (new, old) = (of(&moved)?, of(curve)?);
        let value = new - old;
        let share = if old == 0.0 { 0.0 } else { value / old };
        let plus_minus = spread.map(|spread| {
            spread.of_change(curve, deviations, value, of).hypot(model(share) * old.abs())
        });
        Some(Figure { value, plus_minus })
    };
    let at_a_speed = |share: f64| of_change(1, share);
    let best = |quantity: Quantity| change(&|curve| Some(curve.peak(quantity).value), &at_a_speed);
    let torque =
        (0..curve.len()).map(|i| change(&|curve| curve.torque().get(i).copied(), &at_a_speed));
    let best_power = best(Quantity::Power)?;
    Some(Effect {
        path: step.path.clone(),
        from: step.value.si,
        step: step.by,
        quantity: step.value.quantity,
        origin: step.value.origin,
        torque: torque.collect::<Option<Vec<Figure>>>()?,
        best_torque: best(Quantity::Torque)?,
        average_torque: if low < high {
            change(
                &|curve| Some(curve.average(Quantity::Torque, low, high).ok()?.value),
                &|share| of_change_of_mean(1, share, low, high),
            )?
        } else {
            // One speed alone: its torque is the mean.
            change(&|curve| curve.at(Quantity::Torque, low), &at_a_speed)?
        },
        not_knowing: (best_power.value * step.value.plus_minus / step.by).abs(),
        best_power,
    })
}

/// A figure of a curve, where it has one.
type Of<'a> = &'a dyn Fn(&Curve<Predicted>) -> Option<f64>;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::band::sampled;
    use crate::normal::K_95;
    use crate::samples::column;
    use crate::tests_support::{Linear, four};
    use crate::watch::Unwatched;
    use shortblock_cycle::Serial;

    fn found() -> Moves {
        let slopes = [("intake.runner.length", 0.02), ("exhaust.primary.bore", -0.03)];
        moves_with(&Linear::new(&slopes), &four(), &Ask::default(), 20, &Serial, &Unwatched)
            .unwrap()
    }

    #[test]
    fn at_one_speed_the_mean_is_its_torque() {
        let ask = Ask { speeds: Some(vec![600.0]), ..Ask::default() };
        let solver = Linear::new(&[("intake.runner.length", 0.03)]);
        let found = moves_with(&solver, &four(), &ask, 20, &Serial, &Unwatched).unwrap();
        assert!(found.failed.is_empty(), "{:?}", found.failed);
        let effect = &found.effects[0];
        assert_eq!(effect.average_torque.value, effect.torque[0].value);
        assert!(effect.average_torque.plus_minus.is_some_and(|pm| pm > 0.0 && pm.is_finite()));
    }

    #[test]
    fn what_does_something_is_ranked_and_the_rest_is_idle() {
        let moves = found();
        let mut paths: Vec<&str> = moves.effects.iter().map(|e| e.path.as_str()).collect();
        paths.sort_unstable();
        // The assumed bore of the primaries follows the exhaust valve.
        let wanted = ["exhaust.primary.bore", "exhaust.valves.diameter", "intake.runner.length"];
        assert_eq!(paths, wanted);
        assert!(moves.idle.len() > 20 && moves.failed.is_empty(), "{:?}", moves.failed);
        let size = |i: usize| moves.effects[i].best_power.value.abs();
        assert!(size(0) >= size(1));
    }

    #[test]
    fn an_effect_is_that_of_the_linear_model() {
        let moves = found();
        let build = four();
        let effect = moves.effects.iter().find(|e| e.path == "exhaust.primary.bore").unwrap();
        let value = build.item(&effect.path).unwrap().value().unwrap().clone();
        let share = (-0.03 * effect.step / (value.plus_minus / K_95)).exp() - 1.0;
        let torque = 200.0 - 60.0 * ((moves.speeds[5] - 450.0) / 350.0_f64).powi(2);
        assert!((effect.torque[5].value - torque * share).abs() < 1e-9);
        assert!(effect.not_knowing > 0.0);
        assert_eq!(effect.origin, Origin::Assumed);
    }

    #[test]
    fn only_the_first_have_a_plus_minus_and_only_when_asked() {
        let slopes = [("intake.runner.length", 0.02), ("exhaust.primary.bore", -0.03)];
        let found = |plus_minus, most| {
            let ask = Ask { plus_minus, ..Ask::default() };
            moves_with(&Linear::new(&slopes), &four(), &ask, most, &Serial, &Unwatched).unwrap()
        };
        let with = |moves: Moves| {
            let has = moves.effects.iter().map(|e| e.best_power.plus_minus.is_some());
            has.collect::<Vec<bool>>()
        };
        assert_eq!(with(found(true, 1)), [true, false, false]);
        assert_eq!(with(found(false, 20)), [false; 3]);
    }

    #[test]
    fn the_plus_minus_is_that_of_a_difference() {
        // ln T = a + slope z + step, the same z in both: u(D) / D = u(ln T), from the samples that
        // run; a bend or a mesh that acts on both alike drops out of the rest.
        let slopes = [("intake.runner.length", 0.02), ("model.flow", 0.03)];
        let mut solver = Linear::new(&slopes);
        let seed = Ask::default().seed;
        let sum = |s: usize| {
            slopes.iter().map(|(path, slope)| slope * column(seed, path)[s]).sum::<f64>()
        };
        let ratios: Vec<f64> = (0..8).map(|s| sum(s).exp() - 1.0).collect();
        let found = |solver: &Linear| {
            let ask = Ask::default();
            let moves = moves_with(solver, &four(), &ask, 1, &Serial, &Unwatched).unwrap();
            moves.effects[0].clone()
        };
        let effect = found(&solver);
        let old = 200.0;
        let value = effect.best_torque.value;
        let model = of_change(1, value / old) * old;
        let wanted = (value * sampled(&ratios)).hypot(model);
        let plus_minus = effect.best_torque.plus_minus.unwrap();
        // The hump lies between speeds of the curve.
        assert!((plus_minus / wanted - 1.0).abs() < 0.01, "{plus_minus} {wanted}");
        solver.mesh_error = 0.01;
        assert!((found(&solver).best_torque.plus_minus.unwrap() / wanted - 1.0).abs() < 0.02);
    }
}
