//! Session 114/s7: a loop over spark with build b7 on the engine dyno, from retarded up until it
//! knocks, and one setting again at the end.

use crate::File;
use crate::air::{Weather, reading};
use crate::engine::{SIX, Which};
use crate::motion::{Motion, Sweep};
use crate::random::Random;
use crate::run::Run;
use crate::session;
use crate::ways::{self, Label};

/// Folder of the session.
const FOLDER: &str = "114/s7";
const DATE: (u32, u32, u32) = (2026, 5, 21);
const SWEEP: Sweep = Sweep { from_rpm: 4000.0, to_rpm: 8400.0, rate_rpm_s: 300.0 };
/// What a pull has of its own and what it drifts by, fractions: nothing is unbolted all morning.
const OFFSET: f64 = 0.0015;
const DRIFT: f64 = -0.0002;

/// Fair weather: hardly anything moves.
pub(crate) const WEATHER: Weather = Weather(&[
    reading(9, 0, 99.12, 18.2, 58.0),
    reading(9, 40, 99.11, 18.8, 57.0),
    reading(10, 20, 99.09, 19.5, 55.0),
    reading(11, 0, 99.08, 20.1, 54.0),
]);

/// One pull of the loop.
pub(crate) struct Planned {
    pub number: u32,
    pub file: &'static str,
    /// Time of day of the first row, s.
    pub starts: f64,
    pub spark_deg: f64,
    /// Speeds at which it knocks, rpm.
    pub knocks_rpm: Option<(f64, f64)>,
}

const fn pull(number: u32, file: &'static str, minute: u32, spark_deg: f64) -> Planned {
    Planned { number, file, starts: (minute * 60) as f64, spark_deg, knocks_rpm: None }
}

/// The pulls in their order, the engine warm before the first.
pub(crate) const PULLS: [Planned; 8] = [
    pull(61, "p61.csv", 9 * 60 + 10, 22.0),
    pull(62, "p62.csv", 9 * 60 + 20, 24.0),
    pull(63, "p63.csv", 9 * 60 + 30, 26.0),
    pull(64, "p64.csv", 9 * 60 + 40, 28.0),
    pull(65, "p65.csv", 9 * 60 + 50, 30.0),
    pull(66, "p66.csv", 10 * 60, 32.0),
    Planned { knocks_rpm: Some((4000.0, 5300.0)), ..pull(67, "p67.csv", 10 * 60 + 10, 34.0) },
    pull(68, "p68.csv", 10 * 60 + 20, 24.0),
];

/// The logs and the session file.
pub(crate) fn files() -> Vec<File> {
    let mut luck = Random::stream(40);
    let log = |(index, pull): (usize, &Planned)| {
        let run = Run {
            engine: &SIX,
            which: Which::Second,
            motion: Motion::sweep(SWEEP),
            weather: WEATHER,
            starts: pull.starts,
            oil_degc: 91.0,
            coolant_degc: 81.5,
            offset: OFFSET * luck.normal() + DRIFT * index as f64,
            trap: None,
            spark_deg: Some(pull.spark_deg),
            knocks_rpm: pull.knocks_rpm,
            stream: 100 + u64::from(pull.number),
            rate: 20.0,
        };
        let label = Label { engine: "114", number: pull.number, date: DATE, starts: pull.starts };
        let bytes = ways::own(&label, &run.samples());
        File { path: format!("{FOLDER}/{}", pull.file), bytes }
    };
    let mut files: Vec<File> = PULLS.iter().enumerate().map(log).collect();
    let text = session::spark_day().into_bytes();
    files.push(File { path: format!("{FOLDER}/session.toml"), bytes: text });
    files
}
