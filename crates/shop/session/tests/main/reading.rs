//! A whole day is read, with what it names.

use shortblock_compare::{Change, DynoKind, HistoryKey, Mode, Order, SetAside, Source};
use shortblock_document::{Memory, render};
use shortblock_pulls::Channel;
use shortblock_pulls::check::{From, Limits, Stated};
use shortblock_session::{Session, Side, load_dyno, load_session};
use shortblock_weather::Standard;

pub const DYNO: &str = r#"# The record of the engine cell. Invented.
format    = 1
name      = "cell 1"
kind      = "engine"
absorber  = "water brake"
elevation = "180 m"
inertia   = "0.31 kg.m2"
engine_inertia = "0.14 kg.m2"
sweep_rate = "300 rpm/s"

[lags]
"lambda of bank 1" = "0.35 s"    # probe in the collector

[[instrument]]
name = "load cell"
channel = "torque"
checked = 2026-05-02
plus_minus = "0.3 %"

[limits]
engine_speed = "9000 rpm"
oil_pressure = "3 bar"

[[history]]
session = "114/s4"               # the first day of the record
mode = "sweep"
sweep_rate = "300 rpm/s"
torque_from = "250 N.m"
dof = 8
from_rpm = 4000
variances = [9.0e-6, "none", 1.21e-5]
resels_per_1000_rpm = 2.2
spread = [
    { source = "refit", change = "bolt-on", variance = -1.0e-6, dof = 3 },
]
"#;

pub const SESSION: &str = r#"format     = 1
session    = "114/s6"
date       = 2026-05-14
engine     = "../../engine.toml"
dyno       = "../../../dynos/cell-1.toml"
operator   = "LA"
correction = "SAE J1349 JUN90"
worth_having = "0.5 %"
range      = "4500 to 8000 rpm"
change     = "bolt-on"
plan       = "A2 B2"
fuel       = "99 RON E10"
inertia_included = false

[[air]]
time = "09:05"
pressure = "98.9 kPa"
temperature = "18.5 degC"
humidity = "52 %"

[[air]]
time = 09:45
sea_level = "1011 hPa"
temperature = "66 degF"
dew_point = "9 degC"

[[pull]]
file = "p44.csv"
number = 44
time = "09:20"
build = "b6"
settings = { spark = "28 deg", fuel = "99 RON E10", coolant = "85 degC", jet = "1.45 mm" }
stood = "25 min"

[[pull]]
file = "p45.csv"
number = 45
time = "09:31"
build = "b6"
set_aside = "fuel pressure fell"

[[pull]]
file = "p45.csv.2"
number = 46
time = "09:36"
build = "b6"

[[pull]]
file = "later/both.csv"
part = 1
number = 47
time = "09:58"
build = "b7"

[[pull]]
file = "later/both.csv"
part = 2
number = 48
time = "10:04"
build = "b7"
set_aside = "misfire heard"
set_aside_after = true
note = "plug lead 3"

[[column]]
heading = "TQ"
channel = "torque"
unit = "lb.ft"

[[column]]
heading = "Spare 2"
channel = "not used"
"#;

pub const AT: &str = "114/s6/session.toml";

pub fn shop(session: &str, dyno: &str) -> Memory {
    let logs = ["p44.csv", "p45.csv", "p45.csv.2", "later/both.csv"];
    let shop = Memory::default()
        .with(AT, session)
        .with("engine.toml", "format = 1\n")
        .with("dynos/cell-1.toml", dyno)
        .with("../dynos/cell-1.toml", dyno);
    logs.iter().fold(shop, |shop, log| shop.with(&format!("114/s6/{log}"), ""))
}

pub fn read(session: &str) -> Session {
    let loaded = load_session(AT, &shop(session, DYNO));
    let doubts: Vec<_> = loaded.doubts.iter().map(|d| d.finding.clone()).collect();
    assert_eq!(render(&doubts, &loaded.sources), "");
    loaded.read.unwrap_or_else(|faults| unreachable!("{faults}"))
}

#[test]
fn a_day_is_read_into_si() {
    let session = read(SESSION);
    assert_eq!(session.name.as_deref(), Some("114/s6"));
    assert_eq!(session.correction, Some(Standard::J1349Jun1990));
    assert_eq!(session.change, Some(Change::BoltOn));
    assert_eq!(session.plan, Order::parse("AABB").ok());
    assert_eq!(session.worth_having.map(|m| m.fraction()), Some(0.005));
    let rpm = std::f64::consts::PI / 30.0;
    let (from, to) = session.range.unwrap();
    assert!((from - 4500.0 * rpm).abs() < 1e-9 && (to - 8000.0 * rpm).abs() < 1e-9);
    assert_eq!(session.engine_inertia.as_ref().map(|i| i.si), Some(0.14));
    assert_eq!(session.columns[0].channel, Some(Channel::Torque));
    assert_eq!(session.columns[1].channel, None);
    let dyno = session.dyno.as_ref().unwrap();
    assert_eq!(
        (dyno.kind, dyno.lags.as_slice()),
        (DynoKind::Engine, &[(Channel::Lambda(1), 0.35)][..])
    );
    assert_eq!(dyno.limits[1].side, Side::AtLeast);
    assert!((dyno.limits[1].value - 3e5).abs() < 1e-6);
}

#[test]
fn pulls_keep_what_was_noted_of_them() {
    let session = read(SESSION);
    let first = &session.pulls[0];
    let set: Vec<_> = first.settings.iter().map(|s| (s.name.as_str(), s.value.as_ref())).collect();
    assert_eq!(set[0].0, "coolant");
    assert!((set[0].1.unwrap().si - 358.15).abs() < 1e-9);
    assert!(set[1].1.is_none(), "99 RON E10 is words");
    assert!((set[2].1.unwrap().si - 1.45e-3).abs() < 1e-12);
    assert!((set[3].1.unwrap().si - 28f64.to_radians()).abs() < 1e-12);
    assert_eq!((first.stood, first.file.as_str()), (Some(1500.0), "114/s6/p44.csv"));
    let aside = |i: usize| session.pulls[i].set_aside.as_ref().map(|l| l.when);
    assert_eq!(aside(1), Some(SetAside::BeforeSeen));
    assert_eq!(aside(4), Some(SetAside::AfterSeen));
    assert_eq!(session.pulls[4].note, "plug lead 3");
    assert_eq!(session.blocks(), [0, 0, 0, 1, 1]);
    // 22 min lie between 09:36 and 09:58.
    assert_eq!(session.pulls_since_stop(), [0, 1, 2, 0, 1]);
}

#[test]
fn the_air_before_and_after_a_pull_is_found() {
    let session = read(SESSION);
    let times = |time| {
        let (before, after) = session.air_around(Some(time));
        (before.and_then(|r| r.time), after.and_then(|r| r.time))
    };
    let (first, second) = (9.0 * 3600.0 + 300.0, 9.75 * 3600.0);
    assert_eq!(times(first), (Some(first), Some(second)));
    assert_eq!(times(first - 1.0), (None, Some(first)));
    assert_eq!(times(second + 60.0), (Some(second), None));
    // The standard atmosphere has 2.1 % less pressure at 180 m (U.S. Standard Atmosphere 1976,
    // geopotential: (1 - 0.0065 h / 288.15)^5.25588).
    let ratio = (1.0 - 0.0065 * 180.0 / 288.15_f64).powf(5.25588);
    let station = session.air[1].air.pressure();
    assert!((station / 101_100.0 / ratio - 1.0).abs() < 1e-4, "{station}");
}

#[test]
fn ten_lines_are_a_session() {
    let text = "format = 1\ncorrection = \"j1349-jun1990\"\n[[air]]\npressure = \"95.1 kPa\"\n\
                temperature = \"20 degC\"\n[[pull]]\nfile = \"a.csv\"\nbuild = \"b6\"\n[[pull]]\n\
                file = \"b.csv\"\nbuild = \"b7\"\n";
    let loaded = load_session("session.toml", &Memory::default().with("session.toml", text));
    let session = loaded.read.unwrap();
    assert_eq!(session.pulls.len(), 2);
    assert!(session.air_around(None).0.is_some());
}

#[test]
fn the_history_leaves_out_the_session_under_test() {
    let loaded = load_dyno("cell-1.toml", &Memory::default().with("cell-1.toml", DYNO));
    let dyno = loaded.read.unwrap();
    let key = HistoryKey {
        dyno: "cell 1".to_owned(),
        mode: Mode::Sweep,
        sweep_rate_rpm_s: 300,
        torque_from_nm: 250,
    };
    let history = dyno.history(&key, None);
    assert_eq!(history.sessions[0].variances, [Some(9.0e-6), None, Some(1.21e-5)]);
    assert_eq!((history.spreads[0].source, history.spreads[0].variance), (Source::Refit, -1.0e-6));
    assert!(dyno.history(&key, Some("114/s4")).sessions.is_empty());
    let steady = HistoryKey { mode: Mode::Steady, ..key };
    assert!(dyno.history(&steady, None).sessions.is_empty());
}

#[test]
fn the_tighter_of_two_stated_limits_holds() {
    let text = SESSION.replacen(
        "[[air]]",
        "[limits]\nengine_speed = \"9500 rpm\"\nlambda = 1.0\n[[air]]",
        1,
    );
    let session = read(&text);
    let rpm = std::f64::consts::PI / 30.0;
    let own = Stated { value: 8600.0 * rpm, from: From::Engine };
    let limits = session.limits_over(Limits { engine_speed: Some(own), ..Limits::shipped() });
    assert_eq!(limits.engine_speed, Some(own));
    let limits = session.limits_over(Limits::shipped());
    assert_eq!(limits.engine_speed.map(|l| l.from), Some(From::Dyno));
    assert_eq!(limits.lambda, Stated { value: 1.0, from: From::Session });
    assert!(limits.planned_rate.is_some_and(|r| (r.value - 300.0 * rpm).abs() < 1e-9));
    assert_eq!(limits.oil_stop, Limits::shipped().oil_stop);
}
