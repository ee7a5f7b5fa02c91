//! What must come of any engine file: a curve of numbers, or a reason with a remedy.

use shortblock_cycle::{Executor, Point, Precision, Settings};
use shortblock_engine::{Memory, load};
use shortblock_plan::{Ask, Quality, Watch, predict};
use std::sync::atomic::{AtomicUsize, Ordering};

/// What came of an engine file.
pub enum Outcome {
    /// A curve; for each speed that could not be worked out why.
    Curve { holes: Vec<String> },
    /// No engine, or no curve, and why.
    Reason(String),
}

/// Cycles that a curve of a few speeds may take in all, a coarser start and spark search included.
const MOST_CYCLES: usize = 2000;

/// Stops a run that does not come to an end.
struct Patience(AtomicUsize);

impl Watch for Patience {
    fn stop(&self) -> bool {
        self.0.fetch_add(1, Ordering::Relaxed) > MOST_CYCLES
    }
}

/// The outcome for an engine file at so many speeds, or what is wrong about it.
pub fn survived(
    text: &str,
    points: usize,
    precision: Precision,
    executor: &dyn Executor,
) -> Result<Outcome, String> {
    let build = match load("random", &Memory::default().with("random", text)).build {
        Ok(build) => build,
        Err(faults) => {
            let without = faults.faults.iter().find(|f| f.remedy.is_empty() && f.mark.is_empty());
            return match without {
                Some(fault) => Err(format!("a fault without remedy: {}", fault.what)),
                None => Ok(Outcome::Reason(faults.render())),
            };
        }
    };
    let settings = Settings { precision, ..Settings::usual() };
    let (quality, plus_minus) = (Quality::Coarse, false);
    let ask = Ask { quality, plus_minus, points, settings, ..Ask::default() };
    let patience = Patience(AtomicUsize::new(0));
    let prediction = match predict(&build, &ask, executor, &patience) {
        Ok(prediction) => prediction,
        Err(error) if patience.stop() => return Err(format!("does not come to an end: {error}")),
        Err(error) => {
            let why = error.to_string();
            return match why.contains("hint: ") {
                true => Ok(Outcome::Reason(why)),
                false => Err(format!("a reason without remedy: {why}")),
            };
        }
    };
    let remarked = prediction.remarks.iter().any(|remark| remark.contains("does not burn through"));
    for point in &prediction.points {
        check(point, remarked)?;
    }
    let curve = &prediction.curve;
    if !curve.torque().iter().chain(curve.speed()).all(|x| x.is_finite()) {
        return Err("a curve with a number that is none".into());
    }
    if let Some(limit) = prediction.limits.iter().find(|limit| !limit.value.is_finite()) {
        return Err(format!("limit {} is no number", limit.name));
    }
    let holes = prediction.failures.iter().map(|failure| failure.reason.to_string());
    Ok(Outcome::Curve { holes: holes.collect() })
}

/// Every figure of the point is a number, and none is absurd.
fn check(point: &Point, remarked: bool) -> Result<(), String> {
    let of = |name: &str, value: f64, low: f64, high: f64| match value.is_finite()
        && (low..=high).contains(&value)
    {
        true => Ok(()),
        false => Err(format!("{name} is {value} at {:.0} rad/s", point.speed)),
    };
    of("volumetric efficiency", point.volumetric_efficiency, 0.0, 3.0)?;
    of("imep", point.imep, -10e5, 60e5)?;
    of("fmep", point.fmep, 0.0, 30e5)?;
    of("air flow", point.air_flow, 0.0, 10.0)?;
    of("heat share", point.heat_share, -1.0, 3.0)?;
    for cylinder in &point.cylinders {
        of("peak pressure", cylinder.peak_pressure, 1e4, 500e5)?;
        of("exhaust temperature", cylinder.exhaust_temperature, 200.0, 3500.0)?;
        of("residual", cylinder.residual, 0.0, 1.0)?;
        // A charge that does not burn through has no burn angles, and the prediction says so.
        if !remarked || !cylinder.burn_50.is_nan() {
            of("burn 50", cylinder.burn_50, -4.0, 12.6)?;
        }
    }
    Ok(())
}
