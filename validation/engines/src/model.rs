//! The prediction with the generic numbers moved, by the same library the command stands on.

use crate::case::Case;
use crate::figures::{Figures, envelope};
use crate::fit::{Scores, factors};
use shortblock_cycle::Executor;
use shortblock_engine::Build;
use shortblock_plan::{Ask, Closures, Quality, Unwatched, predict};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Work on as many threads as the machine has.
pub struct Threads;

impl Executor for Threads {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        let next = AtomicUsize::new(0);
        let threads = thread::available_parallelism().map_or(1, usize::from).min(count.max(1));
        thread::scope(|scope| {
            for _ in 0..threads {
                scope.spawn(|| {
                    loop {
                        let i = next.fetch_add(1, Ordering::Relaxed);
                        if i >= count {
                            break;
                        }
                        work(i);
                    }
                });
            }
        });
    }
}

/// Full-load points of a case at speeds (rad/s, rising) with the generic numbers at `z`; with
/// variable cams the best phase at each speed. A speed that can't be worked out is left out.
pub fn points(
    case: &Case,
    z: &Scores,
    speeds: &[f64],
    quality: Quality,
) -> Result<Vec<Figures>, String> {
    let phases = case
        .phased
        .iter()
        .map(|(_, build)| {
            phase(build, z, speeds, quality).map_err(|e| format!("{}: {e}", case.file))
        })
        .collect::<Result<Vec<_>, String>>()?;
    Ok(envelope(phases))
}

fn phase(
    build: &Build,
    z: &Scores,
    speeds: &[f64],
    quality: Quality,
) -> Result<Vec<Figures>, String> {
    // The factors stand on the relations; the ask's on the shipped ones.
    let (own, shipped) = (factors(z), Closures::shipped());
    let closures = Closures {
        flow: own[0] / shipped.flow,
        burn: own[1] / shipped.burn,
        heat: own[2] / shipped.heat,
        friction: own[3] / shipped.friction,
    };
    let ask = Ask {
        speeds: Some(speeds.to_vec()),
        quality,
        plus_minus: false,
        closures,
        ..Ask::default()
    };
    let prediction = predict(build, &ask, &Threads, &Unwatched).map_err(|e| e.to_string())?;
    Ok(prediction.points.iter().map(Figures::from).collect())
}

/// Torques of a case on coarse cells and what the inputs' ± make of them, N·m; with variable cams
/// the best phase at each speed, sample by sample.
pub struct Sampled {
    /// As predicted.
    pub centre: Vec<f64>,
    /// `[sample][speed]`.
    pub samples: Vec<Vec<f64>>,
}

/// What samples of the inputs do at speeds, the generic numbers taken as exact.
pub fn samples(case: &Case, speeds: &[f64]) -> Result<Sampled, String> {
    let ask = Ask {
        speeds: Some(speeds.to_vec()),
        quality: Quality::Coarse,
        closures_exact: true,
        ..Ask::default()
    };
    let mut all: Option<Sampled> = None;
    for (_, build) in &case.phased {
        let prediction = predict(build, &ask, &Threads, &Unwatched).map_err(|e| e.to_string())?;
        let centre = prediction.curve.torque().to_vec();
        if centre.len() != speeds.len() {
            return Err(format!("{}: a speed could not be worked out", case.file));
        }
        let band = prediction.band.ok_or("no band")?;
        let row = |row: &Vec<f64>| centre.iter().zip(row).map(|(t, d)| t * d.exp()).collect();
        let rows = band.deviations.iter();
        // A lost sample stands at the centre of its phase.
        let rows: Vec<Vec<f64>> =
            rows.map(|r| r.as_ref().map_or_else(|| centre.clone(), row)).collect();
        all = Some(match all {
            None => Sampled { centre, samples: rows },
            Some(other) => Sampled {
                centre: best(&other.centre, &centre),
                samples: other.samples.iter().zip(&rows).map(|(a, b)| best(a, b)).collect(),
            },
        });
    }
    all.ok_or_else(|| "no phase".into())
}

fn best(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| a.max(*b)).collect()
}
