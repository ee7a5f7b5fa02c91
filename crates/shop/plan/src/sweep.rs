//! Curves over one or two values.

use crate::ask::Ask;
use crate::compare::{BuildDifference, Pair, shared_range};
use crate::error::PlanError;
use crate::gas_dynamics::GasDynamics;
use crate::predict::{curves, finish, in_conditions, predict_with, stages};
use crate::prediction::Prediction;
use crate::record::changed_parts;
use crate::solver::Solver;
use crate::speeds::speeds;
use crate::watch::{Watch, Within};
use shortblock_cycle::Executor;
use shortblock_engine::Build;

/// A value to go through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vary {
    /// Path of the value, `intake.runner.length`.
    pub path: String,
    /// Its values, typed as in a file: "50 mm".
    pub values: Vec<String>,
}

/// Curves over one or two values.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// The build as it stands, or why it can't be predicted.
    pub base: Result<Prediction, PlanError>,
    /// A curve for each value.
    pub curves: Vec<Swept>,
}

/// One curve of a sweep.
#[derive(Debug, Clone)]
pub struct Swept {
    /// Path and value as typed, one or two.
    pub values: Vec<(String, String)>,
    /// The prediction, or why there is none with these values.
    pub prediction: Result<Prediction, PlanError>,
    /// The prediction less that of the build as it stands; `None` where one of them is missing or
    /// they share no speed.
    pub less_base: Option<BuildDifference>,
}

/// Predicts the build as it stands and with every value of one path, or every pair of values of two,
/// all at the same speeds. The last path changes fastest.
///
/// # Errors
/// No path, more than two, a path without values; stopped. A value that doesn't fit the build is
/// told in its own place.
pub fn sweep(
    build: &Build,
    vary: &[Vary],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Sweep, PlanError> {
    sweep_with(&GasDynamics, build, vary, ask, executor, watch)
}

pub(crate) fn sweep_with(
    solver: &dyn Solver,
    build: &Build,
    vary: &[Vary],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Sweep, PlanError> {
    check(vary)?;
    let build = in_conditions(build, ask)?;
    // One set of speeds for all; the build's own, so that a value does not move them.
    let speeds = speeds(&build, ask)?;
    let varied: Vec<(Values, Result<Build, PlanError>)> = combinations(vary)
        .into_iter()
        .map(|values| (values.clone(), with(&build, &values)))
        .collect();
    let good = varied.iter().filter_map(|(_, build)| build.as_ref().ok());
    let all: Vec<&Build> = std::iter::once(build.as_ref()).chain(good).collect();
    let average = shared_range(&all, &speeds, ask);
    watch.expect(&stages(ask, speeds.len(), all.len()));
    let ask = &Ask { speeds: Some(speeds), average, ..ask.clone() };
    let mut found = predictions(solver, &build, &all, ask, executor, watch)?.into_iter();
    let mut next = || found.next().unwrap_or(Err(PlanError::Stopped));
    let base = next();
    let swept = varied.into_iter().map(|(values, varied)| {
        let (prediction, less_base) = match varied {
            Ok(varied) => {
                let prediction = next();
                let less_base = less(&prediction, &base, changed_parts(&build, &varied), average);
                (prediction, less_base)
            }
            Err(error) => (Err(error), None),
        };
        Swept { values, prediction, less_base }
    });
    let curves = swept.collect();
    Ok(Sweep { base, curves })
}

fn less(
    new: &Result<Prediction, PlanError>,
    old: &Result<Prediction, PlanError>,
    parts: usize,
    range: Option<(f64, f64)>,
) -> Option<BuildDifference> {
    let pair = Pair { new: new.as_ref().ok()?, old: old.as_ref().ok()? };
    pair.difference(parts, range).ok()
}

type Values = Vec<(String, String)>;

fn check(vary: &[Vary]) -> Result<(), PlanError> {
    let fault = |what: &str, hint: &str| {
        Err(PlanError::Ask { what: what.to_owned(), hint: hint.to_owned() })
    };
    if vary.is_empty() || vary.len() > 2 {
        return fault("a sweep goes over one value or two", "name one path or two");
    }
    match vary.iter().find(|vary| vary.values.is_empty()) {
        Some(vary) => fault(&format!("{} has no values", vary.path), "give at least one"),
        None => Ok(()),
    }
}

fn combinations(vary: &[Vary]) -> Vec<Values> {
    vary.iter().fold(vec![Vec::new()], |all, vary| {
        let longer = |one: &Values| {
            let one = one.clone();
            vary.values.iter().map(move |text| {
                let mut longer = one.clone();
                longer.push((vary.path.clone(), text.clone()));
                longer
            })
        };
        all.iter().flat_map(longer).collect()
    })
}

/// The build with the values typed anew.
fn with(build: &Build, values: &Values) -> Result<Build, PlanError> {
    let mut varied = build.clone();
    for (path, text) in values {
        varied = varied.with(path, text).map_err(|faults| PlanError::Value {
            path: path.clone(),
            text: text.clone(),
            faults: Box::new(faults),
        })?;
    }
    Ok(varied)
}

/// All curves together on the mesh of the build they vary, or one after the other with their ±.
fn predictions(
    solver: &dyn Solver,
    centre: &Build,
    builds: &[&Build],
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Vec<Result<Prediction, PlanError>>, PlanError> {
    let all: Vec<Result<Prediction, PlanError>> = if ask.plus_minus {
        let one = |build: &&Build| predict_with(solver, build, ask, executor, &Within(watch));
        builds.iter().map(one).collect()
    } else {
        let speeds = speeds(centre, ask)?;
        let drafts = curves(solver, centre, builds, &speeds, ask, executor, watch)?;
        let all = builds.iter().zip(drafts).map(|(build, draft)| finish(build, ask, draft?, None));
        all.collect()
    };
    match all.iter().any(|one| matches!(one, Err(PlanError::Stopped))) {
        true => Err(PlanError::Stopped),
        false => Ok(all),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests_support::{Linear, four};
    use crate::watch::Unwatched;
    use shortblock_cycle::Serial;

    fn vary(path: &str, values: &[&str]) -> Vary {
        Vary { path: path.into(), values: values.iter().map(|v| (*v).into()).collect() }
    }

    fn swept(vary: &[Vary], plus_minus: bool) -> Result<Vec<Swept>, PlanError> {
        let solver = Linear::new(&[("intake.runner.length", 0.03)]);
        let ask = Ask { plus_minus, ..Ask::default() };
        Ok(sweep_with(&solver, &four(), vary, &ask, &Serial, &Unwatched)?.curves)
    }

    #[test]
    fn each_curve_has_its_difference_to_the_build_as_it_stands() {
        let four = four().with("intake.runner.length", "300 mm").unwrap();
        let solver = Linear::new(&[("intake.runner.length", 0.001), ("model.flow", 0.05)]);
        let values = [vary("intake.runner.length", &["300 mm", "310 mm", "310 rpm"])];
        let ask = Ask::default();
        let found = sweep_with(&solver, &four, &values, &ask, &Serial, &Unwatched).unwrap();
        let base = found.base.as_ref().unwrap();
        let [same, other, none] = &found.curves[..] else { panic!("three values") };
        let same = same.less_base.as_ref().unwrap().best_power;
        assert_eq!((same.value, same.plus_minus), (0.0, Some(0.0)));
        let longer = other.prediction.as_ref().unwrap().best_power.figure;
        let less = other.less_base.as_ref().unwrap().best_power;
        assert_eq!(less.value, longer.value - base.best_power.figure.value);
        // What the relations have wrong moves both alike.
        assert!(less.plus_minus.unwrap() < 0.2 * longer.plus_minus.unwrap());
        assert!(none.less_base.is_none());
        // The comparison of the same two builds says the same.
        let varied = four.with("intake.runner.length", "310 mm").unwrap();
        let speeds = Some(speeds(&four, &ask).unwrap());
        let ask = Ask { speeds, ..ask };
        let both =
            crate::compare::compare_with(&solver, &[&four, &varied], &ask, &Serial, &Unwatched);
        assert_eq!(both.unwrap().differences[0].best_power, less);
    }

    #[test]
    fn two_values_make_all_pairs_the_last_changing_fastest() {
        let two = [
            vary("intake.runner.length", &["200 mm", "300 mm"]),
            vary("exhaust.primary.length", &["600 mm", "700 mm", "800 mm"]),
        ];
        let found = swept(&two, false).unwrap();
        assert_eq!(found.len(), 6);
        assert_eq!(found[1].values[0].1, "200 mm");
        assert_eq!(found[1].values[1].1, "700 mm");
        let torque = |i: usize| found[i].prediction.as_ref().unwrap().best_torque.figure.value;
        assert_eq!(torque(0), torque(2));
        assert!(torque(3) > torque(2));
    }

    #[test]
    fn a_value_that_does_not_fit_is_told_in_its_place() {
        let found = swept(&[vary("intake.runner.length", &["200 mm", "200 rpm"])], true).unwrap();
        assert!(found[0].prediction.as_ref().unwrap().band.is_some());
        let error = found[1].prediction.as_ref().unwrap_err().to_string();
        assert!(error.contains("200 rpm") && error.contains("hint"), "{error}");
    }

    #[test]
    fn a_sweep_over_nothing_is_refused() {
        assert!(swept(&[], false).is_err());
        assert!(swept(&[vary("intake.runner.length", &[])], false).is_err());
    }
}
