//! The hidden car on the inertia roller: engine 133, a blown 1.8-litre four, in fourth gear.

use crate::air::{Reading, Weather};
use crate::curve::{Curve, ease, smooth};
use crate::engine::RPM;
use crate::random::Random;
use crate::run::{Trap, flickering};

/// Torque of the engine, steady, in the air of SAE J1349, N·m.
const TORQUE: Curve<'static> = Curve {
    from: 2000.0,
    step: 500.0,
    values: &[205.0, 221.0, 231.0, 236.0, 238.0, 237.0, 233.0, 227.0, 220.0, 211.0, 200.0, 186.0],
};
/// Equivalent mass of the roller, kg, and what the car's wheels add to it.
pub(crate) const ROLLER_MASS: f64 = 1240.0;
const WHEELS_MASS: f64 = 28.0;
/// Inertia of the engine and what turns with it, kg·m².
const ENGINE_INERTIA: f64 = 0.17;
/// Engine speed over roller surface speed without slip, rad/m.
pub(crate) const TURNS_PER_METRE: f64 = 14.35;
/// Share of the engine's torque that gears lose.
const GEARS: f64 = 0.045;
/// Drag of tyres, driveline and roller: a constant part, N, and one with speed squared, N s²/m².
const DRAG: (f64, f64) = (230.0, 0.07);
/// Speeds of a pull, rpm.
pub(crate) const PULL_RPM: (f64, f64) = (2500.0, 7100.0);

/// One row of the roller's log.
pub(crate) struct Row {
    /// s.
    pub time: f64,
    /// Surface of the roller, m/s.
    pub roller: f64,
    pub engine_rpm: f64,
    /// Fraction.
    pub throttle: f64,
    /// Above the air outside, Pa.
    pub boost: f64,
    pub lambda: f64,
    pub coolant_degc: f64,
    pub oil_degc: f64,
    /// Behind the blower's cooler, °C.
    pub charge_degc: f64,
    pub weather: Reading,
}

/// One run on the roller.
pub(crate) struct Run {
    pub weather: Weather,
    /// Time of day of the first row, s.
    pub starts: f64,
    /// Torque more than the truth, fraction.
    pub offset: f64,
    pub trap: Option<Trap>,
    pub oil_degc: f64,
    pub stream: u64,
}

/// What the driver does.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Phase {
    Steady,
    Pull,
    Coast,
}

/// Force of drag at a roller speed, N.
pub(crate) fn drag(roller: f64) -> f64 {
    DRAG.0 + DRAG.1 * roller * roller
}

/// How much faster the tyre goes than the roller, fraction.
fn slip(trap: Option<Trap>, engine_rpm: f64) -> f64 {
    match trap {
        Some(Trap::WheelSlip) => 0.04 * ease((engine_rpm - 5500.0) / 1600.0),
        _ => 0.0,
    }
}

/// Acceleration of the roller, m/s², that `torque` at the crankshaft gives it.
fn acceleration(torque: f64, roller: f64) -> f64 {
    let through_gears = (1.0 - GEARS) * TURNS_PER_METRE;
    let mass = ROLLER_MASS + WHEELS_MASS + through_gears * TURNS_PER_METRE * ENGINE_INERTIA;
    (torque * through_gears - drag(roller)) / mass
}

/// Power at the roller's surface, W, in a pull without noise in the standard's air.
pub(crate) fn wheel_power(engine_rpm: f64) -> f64 {
    let roller = engine_rpm * RPM / TURNS_PER_METRE;
    ROLLER_MASS * acceleration(torque(engine_rpm), roller) * roller
}

/// Torque of the engine, N·m.
pub(crate) fn torque(engine_rpm: f64) -> f64 {
    smooth(&TORQUE, engine_rpm)
}

/// Rows a second of the log, and steps a row.
const RATE: f64 = 20.0;
const STEPS: usize = 50;
const STEP: f64 = 1.0 / (RATE * STEPS as f64);
/// Torque's noise, smooth over 300 rpm.
const SMOOTH: f64 = 0.0025;
/// How long the car goes steadily before anything, s.
const STEADY: f64 = 2.0;
/// Charge air above the air outside, K: at rest and where it tends to in a pull; its time constant, s.
const CHARGE: (f64, f64, f64) = (12.0, 36.0, 9.0);

/// The car on the roller at one time.
struct Car {
    phase: Phase,
    /// Time in this phase, s.
    since: f64,
    /// Surface of the roller, m/s.
    roller: f64,
    engine_rpm: f64,
    /// Charge air above the air outside, K.
    charge: f64,
}

impl Run {
    /// Two seconds steady, a pull to the top, then six seconds rolling out of gear.
    pub fn pull(&self) -> Vec<Row> {
        let mut rows = self.rows(PULL_RPM.0 * RPM / TURNS_PER_METRE, Phase::Pull);
        let over = rows.iter().rposition(|row| row.throttle > 0.5).map_or(0, |row| row + 1);
        rows.truncate(over + (6.0 * RATE) as usize);
        rows
    }

    /// From 180 to 60 km/h out of gear, ten rows a second.
    pub fn coast(&self) -> Vec<Row> {
        self.rows(180.0 / 3.6, Phase::Coast).into_iter().step_by(2).collect()
    }

    /// Rows from a steady speed on, through `then`, until the roller goes at 60 km/h again.
    fn rows(&self, from: f64, then: Phase) -> Vec<Row> {
        let mut random = Random::stream(self.stream);
        let noise = random.smooth(2000.0, 8000.0, 300.0);
        let engine_rpm = from * TURNS_PER_METRE / RPM;
        let mut car =
            Car { phase: Phase::Steady, since: 0.0, roller: from, engine_rpm, charge: CHARGE.0 };
        let mut rows = Vec::new();
        while car.phase != Phase::Coast || car.roller > 60.0 / 3.6 {
            let time = rows.len() as f64 / RATE;
            rows.push(self.row(time, &car, &mut random));
            let factor = self.weather.at(self.starts + time).factor();
            for _ in 0..STEPS {
                let share = 1.0 + self.offset + SMOOTH * noise.at(car.engine_rpm);
                self.advance(&mut car, share / factor);
                let next = match car.phase {
                    Phase::Steady if car.since >= STEADY => then,
                    Phase::Pull if car.engine_rpm >= PULL_RPM.1 => Phase::Coast,
                    same => same,
                };
                if next != car.phase {
                    (car.phase, car.since) = (next, 0.0);
                }
            }
        }
        rows
    }

    /// One step of time; the engine gives `share` of its true torque.
    fn advance(&self, car: &mut Car, share: f64) {
        car.since += STEP;
        let gained = match car.phase {
            Phase::Steady => 0.0,
            Phase::Coast => -drag(car.roller) / (ROLLER_MASS + WHEELS_MASS),
            // What the tyre turns too much is lost as heat.
            Phase::Pull => {
                acceleration(torque(car.engine_rpm) * share * ease(car.since / 0.4), car.roller)
                    * (1.0 - slip(self.trap, car.engine_rpm))
            }
        };
        car.roller += gained * STEP;
        car.engine_rpm = match car.phase {
            Phase::Coast => car.engine_rpm + (950.0 - car.engine_rpm) * STEP / 0.8,
            _ => car.roller * TURNS_PER_METRE / RPM * (1.0 + slip(self.trap, car.engine_rpm)),
        };
        let tends_to = if car.phase == Phase::Pull { CHARGE.1 } else { CHARGE.0 };
        car.charge += (tends_to - car.charge) * STEP / CHARGE.2;
    }

    fn row(&self, time: f64, car: &Car, random: &mut Random) -> Row {
        let load = if car.phase == Phase::Pull { ease(car.since / 0.4) } else { 0.0 };
        let weather = self.weather.at(self.starts + time);
        let shown = flickering(weather, random);
        let mut noise = |sd: f64| sd * random.normal();
        let boosted = 22.0e3 + 30.0e3 * (car.engine_rpm - 2500.0) / 4600.0;
        // Throttle, boost and mixture without load.
        let light = match car.phase {
            Phase::Coast => (0.0, -58.0e3, 1.25),
            _ => (0.16, -32.0e3, 1.0),
        };
        Row {
            time,
            roller: car.roller + noise(0.004),
            engine_rpm: car.engine_rpm + noise(2.0),
            throttle: (light.0 + (0.995 - light.0) * load + noise(0.0005)).max(0.0),
            boost: light.1 + (boosted - light.1) * load + noise(250.0),
            lambda: light.2 + (0.84 - light.2) * load + noise(0.004),
            coolant_degc: 86.0 + 0.12 * time.min(30.0) + noise(0.1),
            oil_degc: self.oil_degc + 0.2 * time.min(30.0) + noise(0.1),
            charge_degc: weather.temperature_degc + car.charge + noise(0.2),
            weather: shown,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An eighth to a quarter of the power does not arrive: common practice, no source.
    #[test]
    fn the_wheels_get_most_of_what_the_engine_gives() {
        for rpm in [3000.0, 5000.0, 7000.0] {
            let share = wheel_power(rpm) / (torque(rpm) * rpm * RPM);
            assert!((0.75..0.875).contains(&share), "{rpm}: {share}");
        }
    }
}
