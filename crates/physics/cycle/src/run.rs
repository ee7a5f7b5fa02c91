//! Runs operating points: groups them into lanes, turns each group over until its cycle repeats,
//! first on a coarse mesh, then on the wanted one.

use crate::batch::converge;
use crate::level::*;
use crate::mesh::Mesh;
use crate::network::Network;
use crate::point::{Demand, Point};
use crate::prepare::{Prepared, prepare};
use crate::{CycleError, Precision, Settings};
use shortblock_lanes::Lane;
use std::sync::Mutex;

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
    let prepared: Vec<Result<Prepared, CycleError>> = prepare(jobs);
    let groups = groups(jobs, &prepared, width(settings));
    let results: Mutex<Vec<Option<Result<Point, CycleError>>>> =
        Mutex::new(prepared.iter().map(|p| p.as_ref().err().cloned().map(Err)).collect());
    executor.for_each(groups.len(), &|g| {
        let group = &groups[g];
        let lanes: Vec<(&Job, &Prepared)> = group
            .iter()
            .filter_map(|&i| prepared[i].as_ref().ok().map(|ready| (&jobs[i], ready)))
            .collect();
        let points = dispatch(&lanes, settings, watch);
        watch.done(group.len());
        // A poisoned lock means another group panicked; its message is the one to see.
        let mut results = results.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        for (&i, point) in group.iter().zip(points) {
            results[i] = Some(point);
        }
    });
    let results = results.into_inner().unwrap_or_else(|poisoned| poisoned.into_inner());
    results.into_iter().map(|result| result.unwrap_or(Err(CycleError::Stopped))).collect()
}

/// Groups of jobs that turn in lock-step: same mesh, same steps per cycle, neighbours in order.
fn groups(
    jobs: &[Job],
    prepared: &[Result<Prepared, CycleError>],
    width: usize,
) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (i, job) in jobs.iter().enumerate() {
        let Ok(ready) = &prepared[i] else { continue };
        let fits = |group: &&mut Vec<usize>| {
            let other = group[0];
            group.len() < width
                && std::ptr::eq(jobs[other].mesh, job.mesh)
                && prepared[other].as_ref().is_ok_and(|o| o.steps == ready.steps)
        };
        match groups.iter_mut().find(fits) {
            Some(group) => group.push(i),
            None => groups.push(vec![i]),
        }
    }
    // The slowest speeds take the most steps: first, so that no thread is left with them.
    groups
        .sort_by_key(|group| std::cmp::Reverse(prepared[group[0]].as_ref().map_or(0, |p| p.steps)));
    groups
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

fn dispatch(
    lanes: &[(&Job, &Prepared)],
    settings: &Settings,
    watch: &dyn Watch,
) -> Vec<Result<Point, CycleError>> {
    match (settings.level.kind(), settings.precision) {
        (Kind::Baseline, Precision::F64) => converge::<Base64>(lanes, settings, watch),
        (Kind::Baseline, Precision::F32) => converge::<Base32>(lanes, settings, watch),
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx2, Precision::F64) => converge::<Avx2F64>(lanes, settings, watch),
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx2, Precision::F32) => converge::<Avx2F32>(lanes, settings, watch),
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F64) => converge::<Avx512F64>(lanes, settings, watch),
        #[cfg(target_arch = "x86_64")]
        (Kind::Avx512, Precision::F32) => converge::<Avx512F32>(lanes, settings, watch),
        #[cfg(not(target_arch = "x86_64"))]
        _ => converge::<Base64>(lanes, settings, watch),
    }
}
