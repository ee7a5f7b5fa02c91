//! The ± that comes from inputs: runs the samples and lays them on the curve.

use crate::ask::Ask;
use crate::band::{Band, SAMPLE_SPEEDS, laid, sample_speeds};
use crate::closures::{Closures, NAMES};
use crate::error::PlanError;
use crate::predict::Draft;
use crate::samples::{SAMPLES, Uncertain, column, moved, uncertain};
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

/// A sample of a build.
pub(crate) struct Drawn {
    build: Build,
    closures: Closures,
}

impl Drawn {
    pub fn trial(&self) -> Trial<'_> {
        Trial { build: &self.build, closures: self.closures }
    }
}

/// The values of a build that samples move.
fn values(build: &Build, ask: &Ask) -> Vec<Uncertain> {
    uncertain(build, if ask.conditions.is_some() { &AIR } else { &[] })
}

/// The model's own numbers that samples move.
fn own(ask: &Ask) -> &'static [&'static str] {
    if ask.closures_exact { &[] } else { &NAMES }
}

/// Paths of what samples move, the model's own four among them.
fn paths(build: &Build, ask: &Ask) -> Vec<String> {
    let own = own(ask).iter().map(|name| (*name).to_owned());
    values(build, ask).into_iter().map(|value| value.path).chain(own).collect()
}

/// The first `count` samples of a build; `None` for one that makes no engine.
pub(crate) fn drawn(build: &Build, ask: &Ask, count: usize) -> Vec<Option<Drawn>> {
    let values = values(build, ask);
    let columns: BTreeMap<&str, [f64; SAMPLES]> = values
        .iter()
        .map(|value| value.path.as_str())
        .chain(own(ask).iter().copied())
        .map(|path| (path, column(ask.seed, path)))
        .collect();
    let score = |path: &str, s: usize| columns.get(path).map_or(0.0, |column| column[s]);
    let sample = |s: usize| {
        let (build, _) = moved(build, &values, |path| score(path, s))?;
        let closures = Closures::at(NAMES.map(|name| score(name, s)));
        Some(Drawn { build, closures: closures.times(&ask.closures) })
    };
    (0..count.min(SAMPLES)).map(sample).collect()
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
    let made = drawn(build, ask, SAMPLES);
    let mut trials = vec![Trial::of(build, ask)];
    let places = (0..SAMPLES).filter(|s| made[*s].is_some());
    trials.extend(made.iter().flatten().map(Drawn::trial));
    let at: Vec<f64> =
        sample_speeds(draft.curve.len()).into_iter().map(|i| draft.curve.speed()[i]).collect();
    let asked = Asked {
        centre: build,
        trials: &trials,
        speeds: &at,
        cells: CellLength::COARSE,
        settings: ask.of_samples(),
    };
    let worked = solver.work_out(&asked, executor, &Staged { watch, stage: Stage::Samples })?;
    let mut rows = worked.rows.iter().map(|row| row.as_ref().ok().map(|row| torques(row)));
    let centre = rows.next().flatten().unwrap_or_default();
    let mut deviations: Vec<Option<Vec<f64>>> = vec![None; SAMPLES];
    for (s, row) in places.zip(rows) {
        deviations[s] = row.and_then(|row| laid(&at, &row, &centre, draft.curve.speed()));
    }
    if watch.stop() || worked.rows.iter().flatten().flatten().any(stopped) {
        return Err(PlanError::Stopped);
    }
    Ok(Band {
        deviations,
        mesh_shift: draft.mesh_shift.clone(),
        rating: if ask.rating { build.tested_as.tolerance.si } else { 0.0 },
        sampled: paths(build, ask),
    })
}

fn torques(row: &[Result<Point, CycleError>]) -> Vec<Option<f64>> {
    row.iter().map(|point| point.as_ref().ok().map(|point| point.brake_torque)).collect()
}

fn stopped(point: &Result<Point, CycleError>) -> bool {
    point == &Err(CycleError::Stopped)
}
