//! The ± of what steps do: steps and build on the same samples, as when builds are compared.
//!
//! To bound the work, half of the samples run, at a few speeds, for as many steps as were asked
//! for; what a step does on the second mesh gives the mesh's part.

use super::{Step, torques};
use crate::ask::Ask;
use crate::band::{laid, sampled};
use crate::error::PlanError;
use crate::inputs::{Drawn, drawn};
use crate::predict::SECOND_MESH;
use crate::samples::SAMPLES;
use crate::solver::{Asked, Solver, Trial};
use crate::watch::{Stage, Staged, Watch};
use shortblock_curve::{Curve, Predicted};
use shortblock_cycle::{CellLength, Executor};
use shortblock_engine::Build;

/// Samples that run for each step.
const OF_SAMPLES: usize = SAMPLES / 2;
/// Speeds at which they run.
const SPEEDS: usize = 3;

/// The work for so many steps of a curve of so many speeds.
pub(super) fn stages(steps: usize, speeds: usize) -> [(Stage, usize); 2] {
    let each = (steps + 1) * SPEEDS.min(speeds);
    [(Stage::Coarse, each), (Stage::Samples, each * (OF_SAMPLES + 1))]
}

/// What else a step may do: ln ratios of torque at each speed of the curve.
pub(super) struct Spread {
    /// For each sample: the build's over its centre, and the step's effect less the one at the
    /// centre.
    samples: Vec<(Vec<f64>, Vec<f64>)>,
    /// The step's effect on the second mesh less the one on the first.
    mesh: Option<Vec<f64>>,
}

impl Spread {
    /// ± (coverage 95 %) from inputs and mesh of the change `value` that a step makes to a figure
    /// of the curve; `step` holds its ln ratios.
    pub fn of_change(
        &self,
        curve: &Curve<Predicted>,
        step: &[f64],
        value: f64,
        figure: &dyn Fn(&Curve<Predicted>) -> Option<f64>,
    ) -> f64 {
        let of = |ln: &[f64]| {
            let torque = curve.torque().iter().zip(ln).map(|(t, d)| t * d.exp()).collect();
            figure(&Curve::from_torque(curve.label(), curve.speed().to_vec(), torque).ok()?)
        };
        let off = |before: &[f64], more: &[f64]| {
            let step = step.iter().zip(more).map(|(step, more)| step + more);
            let after: Vec<f64> = before.iter().zip(step).map(|(a, b)| a + b).collect();
            Some(of(&after)? - of(before)? - value)
        };
        let samples = self.samples.iter().filter_map(|(before, more)| off(before, more));
        let inputs = sampled(&samples.collect::<Vec<f64>>());
        let mesh = self.mesh.as_ref().and_then(|more| off(&vec![0.0; step.len()], more));
        inputs.hypot(mesh.unwrap_or(0.0))
    }
}

/// A build or a step of it at the few speeds: torque of its centre and of its samples.
struct Row {
    centre: Vec<Option<f64>>,
    samples: Vec<Option<Vec<Option<f64>>>>,
}

/// The spread of each step, in order.
pub(super) fn spreads(
    solver: &dyn Solver,
    build: &Build,
    steps: &[&Step],
    curve: &Curve<Predicted>,
    ask: &Ask,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Result<Vec<Spread>, PlanError> {
    let speeds = curve.speed();
    let at: Vec<f64> = super::spread_over(speeds.len(), SPEEDS).map(|i| speeds[i]).collect();
    let run = |trials: &[Trial], cells: CellLength, stage: Stage| {
        let settings = ask.of_samples();
        let asked = Asked { centre: build, trials, speeds: &at, cells, settings };
        let worked = solver.work_out(&asked, executor, &Staged { watch, stage })?;
        match watch.stop() {
            true => Err(PlanError::Stopped),
            false => Ok(worked.rows.iter().map(torques).collect::<Vec<_>>()),
        }
    };
    let builds: Vec<&Build> = [build].into_iter().chain(steps.iter().map(|s| &s.build)).collect();
    let plain: Vec<Trial> = builds.iter().map(|build| Trial::of(build, ask)).collect();
    let second = run(&plain, CellLength::COARSE.times(SECOND_MESH), Stage::Coarse)?;
    let made: Vec<Vec<Option<Drawn>>> =
        builds.iter().map(|build| drawn(build, ask, OF_SAMPLES)).collect();
    let trials = made.iter().flatten().flatten().map(Drawn::trial);
    let trials: Vec<Trial> = plain.iter().copied().chain(trials).collect();
    let mut torques = run(&trials, CellLength::COARSE, Stage::Samples)?.into_iter();
    let centres: Vec<Vec<Option<f64>>> = torques.by_ref().take(plain.len()).collect();
    let rows: Vec<Row> = centres
        .into_iter()
        .zip(&made)
        .map(|(centre, made)| {
            let samples = made.iter().map(|made| made.as_ref().and_then(|_| torques.next()));
            Row { centre, samples: samples.collect() }
        })
        .collect();
    let Some((base, rows)) = rows.split_first() else { return Ok(Vec::new()) };
    let ln = |torque: &[Option<f64>], over: &[Option<f64>]| laid(&at, torque, over, speeds);
    let meshes = second.iter().skip(1).map(|torque| ln(torque, second.first()?));
    Ok(rows.iter().zip(meshes).map(|(row, mesh)| spread(base, row, mesh, &ln)).collect())
}

type Laid<'a> = &'a dyn Fn(&[Option<f64>], &[Option<f64>]) -> Option<Vec<f64>>;

fn spread(base: &Row, row: &Row, mesh: Option<Vec<f64>>, ln: Laid) -> Spread {
    let Some(centre) = ln(&row.centre, &base.centre) else {
        return Spread { samples: Vec::new(), mesh: None };
    };
    let less = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a - b).collect::<Vec<f64>>();
    let both = base.samples.iter().zip(&row.samples);
    let samples = both.filter_map(|(base_sample, sample)| {
        let before = ln(base_sample.as_ref()?, &base.centre)?;
        let after = ln(sample.as_ref()?, &base.centre)?;
        let more = less(&less(&after, &before), &centre);
        Some((before, more))
    });
    Spread { samples: samples.collect(), mesh: mesh.map(|mesh| less(&mesh, &centre)) }
}
