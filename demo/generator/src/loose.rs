//! Three logs in a folder and nothing beside them: engine 201, with more spark in the last.

use crate::File;
use crate::air::{Weather, reading};
use crate::engine::{FOUR, Which};
use crate::motion::{Motion, Sweep};
use crate::random::Random;
use crate::run::{Run, Sample};
use crate::table::{PLAIN, bracketed, column};

const WEATHER: Weather =
    Weather(&[reading(10, 0, 99.71, 16.2, 58.0), reading(11, 30, 99.66, 17.8, 54.0)]);
const SWEEP: Sweep = Sweep { from_rpm: 2500.0, to_rpm: 6800.0, rate_rpm_s: 250.0 };
const OFFSET: f64 = 0.0030;

/// File, build and minute of the day of each.
pub(crate) const LOGS: [(&str, Which, u32); 3] = [
    ("run-1.csv", Which::First, 612),
    ("run-2.csv", Which::First, 631),
    ("run-3.csv", Which::Second, 668),
];

/// Torque more than the truth in a log, fraction.
pub(crate) fn offset(index: usize) -> f64 {
    let mut luck = Random::stream(3);
    let own: Vec<f64> = LOGS.iter().map(|_| OFFSET * luck.normal()).collect();
    own[index]
}

/// The logs.
pub(crate) fn files() -> Vec<File> {
    LOGS.iter()
        .enumerate()
        .map(|(index, (name, which, minute))| file(index, name, *which, *minute))
        .collect()
}

fn file(index: usize, name: &str, which: Which, minute: u32) -> File {
    let run = Run {
        engine: &FOUR,
        which,
        motion: Motion::sweep(SWEEP),
        weather: WEATHER,
        starts: 60.0 * f64::from(minute),
        oil_degc: 89.0 + index as f64,
        coolant_degc: 84.0,
        offset: offset(index),
        trap: None,
        spark_deg: None,
        knocks_rpm: None,
        stream: 401 + index as u64,
        rate: 20.0,
    };
    let columns = vec![
        column("Time", "s", 2, |s: &Sample| s.time),
        column("RPM", "rpm", 0, |s: &Sample| s.speed_rpm),
        column("Torque", "Nm", 1, |s: &Sample| s.torque),
        column("TPS", "%", 0, |s: &Sample| 100.0 * s.throttle),
        column("Lambda", "", 3, |s: &Sample| s.lambda[0]),
        column("Oil press", "bar", 2, |s: &Sample| s.oil_pressure / 1.0e5),
        column("Oil temp", "degC", 0, |s: &Sample| s.oil_degc),
        column("Water temp", "degC", 0, |s: &Sample| s.coolant_degc),
        column("Air temp", "degC", 1, |s: &Sample| s.weather.temperature_degc),
        column("Baro", "mbar", 1, |s: &Sample| 10.0 * s.weather.pressure_kpa),
        column("Humidity", "%", 0, |s: &Sample| s.weather.humidity_percent),
        column("Spark", "deg", 1, |s: &Sample| s.spark_deg),
    ];
    let text = PLAIN.line(&bracketed(&columns)) + &PLAIN.rows(&columns, &run.samples());
    File { path: format!("loose/{name}"), bytes: text.into_bytes() }
}
