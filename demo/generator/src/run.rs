//! A run of an engine on the engine dyno, sample by sample.

use crate::air::{Reading, Weather};
use crate::curve::{ease, line};
use crate::engine::{
    AIR_FOR_FUEL, EXHAUST_OF_CYLINDER, Engine, LOST_BY_KNOCK, RPM, Which, best_spark, empty_brake,
    exhaust, fuel_for_work, lost_by_mixture, lost_by_spark, mixture_set, oil_pressure,
};
use crate::motion::Motion;
use crate::random::{Random, Smooth};

/// One row of a log; as read, nothing corrected.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sample {
    /// Since the first row, s.
    pub time: f64,
    pub speed_rpm: f64,
    /// At the load cell, N·m.
    pub torque: f64,
    /// Fraction.
    pub throttle: f64,
    /// Absolute, Pa.
    pub manifold: f64,
    pub lambda: [f64; 2],
    /// kg/s.
    pub fuel: f64,
    /// kg/s.
    pub air: f64,
    /// Above the air outside, Pa.
    pub fuel_pressure: f64,
    /// Above the air outside, Pa.
    pub oil_pressure: f64,
    pub oil_degc: f64,
    pub coolant_degc: f64,
    pub exhaust_degc: [f64; 6],
    pub spark_deg: f64,
    pub weather: Reading,
}

/// What went wrong in a run, if anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trap {
    /// The oil was at 58 °C when the pull began.
    ColdOil,
    /// Fuel pressure sags by 12 % towards the top, the mixture goes lean and torque with it.
    FuelPressureSag,
    /// Oil pressure reads the same for 4 s in the middle of the sweep.
    StuckOilPressure,
    /// Twice the sweep rate of the others.
    FastSweep,
    /// The tyres slip on the roller from 5,500 rpm up, by 4 % at the top.
    WheelSlip,
    /// The log has no engine speed.
    NoEngineSpeed,
}

/// What makes one run what it is.
pub(crate) struct Run<'a> {
    pub engine: &'a Engine,
    pub which: Which,
    pub motion: Motion,
    pub weather: Weather,
    /// Time of day of the first row, s.
    pub starts: f64,
    /// Oil and coolant at the first row, °C.
    pub oil_degc: f64,
    pub coolant_degc: f64,
    /// Torque more than the truth through the whole run, fraction: refit, drift, warm-up, luck.
    pub offset: f64,
    pub trap: Option<Trap>,
    /// Spark of a loop, degrees at every speed; the engine's own table when `None`.
    pub spark_deg: Option<f64>,
    /// Speeds at which it knocks, rpm.
    pub knocks_rpm: Option<(f64, f64)>,
    /// Which stream of chance.
    pub stream: u64,
    /// Samples a second.
    pub rate: f64,
}

/// Noise of torque beside the offset: smooth over 300 rpm and from sample to sample.
const SMOOTH: f64 = 0.0020;
const SMOOTH_OVER_RPM: f64 = 300.0;
const WHITE: f64 = 0.0025;
/// Torque grows with oil temperature, 1/K, from this one on.
const BY_OIL: f64 = 0.0003;
const OIL_OF_TRUTH_DEGC: f64 = 90.0;
/// How late lambda is, s.
pub(crate) const LAMBDA_LATE: f64 = 0.35;
/// Time constant of the exhaust thermocouples, s.
const EXHAUST_SLOW: f64 = 1.2;
const FREE_AIR: f64 = 1.50;

/// The state of the engine at one time, before any instrument.
struct State {
    speed_rpm: f64,
    load: f64,
    running: bool,
    lambda: f64,
    fuel_pressure: f64,
}

impl Run<'_> {
    /// All rows.
    pub fn samples(&self) -> Vec<Sample> {
        let mut random = Random::stream(self.stream);
        let smooth = random.smooth(2000.0, 9000.0, SMOOTH_OVER_RPM);
        let ripple = random.smooth(0.0, self.motion.seconds(), 0.9);
        let rows = (self.motion.seconds() * self.rate) as usize;
        let mut exhaust_degc = [415.0; 6].map(|mean| mean - 120.0);
        let mut stuck = None;
        let mut samples = Vec::with_capacity(rows);
        for row in 0..rows {
            let time = row as f64 / self.rate;
            let state = self.state(time, &ripple);
            self.heat(&mut exhaust_degc, &state);
            let mut sample = self.sample(time, &state, &smooth, &ripple, &mut random);
            sample.exhaust_degc = exhaust_degc.map(|t| t + 0.6 * random.normal());
            let stands = self.trap == Some(Trap::StuckOilPressure)
                && (4.0..8.0).contains(&(time - self.motion.pulling.0));
            if stands {
                sample.oil_pressure = *stuck.get_or_insert(sample.oil_pressure);
            }
            samples.push(sample);
        }
        samples
    }

    fn sample(
        &self,
        time: f64,
        state: &State,
        smooth: &Smooth,
        ripple: &Smooth,
        random: &mut Random,
    ) -> Sample {
        let share = (time / self.motion.seconds()).min(1.0);
        let oil_degc = self.oil_degc + 4.0 * ease(1.4 * share);
        let weather = self.weather.at(self.starts + time);
        let engine_torque = self.full_torque(state, oil_degc, &weather, smooth);
        let baro = 1000.0 * weather.pressure_kpa;
        let breathing = 1.0 - 0.018 * (state.speed_rpm / 8500.0) * (state.speed_rpm / 8500.0);
        let manifold = if state.running {
            baro * (0.36 * (1.0 - state.load) + breathing * state.load)
        } else {
            baro
        };
        let late = self.state(time - LAMBDA_LATE, ripple);
        let read = if time < self.motion.started + 0.8 { FREE_AIR } else { late.lambda };
        let (fuel, air) = flows(state, engine_torque);
        let hiss = |random: &mut Random, share: f64| 1.0 + share * random.normal();
        Sample {
            time,
            speed_rpm: (state.speed_rpm + if state.running { 0.8 * random.normal() } else { 0.0 })
                .max(0.0),
            torque: self.read_torque(time, state, engine_torque, ripple, random),
            throttle: (line(&self.motion.throttle, time) + 0.0004 * random.normal()).max(0.0),
            manifold: manifold + 60.0 * random.normal(),
            lambda: [0.004, -0.004].map(|off| read + off + 0.003 * random.normal()),
            fuel: fuel * hiss(random, 0.004),
            air: air * hiss(random, 0.006),
            fuel_pressure: state.fuel_pressure * hiss(random, 0.002),
            oil_pressure: oil_pressure(state.speed_rpm, oil_degc) * hiss(random, 0.004),
            oil_degc: oil_degc + 0.05 * random.normal(),
            coolant_degc: self.coolant_degc + 3.0 * ease(1.2 * share) + 0.08 * random.normal(),
            exhaust_degc: [0.0; 6],
            spark_deg: self.spark(state),
            weather: flickering(weather, random),
        }
    }

    fn state(&self, time: f64, ripple: &Smooth) -> State {
        let speed_rpm = self.speed_rpm(time, ripple);
        let load = line(&self.motion.load, time);
        let running = time > self.motion.started;
        let sag = match self.trap {
            Some(Trap::FuelPressureSag) => 0.12 * load * ease((speed_rpm - 6200.0) / 2200.0),
            _ => 0.0,
        };
        let of_rest = 1.0 - 0.012 * load * speed_rpm / 8500.0;
        // The flow of a nozzle goes with the root of its pressure.
        let full = mixture_set(speed_rpm) / (1.0 - sag).sqrt();
        let shut = if time > self.motion.pulling.1 { FREE_AIR } else { 0.98 };
        State {
            speed_rpm,
            load,
            running,
            lambda: if running { shut + (full - shut) * load } else { FREE_AIR },
            fuel_pressure: 350.0e3 * of_rest * (1.0 - sag),
        }
    }

    /// The true speed: the motion asked for and the hunting of the brake.
    fn speed_rpm(&self, time: f64, ripple: &Smooth) -> f64 {
        let asked = self.motion.speed_rpm(time);
        asked + 1.5 * ripple.at(time) * (asked / 1000.0).min(1.0)
    }

    /// Torque that the engine has wide open in this air, N·m.
    fn full_torque(&self, state: &State, oil_degc: f64, weather: &Reading, smooth: &Smooth) -> f64 {
        let truth = self.engine.torque(self.which, state.speed_rpm);
        let lean = state.lambda - mixture_set(state.speed_rpm);
        let share = 1.0
            + self.offset
            + SMOOTH * smooth.at(state.speed_rpm)
            + BY_OIL * (oil_degc - OIL_OF_TRUTH_DEGC)
            - lost_by_mixture(state.load * lean)
            - self.lost_in_loop(state.speed_rpm);
        truth * share / weather.factor()
    }

    /// Share of torque that the spark of a loop and its knock take.
    fn lost_in_loop(&self, speed_rpm: f64) -> f64 {
        let spark = self.spark_deg.map_or(0.0, |deg| lost_by_spark(deg - best_spark(speed_rpm)));
        let knocks = self.knocks_rpm.is_some_and(|(from, to)| (from..=to).contains(&speed_rpm));
        spark + if knocks { LOST_BY_KNOCK } else { 0.0 }
    }

    /// What the load cell sees: less what accelerates engine and brake.
    fn read_torque(
        &self,
        time: f64,
        state: &State,
        full: f64,
        ripple: &Smooth,
        random: &mut Random,
    ) -> f64 {
        let step = 0.01;
        let faster = self.speed_rpm(time + step, ripple) - self.speed_rpm(time - step, ripple);
        let accelerating = self.engine.inertia * faster / (2.0 * step) * RPM;
        let empty = empty_brake(state.speed_rpm);
        let braked = (full - accelerating) * (1.0 + WHITE * random.normal());
        let load = state.load;
        load * braked + (1.0 - load) * empty + 0.15 * random.normal()
    }

    fn spark(&self, state: &State) -> f64 {
        let table = self.engine.spark(self.which, state.speed_rpm);
        let full = self.spark_deg.unwrap_or(table);
        if state.running { 15.0 + (full - 15.0) * state.load } else { 0.0 }
    }

    fn heat(&self, exhaust_degc: &mut [f64; 6], state: &State) {
        let lean = state.lambda - mixture_set(state.speed_rpm);
        let settled =
            if state.running { exhaust(state.speed_rpm, state.load, lean) } else { 250.0 };
        for (now, own) in exhaust_degc.iter_mut().zip(EXHAUST_OF_CYLINDER) {
            *now += (settled + own - *now) / (self.rate * EXHAUST_SLOW);
        }
    }
}

/// The air as the sensors show it.
pub(crate) fn flickering(air: Reading, random: &mut Random) -> Reading {
    Reading {
        pressure_kpa: air.pressure_kpa + 0.004 * random.normal(),
        temperature_degc: air.temperature_degc + 0.06 * random.normal(),
        humidity_percent: air.humidity_percent + 0.3 * random.normal(),
        ..air
    }
}

/// Fuel and air, kg/s: what the work takes at full load, what friction takes without.
fn flows(state: &State, torque: f64) -> (f64, f64) {
    if !state.running {
        return (0.0, 0.0);
    }
    let power = torque * state.speed_rpm * RPM;
    let air_full = power * fuel_for_work(state.speed_rpm) * mixture_set(state.speed_rpm);
    let fuel_full = air_full / state.lambda;
    let fuel_shut = (0.9 + 0.0009 * state.speed_rpm) / 3600.0;
    let fuel = state.load * fuel_full + (1.0 - state.load) * fuel_shut;
    (fuel, fuel * state.lambda * AIR_FOR_FUEL)
}
