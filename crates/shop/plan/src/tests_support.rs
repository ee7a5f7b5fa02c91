//! Builds and points for tests.

use crate::closures::NAMES;
use crate::error::PlanError;
use crate::samples::uncertain;
use crate::solver::{Asked, Solver, Trial, Worked};
use crate::watch::Staged;
use shortblock_cycle::{CylinderPoint, Executor, Point};
use shortblock_engine::{Build, Memory, load};

const FOUR: &str = r#"format = 1
number     = "201"
cylinders  = 4
bore       = "86.0 mm"
stroke     = "86.0 mm"
compression_ratio = 10.5
[intake]
valves = { per_cylinder = 2, diameter = "34.0 mm" }
cam    = { lift = "9.5 mm", duration = "240 deg at 1.0 mm", centreline = "108 deg" }
[exhaust]
valves = { per_cylinder = 2, diameter = "29.0 mm" }
cam    = { lift = "9.0 mm", duration = "236 deg at 1.0 mm", centreline = "110 deg" }
[goal]
power  = "200 hp"
"#;

/// An invented road four with two intake valves of 34 mm.
pub(crate) fn four() -> Build {
    let loaded = load("four.toml", &Memory::default().with("four.toml", FOUR));
    *loaded.build.expect("the demo four is in order")
}

/// A point with nothing remarkable about it.
pub(crate) fn plain_point(build: &Build, speed: f64) -> Point {
    let cylinder = CylinderPoint {
        peak_pressure: 6.0e6,
        exhaust_temperature: 1000.0,
        exhaust_choked: 0.2,
        ..CylinderPoint::default()
    };
    Point {
        speed,
        brake_torque: 180.0,
        brake_power: 180.0 * speed,
        mean_piston_speed: build.bottom_end.stroke.si * speed / std::f64::consts::PI,
        inlet_mach_index: 0.4,
        air_flow: 0.05,
        cylinders: vec![cylinder; build.layout.cylinders],
        convergence: shortblock_cycle::Convergence { cycles: 6, change: 1e-4, converged: true },
        ..Point::default()
    }
}

/// A stand-in with a known answer: ln torque is linear in the values and in the scores of the closures.
pub(crate) struct Linear {
    /// ln torque for one standard deviation of a value, by path; the model's own four by name.
    pub slopes: Vec<(&'static str, f64)>,
    /// The slope's share at the lowest and at the highest speed; straight between.
    pub tilt: (f64, f64),
    /// Value and standard deviation at the zero of each slope; none for the model's own.
    pub zero: Vec<Option<(f64, f64)>>,
    /// Added to ln torque on meshes coarser than the fine one, times the coarsening.
    pub mesh_error: f64,
}

impl Linear {
    pub fn new(slopes: &[(&'static str, f64)]) -> Self {
        let values = uncertain(&four(), &[]);
        let zero = |path: &str| values.iter().find(|v| v.path == path).map(|v| (v.si, v.sd));
        let zero = slopes.iter().map(|(path, _)| zero(path)).collect();
        Self { slopes: slopes.to_vec(), tilt: (1.0, 1.0), zero, mesh_error: 0.0 }
    }

    fn ln_torque(&self, trial: &Trial, speed: f64) -> f64 {
        let x = (speed / 800.0).clamp(0.0, 1.0);
        let tilt = self.tilt.0 + (self.tilt.1 - self.tilt.0) * x;
        let own = trial.closures.scores();
        let score = |path: &str, zero: &Option<(f64, f64)>| {
            if let Some(i) = NAMES.iter().position(|name| *name == path) {
                return own[i];
            }
            let value = trial.build.item(path).and_then(|item| item.value());
            value.zip(*zero).map_or(0.0, |(value, (si, sd))| (value.si - si) / sd)
        };
        let terms = self.slopes.iter().zip(&self.zero);
        let sum: f64 = terms.map(|((path, slope), zero)| slope * score(path, zero)).sum();
        // A hump at 450 rad/s.
        (200.0 - 60.0 * ((speed - 450.0) / 350.0).powi(2)).ln() + tilt * sum
    }
}

impl Solver for Linear {
    fn work_out(
        &self,
        asked: &Asked,
        executor: &dyn Executor,
        watch: &Staged,
    ) -> Result<Worked, PlanError> {
        use shortblock_cycle::Watch;
        let _ = executor;
        let coarser = asked.cells.cold / shortblock_cycle::CellLength::FINE.cold - 1.0;
        let row = |trial: &Trial| {
            let point = |speed: &f64| {
                if watch.stop() {
                    return Err(shortblock_cycle::CycleError::Stopped);
                }
                let mut point = plain_point(trial.build, *speed);
                let ln = self.ln_torque(trial, *speed) + self.mesh_error * coarser;
                point.brake_torque = ln.exp();
                point.brake_power = point.brake_torque * speed;
                Ok(point)
            };
            watch.done(asked.speeds.len());
            Ok(asked.speeds.iter().map(point).collect())
        };
        Ok(Worked { rows: asked.trials.iter().map(row).collect(), cells: 100 })
    }
}
