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
    let [flow, burn, heat, friction] = factors(z);
    let ask = Ask {
        speeds: Some(speeds.to_vec()),
        quality,
        plus_minus: false,
        closures: Closures { flow, burn, heat, friction },
        ..Ask::default()
    };
    let prediction = predict(build, &ask, &Threads, &Unwatched).map_err(|e| e.to_string())?;
    Ok(prediction.points.iter().map(Figures::from).collect())
}

/// ln of each sample's torque over the predicted one at speeds, `[sample][speed]`: what the
/// inputs' ± and the generic numbers' priors do.
pub fn samples(case: &Case, speeds: &[f64]) -> Result<Vec<Vec<f64>>, String> {
    let ask = Ask { speeds: Some(speeds.to_vec()), quality: Quality::Coarse, ..Ask::default() };
    let build = &case.phased.first().ok_or("no phase")?.1;
    let prediction = predict(build, &ask, &Threads, &Unwatched).map_err(|e| e.to_string())?;
    let band = prediction.band.ok_or("no band")?;
    Ok(band.deviations.into_iter().flatten().collect())
}
