//! The ± that comes from inputs: runs the samples and lays them on the curve.

use crate::ask::Ask;
use crate::band::{Band, SAMPLE_SPEEDS, laid, sample_speeds};
use crate::error::PlanError;
use crate::predict::Draft;
use crate::samples::{CLOSURE_SD, Closures, SAMPLES, column, moved, uncertain};
use crate::solver::{Asked, Solver, Trial};
use crate::watch::{Stage, Staged, Watch};
use shortblock_cycle::{CellLength, CycleError, Executor, Point};
use shortblock_engine::Build;
use std::collections::BTreeMap;

/// Values that are exact when the air was asked for.
pub(crate) const AIR: [&str; 3] = ["air.temperature", "air.pressure", "air.humidity"];

/// Coarse points that the samples of a curve of so many speeds take, centre run included.
pub(crate) fn points(speeds: usize) -> usize {
    (SAMPLES + 1) * speeds.min(SAMPLE_SPEEDS)
}

/// Runs the samples of a build and lays them on its curve.
pub(crate) fn band(
    solver: &dyn Solver,
    build: &Build,
    ask: &Ask,
    draft: &Draft,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Band, PlanError> {
    let fixed: &[&str] = if ask.conditions.is_some() { &AIR } else { &[] };
    let values = uncertain(build, fixed);
    let own = CLOSURE_SD.iter().map(|(name, _)| (*name).to_owned());
    let paths: Vec<String> = values.iter().map(|v| v.path.clone()).chain(own).collect();
    let columns: BTreeMap<&str, [f64; SAMPLES]> =
        paths.iter().map(|path| (path.as_str(), column(ask.seed, path))).collect();
    let score = |path: &str, s: usize| columns.get(path).map_or(0.0, |column| column[s]);
    let builds: Vec<Option<Build>> = (0..SAMPLES)
        .map(|s| moved(build, &values, |path| score(path, s)).map(|(build, _)| build))
        .collect();
    let closures =
        |s: usize| Closures::at(CLOSURE_SD.map(|(name, _)| score(name, s))).times(&ask.closures);
    let mut trials = vec![Trial::of(build, ask)];
    let made = builds.iter().enumerate().filter_map(|(s, build)| Some((s, build.as_ref()?)));
    let places: Vec<usize> = made.clone().map(|(s, _)| s).collect();
    trials.extend(made.map(|(s, build)| Trial { build, closures: closures(s) }));
    let at: Vec<f64> =
        sample_speeds(draft.curve.len()).into_iter().map(|i| draft.curve.speed()[i]).collect();
    let asked = Asked {
        centre: build,
        trials: &trials,
        speeds: &at,
        cells: CellLength::COARSE,
        settings: ask.settings,
    };
    let worked = solver.work_out(&asked, executor, &Staged { watch, stage: Stage::Samples })?;
    let mut rows = worked.rows.iter().map(|row| row.as_ref().ok().map(|row| torques(row)));
    let centre = rows.next().flatten().unwrap_or_default();
    let mut deviations: Vec<Option<Vec<f64>>> = vec![None; SAMPLES];
    for (s, row) in places.into_iter().zip(rows) {
        deviations[s] = row.and_then(|row| laid(&at, &row, &centre, draft.curve.speed()));
    }
    if watch.stop() || worked.rows.iter().flatten().flatten().any(stopped) {
        return Err(PlanError::Stopped);
    }
    Ok(Band {
        deviations,
        mesh_shift: draft.mesh_shift.clone(),
        rating: if ask.rating { build.tested_as.tolerance.si } else { 0.0 },
        sampled: paths,
    })
}

fn torques(row: &[Result<Point, CycleError>]) -> Vec<Option<f64>> {
    row.iter().map(|point| point.as_ref().ok().map(|point| point.brake_torque)).collect()
}

fn stopped(point: &Result<Point, CycleError>) -> bool {
    point == &Err(CycleError::Stopped)
}
