//! From a build to its predicted curve.

use crate::ask::{Ask, Quality};
use crate::band::Band;
use crate::error::PlanError;
use crate::figures;
use crate::gas_dynamics::GasDynamics;
use crate::inputs;
use crate::limits;
use crate::prediction::{Failure, Prediction};
use crate::record::Record;
use crate::remarks;
use crate::solver::{Asked, Solver, Trial, Worked};
use crate::speeds::speeds;
use crate::watch::{Stage, Staged, Watch};
use shortblock_curve::{Curve, MonotoneCubic, Predicted, Quantity};
use shortblock_cycle::{CellLength, CycleError, Executor, Point};
use shortblock_engine::Build;
use std::borrow::Cow;

/// The mesh's ± is the difference between cells twice as long and these, times this: Roache's grid
/// convergence index for two meshes, 3 / (2² - 1), safety factor 3 and the scheme's order 2
/// (J. Fluids Eng. 116, 1994; from memory).
pub const TWO_MESH_FACTOR: f64 = 1.0;

/// The second mesh has so much longer cells.
pub(crate) const SECOND_MESH: f64 = 2.0;
/// Share of best torque that "holding" means.
const HOLDING: f64 = 0.95;

/// Predicts a build.
///
/// A speed that can't be worked out is told in [`Prediction::failures`]; the rest of the curve is
/// given. The same build and ask give the same bits on any number of threads, at one dispatch level.
///
/// # Errors
/// A part that makes no network, an ask that can't be, no speed that could be worked out, stopped.
pub fn predict(
    build: &Build,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Prediction, PlanError> {
    predict_with(&GasDynamics, build, ask, executor, watch)
}

/// As [`predict`], with the cycle simulation or a stand-in.
pub(crate) fn predict_with(
    solver: &dyn Solver,
    build: &Build,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Prediction, PlanError> {
    let build = in_conditions(build, ask)?;
    let speeds = speeds(&build, ask)?;
    watch.expect(&stages(ask, speeds.len(), 1));
    let one = curves(solver, &build, &[&build], &speeds, ask, executor, watch)?;
    let draft = one.into_iter().next().unwrap_or(Err(PlanError::Stopped))?;
    let band = match ask.plus_minus {
        true => Some(inputs::band(solver, &build, ask, &draft, executor, watch)?),
        false => None,
    };
    finish(&build, ask, draft, band)
}

/// The build in the air that was asked for.
pub(crate) fn in_conditions<'a>(build: &'a Build, ask: &Ask) -> Result<Cow<'a, Build>, PlanError> {
    let Some(air) = &ask.conditions else { return Ok(Cow::Borrowed(build)) };
    let moves = [
        (inputs::AIR[0], air.temperature),
        (inputs::AIR[1], air.pressure),
        (inputs::AIR[2], air.humidity),
    ];
    let moved = build.with_all_si(&moves).map_err(|faults| PlanError::Value {
        path: "air".into(),
        text: format!(
            "{:.1} K, {:.0} Pa, {:.0} %",
            air.temperature,
            air.pressure,
            100.0 * air.humidity
        ),
        faults: Box::new(faults),
    })?;
    Ok(Cow::Owned(moved))
}

/// All the work of an ask for so many builds at so many speeds.
pub(crate) fn stages(ask: &Ask, speeds: usize, builds: usize) -> Vec<(Stage, usize)> {
    let second = second_mesh(ask).map(|_| (Stage::Coarse, speeds * builds));
    let answer = match ask.quality {
        Quality::Fine => (Stage::Fine, speeds * builds),
        Quality::Coarse => (Stage::Coarse, speeds * builds),
    };
    let samples = ask.plus_minus.then(|| (Stage::Samples, builds * inputs::points(speeds)));
    second.into_iter().chain([answer]).chain(samples).collect()
}

/// The mesh that tells the error of the one that answers; none for a first look without ±.
fn second_mesh(ask: &Ask) -> Option<CellLength> {
    let wanted = ask.quality == Quality::Fine || ask.plus_minus;
    wanted.then(|| ask.quality.cells().times(SECOND_MESH))
}

/// A curve before its ±.
pub(crate) struct Draft {
    pub curve: Curve<Predicted>,
    pub points: Vec<Point>,
    pub failures: Vec<Failure>,
    /// Torque on the second mesh less this one, as a share of this one; empty without.
    pub mesh_shift: Vec<f64>,
    pub cells: usize,
}

/// Curves of builds on the mesh of `centre`, all at the same speeds.
pub(crate) fn curves(
    solver: &dyn Solver,
    centre: &Build,
    builds: &[&Build],
    speeds: &[f64],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Vec<Result<Draft, PlanError>>, PlanError> {
    let trials: Vec<Trial> = builds.iter().map(|build| Trial::of(build, ask)).collect();
    let run = |cells: CellLength, stage: Stage| {
        let settings = ask.of_curve();
        let asked = Asked { centre, trials: &trials, speeds, cells, settings };
        solver.work_out(&asked, executor, &Staged { watch, stage })
    };
    let second = match second_mesh(ask) {
        Some(cells) => Some(run(cells, Stage::Coarse)?),
        None => None,
    };
    if let (Some(Worked { rows, .. }), 1) = (&second, builds.len())
        && let Some(Ok(first)) = rows.first()
        && let Ok(curve) = curve_of(builds[0], speeds, first)
    {
        watch.preview(&curve);
    }
    let stage = if ask.quality == Quality::Fine { Stage::Fine } else { Stage::Coarse };
    let Worked { rows, cells } = run(ask.quality.cells(), stage)?;
    let mut second = second.map(|worked| worked.rows.into_iter());
    let all = rows.into_iter().zip(builds).map(|(row, build)| {
        let second = second.as_mut().and_then(Iterator::next);
        draft(build, speeds, row?, second.and_then(Result::ok), cells)
    });
    Ok(all.collect())
}

type Row = Vec<Result<Point, CycleError>>;

fn draft(
    build: &Build,
    speeds: &[f64],
    row: Row,
    second: Option<Row>,
    cells: usize,
) -> Result<Draft, PlanError> {
    if row.iter().any(|point| point == &Err(CycleError::Stopped)) {
        return Err(PlanError::Stopped);
    }
    let curve = curve_of(build, speeds, &row)?;
    let mesh_shift = second.map_or(Vec::new(), |second| mesh_shift(speeds, &row, &second));
    let (mut points, mut failures) = (Vec::new(), Vec::new());
    for (speed, result) in speeds.iter().zip(row) {
        match result {
            Ok(point) => points.push(point),
            Err(reason) => failures.push(Failure { speed: *speed, reason }),
        }
    }
    Ok(Draft { curve, points, failures, mesh_shift, cells })
}

/// The curve through the points that could be worked out.
fn curve_of(build: &Build, speeds: &[f64], row: &Row) -> Result<Curve<Predicted>, PlanError> {
    let good: Vec<&Point> = row.iter().flatten().collect();
    if let (true, Some((speed, Err(reason)))) = (good.is_empty(), speeds.iter().zip(row).next()) {
        return Err(PlanError::NoPoint { speed: *speed, reason: Box::new(reason.clone()) });
    }
    let column = |of: fn(&Point) -> f64| good.iter().map(|point| of(point)).collect::<Vec<f64>>();
    let label = label(build);
    Ok(Curve::from_torque(label, column(|p| p.speed), column(|p| p.brake_torque))?)
}

/// Engine and build number as on charts: `114/b3`.
pub(crate) fn label(build: &Build) -> String {
    let identity = &build.identity;
    [identity.number.as_str(), identity.build.as_str()]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<&str>>()
        .join("/")
}

/// Torque on the second mesh less that on the first, as a share of the first, at each good point;
/// where the second failed, the share between its neighbours.
fn mesh_shift(speeds: &[f64], row: &Row, second: &Row) -> Vec<f64> {
    let both = speeds.iter().zip(row.iter().zip(second));
    let (x, y): (Vec<f64>, Vec<f64>) = both
        .filter_map(|(speed, (fine, coarse))| {
            let (fine, coarse) = (fine.as_ref().ok()?, coarse.as_ref().ok()?);
            let share = coarse.brake_torque / fine.brake_torque - 1.0;
            share.is_finite().then_some((*speed, TWO_MESH_FACTOR * share))
        })
        .unzip();
    let between = MonotoneCubic::through(&x, &y);
    let good = speeds.iter().zip(row).filter(|(_, point)| point.is_ok());
    good.map(|(speed, _)| between.at(*speed)).collect()
}

/// Figures, goals, limits and record of a curve.
pub(crate) fn finish(
    build: &Build,
    ask: &Ask,
    draft: Draft,
    band: Option<Band>,
) -> Result<Prediction, PlanError> {
    let Draft { curve, points, failures, mesh_shift, cells } = draft;
    let curve = match &band {
        Some(band) => {
            let share = |i: usize| band.at_point(i).together();
            let each = curve.torque().iter().enumerate().map(|(i, t)| t.abs() * share(i));
            let plus_minus = each.collect();
            curve.with_torque_plus_minus(plus_minus)?
        }
        None => curve,
    };
    let best = |quantity| figures::best(&curve, band.as_ref(), quantity);
    let (best_torque, best_power) = (best(Quantity::Torque), best(Quantity::Power));
    Ok(Prediction {
        best_torque,
        best_power,
        holding: curve.range_holding(Quantity::Torque, HOLDING),
        averages: figures::averages(build, ask, &curve, band.as_ref())?,
        goals: figures::goals(build, &curve, band.as_ref()),
        limits: limits::checks(build, &points, &best_power),
        assumed: build.assumed().count(),
        remarks: remarks::of(build, &points, band.as_ref()),
        record: Record::of(build, ask, cells),
        two_mesh: mesh_shift.iter().map(|shift| shift.abs()).collect(),
        curve,
        points,
        failures,
        band,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Conditions;
    use crate::discrepancy;
    use crate::normal::student_95;
    use crate::samples::{SAMPLES, column};
    use crate::tests_support::{Linear, four};
    use crate::watch::Unwatched;
    use shortblock_cycle::Serial;

    fn predicted(solver: &Linear, ask: &Ask) -> Prediction {
        predict_with(solver, &four(), ask, &Serial, &Unwatched).unwrap()
    }

    /// The ± from inputs at a point, as a share.
    fn inputs(prediction: &Prediction, point: usize) -> f64 {
        prediction.band.as_ref().unwrap().at_point(point).inputs
    }

    #[test]
    fn the_range_holds_95_percent_of_best_torque() {
        let found = predicted(&Linear::new(&[]), &Ask::default());
        let best = found.best_torque.figure.value;
        let (held, inside) = (&found.holding, |w: f64| found.curve.at(Quantity::Torque, w));
        for (end, open) in [(held.low, held.open_below), (held.high, held.open_above)] {
            let torque = inside(end).unwrap();
            assert!(open || (torque / best - 0.95).abs() < 0.005, "{torque} of {best}");
        }
        assert!(!(held.open_below && held.open_above), "the test engine's torque is too flat");
    }

    #[test]
    fn one_uncertain_value_gives_its_slope_times_students_factor() {
        // Linear model, one normal input: u = |slope| (JCGM 100 equation (10)), t(15) = 2.131.
        let solver = Linear::new(&[("intake.runner.length", 0.03)]);
        let found = predicted(&solver, &Ask::default());
        for point in 0..14 {
            assert!((inputs(&found, point) - 2.131 * 0.03).abs() < 1e-9);
        }
    }

    #[test]
    fn many_values_give_the_closed_form_of_their_samples() {
        let slopes = [
            ("intake.runner.length", 0.02),
            ("exhaust.primary.bore", -0.015),
            ("model.flow", 0.025),
            ("model.friction", -0.01),
        ];
        let found = predicted(&Linear::new(&slopes), &Ask::default());
        // The variance of a sum: slopes times the covariance of the columns times slopes.
        let columns = slopes.map(|(path, _)| column(1, path));
        let mut variance = 0.0;
        for (i, a) in slopes.iter().enumerate() {
            for (j, b) in slopes.iter().enumerate() {
                let cross: f64 = columns[i].iter().zip(&columns[j]).map(|(x, y)| x * y).sum();
                variance += a.1 * b.1 * cross / (SAMPLES - 1) as f64;
            }
        }
        let wanted = student_95(15) * variance.sqrt();
        assert!((inputs(&found, 5) - wanted).abs() < 1e-9, "{} {wanted}", inputs(&found, 5));
    }

    #[test]
    fn over_seeds_the_variance_is_that_of_independent_values() {
        let slopes = [("intake.runner.length", 0.02), ("exhaust.primary.bore", 0.02)];
        let solver = Linear::new(&slopes);
        let n = 40;
        let mean = (0..n)
            .map(|seed| inputs(&predicted(&solver, &Ask { seed, ..Ask::default() }), 0))
            .map(|plus_minus| (plus_minus / student_95(15)).powi(2))
            .sum::<f64>()
            / n as f64;
        // One seed's variance scatters by the columns' correlation, 2 x 0.02² / sqrt(15); over 40
        // seeds the mean by 4.1 % of 2 x 0.02²; four of them.
        assert!((mean / (2.0 * 0.02 * 0.02) - 1.0).abs() < 0.17, "{mean}");
    }

    #[test]
    fn the_parts_of_the_plus_minus_join_in_quadrature() {
        let mut solver = Linear::new(&[("model.burn", 0.02)]);
        solver.mesh_error = 0.005;
        let found = predicted(&solver, &Ask { rating: true, ..Ask::default() });
        let parts = found.band.as_ref().unwrap().at_point(7);
        // The second mesh of the fine one is one coarsening off.
        assert!((parts.mesh - (0.005_f64.exp() - 1.0)).abs() < 1e-9);
        assert!((parts.rating - 0.02).abs() < 1e-12);
        assert_eq!(parts.model, discrepancy::at_a_speed());
        let all = [parts.inputs, parts.model, parts.mesh, parts.rating];
        let wanted = all.iter().map(|part| part * part).sum::<f64>().sqrt();
        let plus_minus = found.curve.plus_minus(Quantity::Torque).unwrap()[7];
        assert!((plus_minus / found.curve.torque()[7] - wanted).abs() < 1e-12);
    }

    #[test]
    fn figures_carry_their_own_plus_minus() {
        let found = predicted(&Linear::new(&[("model.flow", 0.03)]), &Ask::default());
        let best = found.best_torque;
        let share = best.figure.plus_minus.unwrap() / best.figure.value;
        let torque = found.curve.torque();
        let (_, place) = discrepancy::of_best(found.curve.speed(), torque, torque, &|_| true);
        let model = discrepancy::of_peak();
        assert!((share - model.hypot(2.131 * 0.03)).abs() < 1e-6, "{share}");
        let moved = best.speed_plus_minus.unwrap();
        assert!((moved - place).abs() < 1e-6, "a level of the inputs moves no peak: {moved}");
        let mean = found.averages.unwrap();
        let share = mean.torque.plus_minus.unwrap() / mean.torque.value;
        let range = (mean.low, mean.high);
        let model = discrepancy::of_mean(found.curve.speed(), torque, torque, range);
        assert!((share - model.hypot(2.131 * 0.03)).abs() < 1e-6, "{share}");
        assert_eq!(found.goals.len(), 1);
        assert!(found.goals[0].chance.unwrap() < 0.5 && found.goals[0].short_by() > 0.0);
    }

    #[test]
    fn the_same_ask_gives_the_same_bits() {
        let mut solver = Linear::new(&[("model.flow", 0.03), ("intake.runner.length", 0.02)]);
        solver.tilt = (-1.0, 1.0);
        let (a, b) = (predicted(&solver, &Ask::default()), predicted(&solver, &Ask::default()));
        assert_eq!(a.curve, b.curve);
        assert_eq!(a.record, b.record);
        let other = predicted(&solver, &Ask { seed: 2, ..Ask::default() });
        assert_eq!(a.curve.torque(), other.curve.torque());
        assert_ne!(a.curve.plus_minus(Quantity::Torque), other.curve.plus_minus(Quantity::Torque));
    }

    #[test]
    fn without_plus_minus_none_is_shown() {
        let found = predicted(&Linear::new(&[]), &Ask { plus_minus: false, ..Ask::default() });
        assert_eq!(found.curve.plus_minus(Quantity::Torque), None);
        assert_eq!(found.best_power.figure.plus_minus, None);
        assert_eq!(found.goals[0].chance, None);
        assert_eq!(found.two_mesh.len(), 14);
        assert!(found.assumed > 20, "the road four leaves much unsaid");
    }

    #[test]
    fn air_asked_for_is_exact_and_part_of_the_fingerprint() {
        let air = Conditions { temperature: 303.15, pressure: 95e3, humidity: 0.5 };
        let ask = Ask { conditions: Some(air), ..Ask::default() };
        let found = predicted(&Linear::new(&[("air.pressure", 0.05)]), &ask);
        assert!(inputs(&found, 0) < 1e-12);
        let plain = predicted(&Linear::new(&[]), &Ask::default());
        assert_ne!(found.record.fingerprint, plain.record.fingerprint);
    }

    #[test]
    fn a_stop_stops() {
        struct Stopping;
        impl Watch for Stopping {
            fn stop(&self) -> bool {
                true
            }
        }
        let ask = Ask::default();
        let stopped = predict_with(&Linear::new(&[]), &four(), &ask, &Serial, &Stopping);
        assert_eq!(stopped.unwrap_err(), PlanError::Stopped);
    }
}
