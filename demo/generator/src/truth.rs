//! What is really so.

use crate::air::Reading;
use crate::engine::{HP, RPM, SIX, Which, best_spark};
use crate::engine_day::{self, planned};
use crate::random::SEED;
use crate::roller::{self, PULL_RPM};
use crate::roller_day;
use crate::run::Trap;

/// The hidden truth of the demo. Torque and power are steady, at 99 kPa dry and 25 °C by SAE J1349.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// Where chance starts from.
    pub seed: u64,
    /// Inertia of engine 114, coupling and brake, kg·m².
    pub inertia: f64,
    /// How late lambda is on the engine dyno, s.
    pub lambda_late: f64,
    /// Best power of build b6 of engine 114.
    pub peak_b6: Peak,
    /// Best power of build b7.
    pub peak_b7: Peak,
    /// The pulls of session 114/s6 in their order.
    pub pulls: Vec<PullTruth>,
    /// Engine 133 on the roller.
    pub roller: RollerTruth,
}

/// Where power is greatest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Engine speed to 10 rpm.
    pub speed_rpm: f64,
    /// Power in horsepower of 550 ft·lbf/s.
    pub power_hp: f64,
}

/// One pull.
#[derive(Debug, Clone, PartialEq)]
pub struct PullTruth {
    /// Number in the session.
    pub number: u32,
    /// File in the session's folder.
    pub file: &'static str,
    /// Which pull of its file, from 1.
    pub part: u32,
    /// `b6`, `b7`; `b1` on the roller.
    pub build: &'static str,
    /// Refit count, from 1.
    pub block: usize,
    /// Engine speeds between which it sweeps, rpm.
    pub speeds_rpm: (f64, f64),
    /// Sweep rate that was set, rpm/s; `None` on the roller, where it follows from power.
    pub rate_rpm_s: Option<f64>,
    /// What is wrong with it.
    pub trap: Option<Trap>,
    /// Torque more than the truth through the whole pull, fraction: refit, drift, warm-up, chance.
    /// Oil temperature, smooth and white noise come on top.
    pub offset: f64,
    /// Air at its first row.
    pub air: Reading,
    /// Oil at its first row, °C.
    pub oil_degc: f64,
}

/// The roller's day.
#[derive(Debug, Clone, PartialEq)]
pub struct RollerTruth {
    /// Equivalent mass of the roller, kg.
    pub mass: f64,
    /// Engine speed over roller surface speed without slip, rad/m.
    pub turns_per_metre: f64,
    /// The pulls of session 133/s1 in their order.
    pub pulls: Vec<PullTruth>,
}

/// The truth behind the files.
pub fn truth() -> Truth {
    Truth {
        seed: SEED,
        inertia: SIX.inertia,
        lambda_late: crate::run::LAMBDA_LATE,
        peak_b6: peak(Which::First),
        peak_b7: peak(Which::Second),
        pulls: engine_pulls(),
        roller: RollerTruth {
            mass: roller::ROLLER_MASS,
            turns_per_metre: roller::TURNS_PER_METRE,
            pulls: roller_pulls(),
        },
    }
}

impl Truth {
    /// Torque of build b6 or b7 of engine 114, N·m; `None` for another name or outside 3,000 to
    /// 9,000 rpm.
    pub fn torque(&self, build: &str, speed_rpm: f64) -> Option<f64> {
        let which = match build {
            "b6" => Which::First,
            "b7" => Which::Second,
            _ => return None,
        };
        known(speed_rpm).map(|rpm| SIX.torque(which, rpm))
    }

    /// Spark of most torque in session 114/s7, degrees before top dead centre; `None` outside 3,500 to
    /// 8,500 rpm.
    pub fn best_spark_deg(&self, speed_rpm: f64) -> Option<f64> {
        (3500.0..=8500.0).contains(&speed_rpm).then(|| best_spark(speed_rpm))
    }

    /// Power that b7 has more than b6, hp; `None` outside 3,000 to 9,000 rpm.
    pub fn difference_hp(&self, speed_rpm: f64) -> Option<f64> {
        known(speed_rpm).map(|rpm| SIX.more_hp(rpm))
    }

    /// Mean over speed of what b7 has more than b6 as a fraction of b6's torque, on a 50 rpm grid
    /// from `from_rpm` to `to_rpm`; `None` outside 3,000 to 9,000 rpm or backwards.
    pub fn mean_difference(&self, from_rpm: f64, to_rpm: f64) -> Option<f64> {
        if known(from_rpm).is_none() || known(to_rpm).is_none() || to_rpm < from_rpm {
            return None;
        }
        let count = ((to_rpm - from_rpm) / 50.0) as usize + 1;
        let more = |rpm: f64| SIX.torque(Which::Second, rpm) / SIX.torque(Which::First, rpm) - 1.0;
        Some((0..count).map(|i| more(from_rpm + 50.0 * i as f64)).sum::<f64>() / count as f64)
    }

    /// Power of engine 133 at the roller's surface in fourth gear, W, while the roller gathers
    /// speed; `None` outside the pull.
    pub fn wheel_power(&self, engine_rpm: f64) -> Option<f64> {
        let inside = (PULL_RPM.0..=PULL_RPM.1).contains(&engine_rpm);
        inside.then(|| roller::wheel_power(engine_rpm))
    }

    /// Power of engine 133 at its crankshaft, steady and in the standard's air, W.
    pub fn crank_power(&self, engine_rpm: f64) -> f64 {
        roller::torque(engine_rpm) * engine_rpm * crate::engine::RPM
    }

    /// Drag of tyres, driveline and roller at a roller surface speed in m/s, N.
    pub fn drag(&self, roller: f64) -> f64 {
        roller::drag(roller)
    }
}

fn known(speed_rpm: f64) -> Option<f64> {
    (3000.0..=9000.0).contains(&speed_rpm).then_some(speed_rpm)
}

fn peak(which: Which) -> Peak {
    let power = |rpm: f64| SIX.torque(which, rpm) * rpm * RPM / HP;
    let speeds = (0..=500).map(|i| 3500.0 + 10.0 * f64::from(i));
    let best = speeds.max_by(|a, b| power(*a).total_cmp(&power(*b)));
    let speed_rpm = best.unwrap_or(f64::NAN);
    Peak { speed_rpm, power_hp: power(speed_rpm) }
}

fn engine_pulls() -> Vec<PullTruth> {
    let pulls = planned();
    let truth = |index: usize| {
        let pull = &pulls[index];
        PullTruth {
            number: pull.number,
            file: pull.file,
            part: pull.part,
            build: pull.build(),
            block: pull.block,
            speeds_rpm: (pull.sweep.from_rpm, pull.sweep.to_rpm),
            rate_rpm_s: Some(pull.sweep.rate_rpm_s),
            trap: pull.trap,
            offset: engine_day::offset(index, &pulls),
            air: engine_day::WEATHER.at(pull.starts),
            oil_degc: pull.oil_degc,
        }
    };
    (0..pulls.len()).map(truth).collect()
}

fn roller_pulls() -> Vec<PullTruth> {
    let truth = |(index, pull): (usize, &roller_day::Planned)| PullTruth {
        number: pull.number,
        file: pull.file,
        part: 1,
        build: "b1",
        block: 1,
        speeds_rpm: PULL_RPM,
        rate_rpm_s: None,
        trap: pull.trap,
        offset: roller_day::offset(index),
        air: roller_day::WEATHER.at(pull.starts),
        oil_degc: pull.oil_degc,
    };
    roller_day::PULLS.iter().enumerate().map(truth).collect()
}
