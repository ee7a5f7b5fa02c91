//! Session 114/s6: two builds of engine 114 on the engine dyno, three pulls each, back to the first
//! for three more; with what goes wrong on such a day.

use crate::File;
use crate::air::{Weather, reading};
use crate::engine::{SIX, Which};
use crate::mdf::{self, Channel, Kind, Table};
use crate::motion::{Motion, Sweep};
use crate::random::Random;
use crate::run::{Run, Sample, Trap};
use crate::session;
use crate::ways::{self, Label};

/// Folder of the session.
const FOLDER: &str = "114/s6";
const DATE: (u32, u32, u32) = (2026, 5, 14);
/// Midnight that day, ns since 1970 by the local clock: 20,587 days.
const MIDNIGHT_NS: u64 = 20_587 * 86_400 * 1_000_000_000;

/// Fractions: what refitting does, what a pull has of its own, warm-up, drift in a pull.
const REFIT: f64 = 0.0015;
const OFFSET: f64 = 0.0030;
const WARM_UP: f64 = 0.0030;
const DRIFT: f64 = -0.0004;

/// The barometer falls, the cell warms.
pub(crate) const WEATHER: Weather = Weather(&[
    reading(8, 20, 98.94, 17.6, 64.0),
    reading(9, 15, 98.90, 18.5, 62.0),
    reading(10, 0, 98.84, 19.4, 60.0),
    reading(12, 20, 98.58, 22.1, 55.0),
    reading(13, 10, 98.47, 23.0, 54.0),
    reading(14, 45, 98.30, 24.2, 52.0),
    reading(15, 45, 98.22, 24.6, 51.0),
]);

/// In which way a pull is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    Own,
    German,
    American,
    Terse,
    Measurement,
}

/// One pull of the day.
pub(crate) struct Planned {
    pub number: u32,
    pub file: &'static str,
    /// Which part of its file, from 1.
    pub part: u32,
    pub way: Way,
    pub which: Which,
    pub block: usize,
    /// Time of day of the first row, s.
    pub starts: f64,
    /// Minutes that the engine stood before, where that was more than 20.
    pub stood_min: Option<u32>,
    pub sweep: Sweep,
    pub oil_degc: f64,
    pub trap: Option<Trap>,
    /// Why the shop left it out before it saw any difference.
    pub set_aside: Option<&'static str>,
    pub note: &'static str,
}

const SWEEP: Sweep = Sweep { from_rpm: 3500.0, to_rpm: 8500.0, rate_rpm_s: 300.0 };

const fn at(hour: u32, minute: u32, second: u32) -> f64 {
    (3600 * hour + 60 * minute + second) as f64
}

/// A pull with nothing special to it.
const fn plain(
    number: u32,
    file: &'static str,
    which: Which,
    block: usize,
    starts: f64,
) -> Planned {
    Planned {
        number,
        file,
        part: 1,
        way: Way::Own,
        which,
        block,
        starts,
        stood_min: None,
        sweep: SWEEP,
        oil_degc: 91.0,
        trap: None,
        set_aside: None,
        note: "",
    }
}

/// All pulls in their order: two to try the cell, then nine.
pub(crate) fn planned() -> Vec<Planned> {
    use Which::{First, Second};
    let trial = "trial of the cell before the plan, up to 6,500 only";
    let short = Sweep { to_rpm: 6500.0, ..SWEEP };
    vec![
        Planned {
            sweep: short,
            oil_degc: 78.0,
            set_aside: Some(trial),
            ..plain(42, "p42-43.csv", First, 1, at(8, 24, 0))
        },
        Planned {
            part: 2,
            sweep: short,
            oil_degc: 84.0,
            set_aside: Some(trial),
            ..plain(43, "p42-43.csv", First, 1, at(8, 31, 0))
        },
        Planned {
            stood_min: Some(48),
            oil_degc: 58.0,
            trap: Some(Trap::ColdOil),
            ..plain(44, "p44.csv", First, 1, at(9, 20, 0))
        },
        Planned { oil_degc: 88.5, ..plain(45, "p45.csv", First, 1, at(9, 35, 0)) },
        Planned {
            way: Way::German,
            note: "logged with the guest's box",
            ..plain(46, "lauf46.csv", First, 1, at(9, 50, 0))
        },
        Planned {
            stood_min: Some(150),
            oil_degc: 87.5,
            trap: Some(Trap::StuckOilPressure),
            ..plain(47, "p47.csv", Second, 2, at(12, 29, 0))
        },
        Planned {
            oil_degc: 90.0,
            trap: Some(Trap::FuelPressureSag),
            ..plain(48, "p48.csv", Second, 2, at(12, 44, 0))
        },
        Planned {
            way: Way::American,
            oil_degc: 91.5,
            note: "pump filter changed before",
            ..plain(49, "run49.txt", Second, 2, at(12, 59, 45))
        },
        Planned {
            stood_min: Some(105),
            oil_degc: 88.0,
            sweep: Sweep { rate_rpm_s: 600.0, ..SWEEP },
            trap: Some(Trap::FastSweep),
            ..plain(50, "p50.csv", First, 3, at(14, 50, 0))
        },
        Planned { way: Way::Terse, oil_degc: 90.5, ..plain(51, "51.tsv", First, 3, at(15, 5, 0)) },
        Planned {
            way: Way::Measurement,
            oil_degc: 92.0,
            ..plain(52, "p52.mf4", First, 3, at(15, 20, 0))
        },
    ]
}

/// Torque more than the truth through a whole pull, fraction; the oil's part not in it.
pub(crate) fn offset(index: usize, pulls: &[Planned]) -> f64 {
    let mut luck = Random::stream(1);
    let refits: Vec<f64> = (0..3).map(|_| REFIT * luck.normal()).collect();
    let own: Vec<f64> = pulls.iter().map(|_| OFFSET * luck.normal()).collect();
    let since_stop =
        pulls[..=index].iter().rev().take_while(|pull| pull.stood_min.is_none()).count();
    let stopped = pulls[..=index].iter().any(|pull| pull.stood_min.is_some());
    let warm_up = if stopped { -WARM_UP * fading(since_stop) } else { 0.0 };
    refits[pulls[index].block - 1] + own[index] + warm_up + DRIFT * index as f64
}

/// `exp(-k/2)`.
fn fading(k: usize) -> f64 {
    shortblock_lanes::Lane::exp(-0.5 * k as f64)
}

fn run(index: usize, pulls: &[Planned], rate: f64) -> Run<'static> {
    let pull = &pulls[index];
    Run {
        engine: &SIX,
        which: pull.which,
        motion: Motion::sweep(pull.sweep),
        weather: WEATHER,
        starts: pull.starts,
        oil_degc: pull.oil_degc,
        coolant_degc: if pull.trap == Some(Trap::ColdOil) { 74.0 } else { 81.5 },
        offset: offset(index, pulls),
        trap: pull.trap,
        spark_deg: None,
        knocks_rpm: None,
        stream: 100 + u64::from(pull.number),
        rate,
    }
}

fn label(number: u32, starts: f64) -> Label {
    Label { engine: "114", number, date: DATE, starts }
}

/// The logs and the session file.
pub(crate) fn files() -> Vec<File> {
    let pulls = planned();
    let mut files: Vec<File> = Vec::new();
    for (index, pull) in pulls.iter().enumerate() {
        let label = label(pull.number, pull.starts);
        let rate = if pull.way == Way::Measurement { 50.0 } else { 20.0 };
        let samples = run(index, &pulls, rate).samples();
        let bytes = match pull.way {
            Way::Own => ways::own(&label, &samples),
            Way::German => ways::german(&label, &samples),
            Way::American => ways::american(&label, &samples),
            Way::Terse => ways::terse(&samples),
            Way::Measurement => measurement(&samples, pull.starts),
        };
        match files.last_mut() {
            Some(file) if pull.part > 1 => {
                file.bytes.push(b'\n');
                file.bytes.extend(bytes);
            }
            _ => files.push(File { path: format!("{FOLDER}/{}", pull.file), bytes }),
        }
    }
    files.push(steps());
    files.push(coast());
    let text = session::engine_day(&pulls, &WEATHER).into_bytes();
    files.push(File { path: format!("{FOLDER}/session.toml"), bytes: text });
    files
}

/// Number and start of the step test and of the coast-down.
pub(crate) const STEPS: (u32, f64) = (53, at(15, 34, 0));
pub(crate) const COAST: (u32, f64) = (54, at(15, 41, 0));

/// Speeds of the step test, rpm, and how long each is held, s.
pub(crate) const STEP_SPEEDS_RPM: [f64; 9] =
    [4000.0, 4500.0, 5000.0, 5500.0, 6000.0, 6500.0, 7000.0, 7500.0, 8000.0];
const DWELL: f64 = 5.0;

fn steps() -> File {
    let run = Run {
        motion: Motion::steps(&STEP_SPEEDS_RPM, DWELL),
        offset: 0.0,
        trap: None,
        starts: STEPS.1,
        oil_degc: 92.0,
        stream: 100 + u64::from(STEPS.0),
        rate: 10.0,
        ..run(0, &planned(), 10.0)
    };
    let bytes = ways::own(&label(STEPS.0, STEPS.1), &run.samples());
    File { path: format!("{FOLDER}/steps.csv"), bytes }
}

fn coast() -> File {
    let run = Run {
        motion: Motion::coast(7000.0, 1200.0, SIX.inertia),
        offset: 0.0,
        trap: None,
        starts: COAST.1,
        oil_degc: 93.0,
        stream: 100 + u64::from(COAST.0),
        ..run(0, &planned(), 20.0)
    };
    let bytes = ways::own(&label(COAST.0, COAST.1), &run.samples());
    File { path: format!("{FOLDER}/coast.csv"), bytes }
}

/// Speed and torque at every row, the rest at every fifth.
fn measurement(samples: &[Sample], starts: f64) -> Vec<u8> {
    let slow: Vec<Sample> = samples.iter().copied().step_by(5).collect();
    let own = |samples: &[Sample], name: &str, unit, kind, of: &dyn Fn(&Sample) -> f64| Channel {
        name: name.to_owned(),
        unit,
        kind,
        values: samples.iter().map(of).collect(),
    };
    let time = |samples: &[Sample]| own(samples, "time", "s", Kind::Float64, &|s| s.time);
    let fast =
        |name, unit, of: &dyn Fn(&Sample) -> f64| own(samples, name, unit, Kind::Float32, of);
    let counted = |name: &str, unit, step, of: &dyn Fn(&Sample) -> f64| {
        own(&slow, name, unit, Kind::Counts(step), of)
    };
    let mut rest = vec![
        time(&slow),
        counted("throttle", "%", 0.01, &|s| 100.0 * s.throttle),
        counted("manifold pressure", "kPa", 0.01, &|s| s.manifold / 1000.0),
        counted("lambda bank 1", "", 0.001, &|s| s.lambda[0]),
        counted("lambda bank 2", "", 0.001, &|s| s.lambda[1]),
        counted("fuel flow", "kg/h", 0.01, &|s| 3600.0 * s.fuel),
        counted("fuel pressure", "kPa", 0.1, &|s| s.fuel_pressure / 1000.0),
        counted("oil pressure", "kPa", 0.1, &|s| s.oil_pressure / 1000.0),
        counted("oil temperature", "degC", 0.1, &|s| s.oil_degc),
        counted("coolant temperature", "degC", 0.1, &|s| s.coolant_degc),
        counted("inlet air temperature", "degC", 0.1, &|s| s.weather.temperature_degc),
        counted("barometer", "kPa", 0.01, &|s| s.weather.pressure_kpa),
        counted("relative humidity", "%", 0.1, &|s| s.weather.humidity_percent),
        counted("spark advance", "deg", 0.1, &|s| s.spark_deg),
    ];
    for i in 0..SIX.cylinders {
        let name = format!("exhaust temperature cylinder {}", i + 1);
        rest.push(counted(&name, "degC", 0.1, &|s| s.exhaust_degc[i]));
    }
    let tables = [
        Table {
            name: "brake",
            channels: vec![
                time(samples),
                fast("engine speed", "rpm", &|s| s.speed_rpm),
                fast("torque", "N.m", &|s| s.torque),
            ],
        },
        Table { name: "engine", channels: rest },
    ];
    let began = MIDNIGHT_NS + (starts * 1000.0) as u64 * 1_000_000;
    mdf::write(&tables, began, "engine 114, pull 52, as read")
}
