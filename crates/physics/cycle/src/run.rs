//! Runs operating points until their cycles repeat, first on coarse meshes, then on the wanted one.

use crate::batch::turn;
use crate::level::*;
use crate::mesh::{COARSENINGS, Mesh};
use crate::network::Network;
use crate::point::{Demand, Point};
use crate::prepare::prepare;
use crate::stage::{Pace, Stage, Underway};
use crate::{CycleError, Precision, Settings};
use shortblock_lanes::Lane;

/// One point to work out. Designs that share a mesh must have the same parts.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The design.
    pub network: &'a Network,
    /// How it is cut.
    pub mesh: &'a Mesh,
    /// Speed, mixture and spark.
    pub demand: &'a Demand,
}

/// Does independent pieces of work, on as many threads as the caller likes.
pub trait Executor: Sync {
    /// Calls `work(i)` once for each `i` below `count`, in any order.
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync));

    /// On how many threads it does so; nothing but the time depends on it.
    fn threads(&self) -> usize {
        1
    }
}

/// Does one piece after the other on the calling thread.
#[derive(Clone, Copy, Debug, Default)]
pub struct Serial;

impl Executor for Serial {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        (0..count).for_each(work);
    }
}

/// Watches a run: told of each point done, asked whether to stop.
pub trait Watch: Sync {
    /// Whether the run should stop at the next cycle.
    fn stop(&self) -> bool {
        false
    }
    /// So many more points are done.
    fn done(&self, points: usize) {
        let _ = points;
    }
}

/// Nobody watches.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unwatched;

impl Watch for Unwatched {}

/// Works out all jobs; the results stand in the order of the jobs.
///
/// A point's result does not depend on the other jobs, on their order, or on the executor.
pub fn run(
    jobs: &[Job],
    settings: &Settings,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Vec<Result<Point, CycleError>> {
    let mut results: Vec<Result<Point, CycleError>> =
        jobs.iter().map(|_| Err(CycleError::Stopped)).collect();
    let mut underway = Vec::new();
    let ready = prepare(jobs);
    for (index, (job, ready)) in jobs.iter().zip(&ready).enumerate() {
        match ready {
            Ok(ready) => underway.push(Underway::new(index, job, ready)),
            Err(error) => results[index] = Err(error.clone()),
        }
    }
    for point in turned(jobs, underway, settings, executor, watch) {
        if let Some(result) = point.result {
            results[point.index] = result;
        }
    }
    // What is lost spreads within a cycle: those points are run once more and looked at step by step.
    let lost = |index: &usize| matches!(results[*index], Err(CycleError::Lost { .. }));
    let lost = (0..jobs.len())
        .filter(lost)
        .filter_map(|index| Some(Underway::new(index, &jobs[index], ready[index].as_ref().ok()?)));
    let lost: Vec<Underway> = lost.collect();
    for point in turned_at(Pace::Step, jobs, lost, settings, executor, &Quiet(watch)) {
        if let Some(result @ Err(CycleError::Lost { .. })) = point.result {
            results[point.index] = result;
        }
    }
    results
}

/// Hears of a stop and tells nothing: the points were told of before.
struct Quiet<'a>(&'a dyn Watch);

impl Watch for Quiet<'_> {
    fn stop(&self) -> bool {
        self.0.stop()
    }
}

/// Turns the points over on their meshes, the coarsest first; as they stand at the end of their
/// last cycle.
pub(crate) fn turned<'a>(
    jobs: &[Job<'a>],
    underway: Vec<Underway<'a>>,
    settings: &Settings,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Vec<Underway<'a>> {
    turned_at(Pace::Cycle, jobs, underway, settings, executor, watch)
}

fn turned_at<'a>(
    pace: Pace,
    jobs: &[Job<'a>],
    mut underway: Vec<Underway<'a>>,
    settings: &Settings,
    executor: &dyn Executor,
    watch: &dyn Watch,
) -> Vec<Underway<'a>> {
    let coarsenings = if settings.coarse_start { COARSENINGS } else { 0 };
    let mut done = Vec::new();
    for coarsening in (0..=coarsenings).rev() {
        let (here, later): (Vec<_>, Vec<_>) =
            underway.into_iter().partition(|p| jobs[p.index].mesh.coarsened(coarsening).is_some());
        let mut stages = stages(jobs, here, settings, coarsening);
        stages.iter_mut().for_each(|stage| stage.pace = pace);
        // What only begins a run may be rounded.
        let precision = if coarsening > 0 { Precision::F32 } else { settings.precision };
        work(&stages, &Settings { precision, ..*settings }, executor, watch);
        let points = stages.into_iter().flat_map(Stage::into_points);
        let (ended, going_on): (Vec<_>, Vec<_>) = points.partition(|p| p.result.is_some());
        done.extend(ended);
        underway = going_on.into_iter().chain(later).collect();
    }
    done
}

/// The points by their meshes, so much coarser than asked for.
fn stages<'a>(
    jobs: &[Job<'a>],
    mut underway: Vec<Underway<'a>>,
    settings: &Settings,
    coarsening: usize,
) -> Vec<Stage<'a, 'a>> {
    let mut stages = Vec::new();
    while let Some(first) = underway.first() {
        let mesh = jobs[first.index].mesh;
        let (alike, others) =
            underway.into_iter().partition(|p| std::ptr::eq(jobs[p.index].mesh, mesh));
        underway = others;
        stages.push(match mesh.coarsened(coarsening) {
            Some(start) if coarsening > 0 => Stage::start(start, coarsening, alike),
            _ => Stage::last(mesh, settings, alike),
        });
    }
    stages
}

/// Works at all stages, with as many pieces of work as there are batches to fill. A piece goes on
/// until nothing waits; what comes late may find nothing left.
fn work(stages: &[Stage], settings: &Settings, executor: &dyn Executor, watch: &dyn Watch) {
    let width = width(settings);
    let threads = executor.threads();
    let batches = |stage: &Stage| stage.waiting().div_ceil(width).max(threads);
    let pieces: Vec<&Stage> = stages.iter().flat_map(|stage| vec![stage; batches(stage)]).collect();
    executor.for_each(pieces.len(), &|i| dispatch(pieces[i], settings, threads, watch));
}

fn width(settings: &Settings) -> usize {
    match (settings.level.kind(), settings.precision) {
        (Kind::Baseline, Precision::F64) => Base64::WIDTH,
        (Kind::Baseline, Precision::F32) => Base32::WIDTH,
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx2, Precision::F64) => Avx2F64::WIDTH,
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx2, Precision::F32) => Avx2F32::WIDTH,
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F64) => Avx512F64::WIDTH,
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F32) => Avx512F32::WIDTH,
        #[cfg(not(target_arch = "x86_64"))]
        _ => 1,
    }
}

fn dispatch(stage: &Stage, settings: &Settings, threads: usize, watch: &dyn Watch) {
    match (settings.level.kind(), settings.precision) {
        (Kind::Baseline, Precision::F64) => turn::<Base64>(stage, watch),
        (Kind::Baseline, Precision::F32) => turn::<Base32>(stage, watch),
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx2, Precision::F64) => turn::<Avx2F64>(stage, watch),
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx2, Precision::F32) => turn::<Avx2F32>(stage, watch),
        // Narrower registers of the same machine are quicker, and agree to the bit.
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F64) if stage.fills(threads * Avx512F64::WIDTH) => {
            turn::<Avx512F64>(stage, watch)
        }
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F64) => turn::<Avx2F64>(stage, watch),
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F32) if stage.fills(threads * Avx512F32::WIDTH) => {
            turn::<Avx512F32>(stage, watch)
        }
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F32) => turn::<Avx2F32>(stage, watch),
        #[cfg(not(target_arch = "x86_64"))]
        _ => turn::<Base64>(stage, watch),
    }
}
