//! Session 133/s1: a blown four on the inertia roller.

use crate::File;
use crate::air::{Weather, reading};
use crate::random::Random;
use crate::roller::{Row, Run};
use crate::run::Trap;
use crate::session;
use crate::table::{Column, PLAIN, bracketed, column};

const FOLDER: &str = "133/s1";

/// A still, warm afternoon.
pub(crate) const WEATHER: Weather = Weather(&[
    reading(13, 30, 99.42, 24.0, 48.0),
    reading(14, 5, 99.39, 24.8, 47.0),
    reading(14, 40, 99.36, 25.6, 45.0),
]);

/// One pull of the afternoon.
pub(crate) struct Planned {
    pub number: u32,
    pub file: &'static str,
    /// Time of day of the first row, s.
    pub starts: f64,
    pub oil_degc: f64,
    pub trap: Option<Trap>,
}

const fn pull(
    number: u32,
    file: &'static str,
    minute: u32,
    oil_degc: f64,
    trap: Option<Trap>,
) -> Planned {
    Planned { number, file, starts: (60 * minute) as f64, oil_degc, trap }
}

/// Three pulls in fourth gear.
pub(crate) const PULLS: [Planned; 3] = [
    pull(1, "r1.csv", 13 * 60 + 50, 94.0, None),
    pull(2, "r2.csv", 14 * 60 + 2, 96.0, Some(Trap::NoEngineSpeed)),
    pull(3, "r3.csv", 14 * 60 + 15, 97.0, Some(Trap::WheelSlip)),
];
/// When the roller coasted, s.
pub(crate) const COAST: f64 = (60 * (14 * 60 + 28)) as f64;

/// Fractions: what a pull has of its own, and what heat takes a pull.
const OFFSET: f64 = 0.004;
const HEAT: f64 = -0.006;

/// Torque more than the truth in a pull, fraction.
pub(crate) fn offset(index: usize) -> f64 {
    let mut luck = Random::stream(2);
    let own: Vec<f64> = PULLS.iter().map(|_| OFFSET * luck.normal()).collect();
    own[index] + HEAT * index as f64
}

/// The logs and the session file.
pub(crate) fn files() -> Vec<File> {
    let run = |index: usize| {
        let Planned { number, starts, oil_degc, trap, .. } = PULLS[index];
        let stream = 300 + u64::from(number);
        Run { weather: WEATHER, starts, offset: offset(index), trap, oil_degc, stream }
    };
    let mut files: Vec<File> = (0..PULLS.len())
        .map(|index| {
            let blind = PULLS[index].trap == Some(Trap::NoEngineSpeed);
            file(PULLS[index].file, &columns(blind), &run(index).pull())
        })
        .collect();
    let coast = Run { starts: COAST, trap: None, stream: 300, ..run(0) };
    files.push(file("coast.csv", &columns(false), &coast.coast()));
    let text = session::roller_day().into_bytes();
    files.push(File { path: format!("{FOLDER}/session.toml"), bytes: text });
    files
}

fn file(name: &str, columns: &[Column<Row>], rows: &[Row]) -> File {
    let text = PLAIN.line(&bracketed(columns)) + &PLAIN.rows(columns, rows);
    File { path: format!("{FOLDER}/{name}"), bytes: text.into_bytes() }
}

fn columns(without_engine_speed: bool) -> Vec<Column<Row>> {
    let mut columns = vec![
        column("time", "s", 2, |r: &Row| r.time),
        column("roller speed", "km/h", 2, |r: &Row| 3.6 * r.roller),
        column("engine speed", "rpm", 0, |r: &Row| r.engine_rpm),
        column("throttle", "%", 1, |r: &Row| 100.0 * r.throttle),
        column("boost", "kPa", 1, |r: &Row| r.boost / 1000.0),
        column("lambda", "", 3, |r: &Row| r.lambda),
        column("coolant temperature", "degC", 1, |r: &Row| r.coolant_degc),
        column("oil temperature", "degC", 1, |r: &Row| r.oil_degc),
        column("charge temperature", "degC", 1, |r: &Row| r.charge_degc),
        column("cell air temperature", "degC", 1, |r: &Row| r.weather.temperature_degc),
        column("barometer", "kPa", 2, |r: &Row| r.weather.pressure_kpa),
        column("humidity", "%", 0, |r: &Row| r.weather.humidity_percent),
    ];
    if without_engine_speed {
        columns.remove(2);
    }
    columns
}
