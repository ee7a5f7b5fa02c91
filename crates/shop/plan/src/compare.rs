//! Builds laid over each other on the same samples.

use crate::ask::Ask;
use crate::band::{Band, sampled};
use crate::discrepancy::{at_a_speed, of_change, of_change_of_mean, of_peak};
use crate::error::PlanError;
use crate::figures::chance_above;
use crate::gas_dynamics::GasDynamics;
use crate::predict::{predict_with, stages};
use crate::prediction::{Figure, Prediction};
use crate::record::changed_parts;
use crate::solver::Solver;
use crate::speeds::{range, speeds, spread};
use crate::watch::{Watch, Within};
use shortblock_curve::{Curve, Difference, Predicted, Quantity};
use shortblock_cycle::Executor;
use shortblock_engine::Build;

/// One build less another.
#[derive(Debug, Clone)]
pub struct BuildDifference {
    /// Torque and power over speed, with their own ±.
    pub curve: Difference<Predicted>,
    /// Of best torque, N·m, wherever each stands.
    pub best_torque: Figure,
    /// Of best power, W, wherever each stands.
    pub best_power: Figure,
    /// Of the mean torque over the range, N·m; `None` when a curve does not cover it.
    pub average_torque: Option<Figure>,
    /// Of the mean power over the range, W.
    pub average_power: Option<Figure>,
    /// Chance that the build makes more power on average over the range, 0 to 1.
    pub chance_of_gain: Option<f64>,
}

/// Builds laid over each other.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Each build's own prediction, in the order given.
    pub predictions: Vec<Prediction>,
    /// Each build after the first less the first.
    pub differences: Vec<BuildDifference>,
}

/// Predicts builds at the same speeds and lays each over the first.
///
/// A value that stands in two builds has the same samples in both, so what is not known of both
/// alike drops out of the difference; so do the model's own errors, but for those of a change of
/// parts. Builds with the same values differ by 0 ± 0.
///
/// # Errors
/// As [`predict`](crate::predict), for any of the builds; fewer than two builds.
pub fn compare(
    builds: &[&Build],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Comparison, PlanError> {
    compare_with(&GasDynamics, builds, ask, executor, watch)
}

pub(crate) fn compare_with(
    solver: &dyn Solver,
    builds: &[&Build],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Comparison, PlanError> {
    if builds.len() < 2 {
        let what = "a comparison takes two builds or more".to_owned();
        return Err(PlanError::Ask { what, hint: "name another build".into() });
    }
    let ask = common(builds, ask)?;
    let points = ask.speeds.as_ref().map_or(0, Vec::len);
    watch.expect(&stages(&ask, points, builds.len()));
    let quiet = Within(watch);
    let one = |(i, build): (usize, &&Build)| {
        let found = predict_with(solver, build, &ask, executor, &quiet);
        found.map_err(|error| error.of_build(i + 1))
    };
    let predictions = builds.iter().enumerate().map(one).collect::<Result<Vec<_>, PlanError>>()?;
    let differences = (1..builds.len())
        .map(|i| {
            let pair = Pair { new: &predictions[i], old: &predictions[0] };
            pair.difference(changed_parts(builds[0], builds[i]), ask.average)
        })
        .collect::<Result<Vec<BuildDifference>, PlanError>>()?;
    Ok(Comparison { predictions, differences })
}

/// The ask with speeds and range that do not depend on the order of the builds.
fn common(builds: &[&Build], ask: &Ask) -> Result<Ask, PlanError> {
    let speeds = match &ask.speeds {
        Some(_) => speeds(builds[0], ask)?,
        None => {
            let ranges = builds.iter().map(|build| range(build));
            let wide = |all: (f64, f64), one: (f64, f64)| (all.0.min(one.0), all.1.max(one.1));
            let (low, high) = ranges.fold((f64::INFINITY, 0.0), wide);
            spread(low, high, ask.points)
        }
    };
    let average = shared_range(builds, &speeds, ask);
    Ok(Ask { speeds: Some(speeds), average, ..ask.clone() })
}

/// The range of the averages of all builds, rad/s: the one asked for, else the goal's where all have
/// it and the speeds reach it, else from the first speed to the last; none for a single speed.
pub(crate) fn shared_range(builds: &[&Build], speeds: &[f64], ask: &Ask) -> Option<(f64, f64)> {
    let (first, last) = speeds.first().copied().zip(speeds.last().copied())?;
    let goal = builds
        .first()
        .and_then(|build| build.goal.range)
        .filter(|goal| builds.iter().all(|build| build.goal.range.as_ref() == Some(goal)))
        .filter(|(low, high)| first <= *low && *high <= last);
    ask.average.or(goal).or((first < last).then_some((first, last)))
}

/// A figure of a curve, where it has one.
type Of<'a> = &'a dyn Fn(&Curve<Predicted>) -> Option<f64>;

/// Two predictions on the same samples.
pub(crate) struct Pair<'a> {
    pub new: &'a Prediction,
    pub old: &'a Prediction,
}

/// What the model may have wrong of a difference.
struct Model<'a> {
    /// ± of an effect, both as shares of the figure.
    change: &'a dyn Fn(f64) -> f64,
    /// ± of the figure of one build, as a share of it.
    alone: f64,
}

impl Model<'_> {
    /// ± of the difference: that of a change, and between unlike builds no more than if what it has
    /// wrong of one had nothing to do with the other.
    fn of_difference(&self, new: f64, old: f64) -> f64 {
        let scale = 0.5 * (new.abs() + old.abs());
        if scale <= 0.0 {
            return 0.0;
        }
        let change = scale * (self.change)((new - old) / scale);
        change.min(self.alone * new.hypot(old))
    }
}

impl Pair<'_> {
    /// The new one less the old one, with `parts` changed parts between them; averages over `range`,
    /// rad/s.
    pub fn difference(
        &self,
        parts: usize,
        range: Option<(f64, f64)>,
    ) -> Result<BuildDifference, PlanError> {
        let best = |quantity: Quantity| {
            let of = move |curve: &Curve<Predicted>| Some(curve.peak(quantity).value);
            let nothing = Figure { value: 0.0, plus_minus: None };
            let model = Model { change: &|effect| of_change(parts, effect), alone: of_peak() };
            self.figure(&of, &model).unwrap_or(nothing)
        };
        let average = |quantity: Quantity| {
            let (low, high) = range?;
            let mean = move |curve: &Curve<Predicted>| curve.average(quantity, low, high).ok();
            let of = move |curve: &Curve<Predicted>| Some(mean(curve)?.value);
            let change = |effect| of_change_of_mean(parts, effect, low, high);
            self.figure(&of, &Model { change: &change, alone: at_a_speed() })
        };
        let average_power = average(Quantity::Power);
        let chance_of_gain = average_power.and_then(|figure| {
            let plus_minus = figure.plus_minus.filter(|plus_minus| *plus_minus > 0.0)?;
            Some(chance_above(figure.value, plus_minus))
        });
        Ok(BuildDifference {
            curve: self.curve(parts)?,
            best_torque: best(Quantity::Torque),
            best_power: best(Quantity::Power),
            average_torque: average(Quantity::Torque),
            average_power,
            chance_of_gain,
        })
    }

    /// The difference over speed.
    fn curve(&self, parts: usize) -> Result<Difference<Predicted>, PlanError> {
        let plain = self.new.curve.less(&self.old.curve)?;
        let at = |speed: f64| {
            let of = move |curve: &Curve<Predicted>| curve.at(Quantity::Torque, speed);
            let change = |effect| of_change(parts, effect);
            self.figure(&of, &Model { change: &change, alone: at_a_speed() })
        };
        let each = plain.points().iter().map(|point| at(point.speed)?.plus_minus);
        Ok(match each.collect::<Option<Vec<f64>>>() {
            Some(plus_minus) => plain.with_torque_plus_minus(&plus_minus)?,
            None => plain,
        })
    }

    /// The difference of a figure with its ±.
    fn figure(&self, of: Of, model: &Model) -> Option<Figure> {
        let (new, old) = (of(&self.new.curve)?, of(&self.old.curve)?);
        let value = new - old;
        let plus_minus = self.new.band.as_ref().zip(self.old.band.as_ref()).map(|(a, b)| {
            let model = model.of_difference(new, old);
            let inputs = sampled(&self.samples(a, b, of, value));
            inputs.hypot(model).hypot(self.mesh(a, b, of, value).unwrap_or(0.0))
        });
        Some(Figure { value, plus_minus })
    }

    /// What each sample that both have makes of the difference, less the difference.
    fn samples(&self, a: &Band, b: &Band, of: Of, value: f64) -> Vec<f64> {
        let rows = a.deviations.iter().zip(&b.deviations);
        let both = rows.filter_map(|(a, b)| Some((a.as_ref()?, b.as_ref()?)));
        both.filter_map(|(row_a, row_b)| {
            let new = of(&a.curve(&self.new.curve, row_a).ok()?)?;
            let old = of(&b.curve(&self.old.curve, row_b).ok()?)?;
            Some(new - old - value)
        })
        .collect()
    }

    /// What the second mesh makes of it, less the difference.
    fn mesh(&self, a: &Band, b: &Band, of: Of, value: f64) -> Option<f64> {
        let new = of(&a.on_second_mesh(&self.new.curve).ok()?)?;
        let old = of(&b.on_second_mesh(&self.old.curve).ok()?)?;
        Some(new - old - value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests_support::{Linear, four};
    use crate::watch::Unwatched;
    use shortblock_cycle::Serial;

    const LENGTH: &str = "intake.runner.length";

    fn laid(solver: &Linear, builds: &[&Build]) -> Comparison {
        compare_with(solver, builds, &Ask::default(), &Serial, &Unwatched).unwrap()
    }

    fn tilted() -> Linear {
        let slopes = [(LENGTH, 0.03), ("model.flow", 0.03), ("exhaust.primary.bore", 0.02)];
        Linear { tilt: (-0.5, 1.0), mesh_error: 0.004, ..Linear::new(&slopes) }
    }

    #[test]
    fn the_same_build_differs_by_nothing() {
        let build = four();
        let found = laid(&tilted(), &[&build, &build.clone()]);
        let only = &found.differences[0];
        for point in only.curve.points() {
            assert_eq!((point.torque, point.torque_plus_minus), (0.0, Some(0.0)));
        }
        assert_eq!(only.best_power, Figure { value: 0.0, plus_minus: Some(0.0) });
        assert_eq!(only.average_power.unwrap().plus_minus, Some(0.0));
        assert_eq!(only.chance_of_gain, None);
        assert!(found.predictions[0].best_power.figure.plus_minus.unwrap() > 0.0);
    }

    #[test]
    fn order_does_not_matter() {
        let a = four();
        let b = a.with_si(LENGTH, 0.31).unwrap();
        let c = a.with_si("exhaust.primary.bore", 0.05).unwrap();
        let there = laid(&tilted(), &[&a, &b, &c]);
        let back = laid(&tilted(), &[&b, &c, &a]);
        let (there, back) = (&there.differences[0], &back.differences[1]);
        for (one, other) in there.curve.points().iter().zip(back.curve.points()) {
            assert_eq!(one.torque, -other.torque);
            let (x, y) = (one.torque_plus_minus.unwrap(), other.torque_plus_minus.unwrap());
            assert!((x - y).abs() <= 1e-12 * x);
        }
        let (x, y) = (there.average_power.unwrap(), back.average_power.unwrap());
        assert!((x.value + y.value).abs() < 1e-9);
        assert!((x.plus_minus.unwrap() - y.plus_minus.unwrap()).abs() < 1e-9);
    }

    #[test]
    fn what_is_unknown_of_both_alike_drops_out() {
        // ln T = a + slope z with the same z in both: D = T (e^d - 1), so its share is known but
        // for the level: u(D) / D = slope, ± = 2.131 slope.
        let a = four();
        let b = a.with_si(LENGTH, 0.31).unwrap();
        let found = laid(&Linear::new(&[(LENGTH, 0.001), ("model.flow", 0.05)]), &[&a, &b]);
        let only = &found.differences[0];
        let own = found.predictions[0].best_torque.figure.plus_minus.unwrap();
        assert!(only.best_torque.plus_minus.unwrap() < 0.2 * own);
        // One part changed: at least its own 0.25 % remain.
        let share =
            only.best_torque.plus_minus.unwrap() / found.predictions[0].best_torque.figure.value;
        assert!(share > 1.96 * 0.0025, "{share}");
    }

    /// Two engines of which one makes five times the torque differ by no less certain a figure than the
    /// two figures are.
    #[test]
    fn unlike_builds_are_no_less_certain_than_the_two_of_them() {
        let a = four();
        let solver = Linear::new(&[(LENGTH, 0.02), ("model.flow", 0.01)]);
        let (si, sd) = solver.zero[0].unwrap();
        let b = a.with_si(LENGTH, si + 80.0 * sd).unwrap();
        let found = laid(&solver, &[&a, &b]);
        let own = |i: usize| found.predictions[i].best_torque.figure;
        assert!(own(1).value > 4.0 * own(0).value, "{:?} {:?}", own(0), own(1));
        let only = found.differences[0].best_torque.plus_minus.unwrap();
        let sum = own(0).plus_minus.unwrap() + own(1).plus_minus.unwrap();
        assert!(only < sum, "{only} {sum}");
    }

    #[test]
    fn a_goals_range_beyond_the_speeds_gives_way_to_them() {
        let goal = |rpm: &str| {
            let low = four().with("goal.speed_from", "3000 rpm").unwrap();
            low.with("goal.speed_to", rpm).unwrap()
        };
        let (near, far) = (goal("6000 rpm"), goal("9000 rpm"));
        let speeds = [250.0, 400.0, 700.0];
        let range = |builds: &[&Build]| shared_range(builds, &speeds, &Ask::default());
        assert_eq!(range(&[&near, &near]), near.goal.range);
        assert_eq!(range(&[&near, &far]), Some((250.0, 700.0)));
        assert_eq!(range(&[&far, &far]), Some((250.0, 700.0)));
        assert_eq!(shared_range(&[&near], &[400.0], &Ask::default()), None);
    }

    #[test]
    fn a_build_that_cannot_be_is_named_by_its_place() {
        struct Refusing;
        impl Solver for Refusing {
            fn work_out(
                &self,
                _: &crate::solver::Asked,
                _: &dyn Executor,
                _: &crate::watch::Staged,
            ) -> Result<crate::solver::Worked, PlanError> {
                Err(PlanError::Ask { what: "refused".into(), hint: "none".into() })
            }
        }
        let build = four();
        let found =
            compare_with(&Refusing, &[&build, &build], &Ask::default(), &Serial, &Unwatched);
        let error = found.unwrap_err();
        assert!(matches!(&error, PlanError::Build { place: 1, .. }), "{error}");
        assert!(error.to_string().starts_with("build 1: refused"), "{error}");
    }

    #[test]
    fn one_build_is_no_comparison() {
        let build = four();
        let alone = compare_with(&tilted(), &[&build], &Ask::default(), &Serial, &Unwatched);
        assert!(matches!(alone, Err(PlanError::Ask { .. })));
    }
}
