//! One invented pull written down by four shops: the same channels must come out. Factors between
//! units are those of NIST SP 811 App. B (from memory), held by the unit crate's own tests; here the
//! numbers are worked out from them by hand.

use shortblock_pulls::{Channel, Column, Confidence, Group, Layout, Log, Recognition, Said};
use shortblock_pulls::{Standing, recognise};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
const POUND_FOOT: f64 = 1.355_817_948_331_400_4;
const HORSEPOWER: f64 = 550.0 * POUND_FOOT;
const METRIC_HORSEPOWER: f64 = 735.498_75;
const PSI: f64 = 6_894.757_293_168;
const ROWS: usize = 400;

/// Truth in SI at a row: 40 rows standing, 60 idling, 300 of the sweep.
fn truth(channel: Channel, row: usize) -> f64 {
    let sweep = (row as f64 - 100.0) / 300.0;
    let standing = row < 40;
    let rpm = match row {
        0..40 => 0.0,
        40..100 => 1100.0 + (row as f64 * 0.7).sin() * 15.0,
        _ => 3000.0 + 4500.0 * sweep,
    };
    let torque = if row < 100 { 8.0 } else { 290.0 - 160.0 * (sweep - 0.55).powi(2) }
        * f64::from(!standing as u8);
    match channel {
        Channel::Time => row as f64 * 0.05,
        Channel::EngineSpeed => rpm * RPM,
        Channel::Torque => torque,
        Channel::Power => torque * rpm * RPM,
        Channel::OilPressure if standing => 0.0,
        Channel::OilPressure => 2.0e5 + 40.0 * rpm,
        Channel::FuelPressure => 3.4e5,
        Channel::ManifoldPressure if standing => 98_700.0,
        Channel::ManifoldPressure if row < 100 => 38_000.0,
        Channel::ManifoldPressure => 96_900.0,
        Channel::Barometer => 98_700.0,
        Channel::CoolantTemperature => 273.15 + 82.0 + sweep,
        Channel::OilTemperature => 273.15 + 91.0 + 3.0 * sweep,
        Channel::IntakeAirTemperature => 273.15 + 23.5,
        Channel::ExhaustTemperature(n) => 273.15 + 720.0 + 10.0 * f64::from(n) + 60.0 * sweep,
        Channel::Lambda(_) => 0.88 - 0.02 * sweep,
        Channel::RelativeHumidity => 0.46,
        Channel::Throttle => {
            if row < 100 {
                0.06
            } else {
                1.0
            }
        }
        Channel::SparkAdvance => 28.0 * PI / 180.0,
        other => panic!("no truth for {other:?}"),
    }
}

/// A column: heading, unit, and from SI to the number as written.
fn column(name: &str, unit: &str, channel: Channel, write: impl Fn(f64) -> f64) -> Column {
    let values = (0..ROWS).map(|row| write(truth(channel, row))).collect();
    Column { name: name.into(), unit: unit.into(), values }
}

fn log(columns: Vec<Column>) -> Log {
    Log { groups: vec![Group { columns, ..Group::default() }], ..Log::default() }
}

fn round(x: f64, places: i32) -> f64 {
    (x * 10f64.powi(places)).round() / 10f64.powi(places)
}

/// The channel came out within half a unit of the last written place, given in SI.
fn check(found: &Recognition, channel: Channel, half: f64) {
    let values = found.recording.get(channel);
    let values = values.unwrap_or_else(|| panic!("no {} in {:#?}", channel.name(), found.matches));
    for (row, value) in values.iter().enumerate() {
        let expected = truth(channel, row);
        assert!(
            (value - expected).abs() <= half * 1.001 + 1e-9,
            "{} row {row}: {value} for {expected}",
            channel.name()
        );
    }
}

fn confidence(found: &Recognition, heading: &str) -> Confidence {
    found.matches.iter().find(|m| m.heading == heading).unwrap().confidence
}

#[test]
fn metric_units_in_brackets() {
    let log = log(vec![
        column("Time", "s", Channel::Time, |t| t),
        column("Engine speed", "rpm", Channel::EngineSpeed, |w| round(w / RPM, 0)),
        column("Torque", "N·m", Channel::Torque, |t| round(t, 1)),
        column("Power", "kW", Channel::Power, |p| round(p / 1e3, 1)),
        column("Oil pressure", "bar", Channel::OilPressure, |p| round(p / 1e5, 2)),
        column("Manifold pressure", "kPa", Channel::ManifoldPressure, |p| round(p / 1e3, 1)),
        column("Barometer", "mbar", Channel::Barometer, |p| round(p / 1e2, 1)),
        column("Lambda 1", "", Channel::Lambda(1), |x| round(x, 3)),
        column("EGT 3", "°C", Channel::ExhaustTemperature(3), |t| round(t - 273.15, 0)),
        column("Humidity", "%", Channel::RelativeHumidity, |x| round(x * 100.0, 0)),
        column("Throttle", "%", Channel::Throttle, |x| x * 100.0),
        column("Ignition", "deg", Channel::SparkAdvance, |a| round(a / PI * 180.0, 1)),
    ]);
    let found = recognise(&log, &[]);
    assert_eq!(found.doubts, []);
    check(&found, Channel::EngineSpeed, 0.5 * RPM);
    check(&found, Channel::Torque, 0.05);
    check(&found, Channel::Power, 50.0);
    check(&found, Channel::OilPressure, 500.0);
    check(&found, Channel::ManifoldPressure, 50.0);
    check(&found, Channel::Barometer, 5.0);
    check(&found, Channel::Lambda(1), 5e-4);
    check(&found, Channel::ExhaustTemperature(3), 0.5);
    check(&found, Channel::RelativeHumidity, 0.005);
    check(&found, Channel::Throttle, 1e-9);
    check(&found, Channel::SparkAdvance, 0.05 * PI / 180.0);
    for proved in ["Engine speed", "Torque", "Power", "Oil pressure", "Manifold pressure"] {
        assert_eq!(confidence(&found, proved), Confidence::Proved, "{proved}");
    }
    assert_eq!(found.recording.time.len(), ROWS);
    assert!((found.recording.time[ROWS - 1] - 19.95).abs() < 1e-9);
}

#[test]
fn pound_feet_and_horsepower_without_any_unit_are_proved_by_the_power_column() {
    let log = log(vec![
        column("Time", "", Channel::Time, |t| t * 1e3),
        column("RPM", "", Channel::EngineSpeed, |w| round(w / RPM, 0)),
        column("TQ", "", Channel::Torque, |t| round(t / POUND_FOOT, 1)),
        column("HP", "", Channel::Power, |p| round(p / HORSEPOWER, 1)),
        column("OilP", "", Channel::OilPressure, |p| round(p / PSI, 0)),
        column("FuelP", "", Channel::FuelPressure, |p| round(p / PSI, 1)),
        column("ECT", "", Channel::CoolantTemperature, |t| round((t - 273.15) * 1.8 + 32.0, 0)),
        column("Oil T", "", Channel::OilTemperature, |t| round((t - 273.15) * 1.8 + 32.0, 0)),
        column("IAT", "", Channel::IntakeAirTemperature, |t| round((t - 273.15) * 1.8 + 32.0, 0)),
        column("EGT1", "", Channel::ExhaustTemperature(1), |t| round((t - 273.15) * 1.8 + 32.0, 0)),
        column("AFR", "", Channel::Lambda(0), |x| round(x * 14.7, 2)),
        column("Baro", "", Channel::Barometer, |p| round(p / 3_386.389, 2)),
    ]);
    let found = recognise(&log, &[]);
    assert_eq!(found.doubts, []);
    check(&found, Channel::Torque, 0.05 * POUND_FOOT);
    check(&found, Channel::Power, 0.05 * HORSEPOWER);
    check(&found, Channel::OilPressure, 0.5 * PSI);
    check(&found, Channel::FuelPressure, 0.05 * PSI);
    for channel in [
        Channel::CoolantTemperature,
        Channel::OilTemperature,
        Channel::IntakeAirTemperature,
        Channel::ExhaustTemperature(1),
    ] {
        check(&found, channel, 0.5 / 1.8);
    }
    check(&found, Channel::Lambda(0), 0.005 / 14.7);
    check(&found, Channel::Barometer, 17.0);
    assert_eq!(confidence(&found, "TQ"), Confidence::Proved);
    assert!((found.recording.time[ROWS - 1] - 19.95).abs() < 1e-9, "the time was in ms");
}

#[test]
fn a_horsepower_that_is_metric_is_found_out() {
    let log = log(vec![
        column("Drehzahl", "1/min", Channel::EngineSpeed, |w| round(w / RPM, 0)),
        column("Drehmoment", "Nm", Channel::Torque, |t| round(t, 1)),
        column("Leistung", "hp", Channel::Power, |p| round(p / METRIC_HORSEPOWER, 1)),
        column("Öldruck", "bar(a)", Channel::OilPressure, |p| round((p + 98_700.0) / 1e5, 3)),
        column("Luftdruck", "hPa", Channel::Barometer, |p| round(p / 1e2, 1)),
    ]);
    let found = recognise(&log, &[]);
    check(&found, Channel::Power, 0.05 * METRIC_HORSEPOWER);
    check(&found, Channel::OilPressure, 50.0);
    let [doubt] = &found.doubts[..] else { panic!("{:#?}", found.doubts) };
    assert_eq!(doubt.heading, "Leistung");
    assert_eq!(
        doubt.question,
        "\"hp\" stands beside it, but power = torque x speed holds only in PS; it is read in PS \
         until somebody says otherwise"
    );
    assert!(found.recording.time.is_empty());
}

#[test]
fn torque_without_unit_and_without_power_is_asked_about() {
    let log = log(vec![
        column("RPM", "", Channel::EngineSpeed, |w| w / RPM),
        column("Torque", "", Channel::Torque, |t| t),
    ]);
    let found = recognise(&log, &[]);
    assert_eq!(found.doubts.len(), 1);
    assert!(found.doubts[0].question.contains("N.m, lb.ft."), "{}", found.doubts[0].question);
    let said = Said {
        heading: "Torque".into(),
        channel: Some(Channel::Torque),
        unit: Some("lb.ft".into()),
    };
    let found = recognise(&log, &[said]);
    assert_eq!(found.doubts, []);
    let torque = found.recording.get(Channel::Torque).unwrap();
    assert!((torque[300] - truth(Channel::Torque, 300) * POUND_FOOT).abs() < 1e-9);
}

#[test]
fn a_corrected_column_is_never_taken_for_the_observed_one() {
    let factor = 1.0344;
    let mut columns = vec![
        column("RPM", "rpm", Channel::EngineSpeed, |w| round(w / RPM, 0)),
        column("Torque", "lb-ft", Channel::Torque, |t| round(t / POUND_FOOT, 1)),
        column("Corr Torque", "lb-ft", Channel::Torque, |t| round(t * factor / POUND_FOOT, 1)),
        column("Corr Power", "hp", Channel::Power, |p| round(p * factor / HORSEPOWER, 1)),
        column("CF", "", Channel::Time, |_| factor),
    ];
    let found = recognise(&log(columns.clone()), &[]);
    check(&found, Channel::Torque, 0.05 * POUND_FOOT);
    assert_eq!(found.standing, Standing::Observed);
    columns.remove(1);
    let found = recognise(&log(columns.clone()), &[]);
    // Taken back by the factor of each row: half a unit of the last place of what was written.
    check(&found, Channel::Torque, 0.05 * POUND_FOOT / factor);
    let without = recognise(&log(columns[..3].to_vec()), &[]);
    assert_eq!(without.recording.get(Channel::Torque), None, "no factor, nothing taken back");
    assert_eq!(without.standing, Standing::Corrected(None));
    let Standing::Corrected(Some(stated)) = found.standing else { panic!("{:?}", found.standing) };
    assert!((stated - factor).abs() < 1e-12);
    // Observed torque beside corrected power that does not say so.
    let columns = vec![
        column("RPM", "rpm", Channel::EngineSpeed, |w| round(w / RPM, 0)),
        column("Torque", "N.m", Channel::Torque, |t| round(t, 1)),
        column("Power", "kW", Channel::Power, |p| round(p * factor / 1e3, 1)),
    ];
    let found = recognise(&log(columns), &[]);
    let reasons = found.matches[2].reasons.join("; ");
    assert!(reasons.contains("torque times speed times 1.034"), "{reasons}");
}

#[test]
fn a_log_that_speaks_of_a_correction_is_asked_about() {
    let mut log = log(vec![
        column("RPM", "rpm", Channel::EngineSpeed, |w| round(w / RPM, 0)),
        column("Torque", "N.m", Channel::Torque, |t| round(t, 1)),
    ]);
    assert_eq!(recognise(&log, &[]).standing, Standing::NotSaid);
    assert_eq!(recognise(&log, &[]).doubts, []);
    log.remarks.push("Werte wie gemessen, nicht korrigiert".into());
    assert_eq!(recognise(&log, &[]).standing, Standing::Observed);
    log.remarks[0] = "Correction: SAE J1349".into();
    let found = recognise(&log, &[]);
    assert_eq!(found.doubts.len(), 1);
    assert!(found.doubts[0].question.contains("as read, or corrected?"));
}

#[test]
fn columns_at_another_rate_come_onto_the_clock_of_the_engine_speed() {
    let fast = vec![
        column("t", "s", Channel::Time, |t| t + 100.0),
        column("n", "rpm", Channel::EngineSpeed, |w| w / RPM),
    ];
    let every_tenth = |mut column: Column| {
        column.values = column.values.iter().copied().step_by(10).collect();
        column
    };
    let slow = vec![
        every_tenth(column("t", "s", Channel::Time, |t| t + 100.0)),
        every_tenth(column("Oil temp", "degC", Channel::OilTemperature, |t| t - 273.15)),
    ];
    let groups = vec![
        Group { columns: slow, ..Group::default() },
        Group { columns: fast, ..Group::default() },
    ];
    let found = recognise(&Log { groups, ..Log::default() }, &[]);
    let oil = found.recording.get(Channel::OilTemperature).unwrap();
    assert_eq!(oil.len(), ROWS);
    for (row, value) in oil.iter().enumerate().take(391) {
        let expected = truth(Channel::OilTemperature, row);
        assert!((value - expected).abs() < 1e-6, "row {row}: {value} for {expected}");
    }
    assert!(oil[391..].iter().all(|v| v.is_nan()), "nothing is invented past the last row");
}

/// Terse headings, turns a second, shares of one, crank degrees with what they are counted from.
#[test]
fn terse_headings_with_units_of_their_own_kind() {
    let log = log(vec![
        column("n", "1/s", Channel::EngineSpeed, |w| round(w / (2.0 * PI), 3)),
        column("tq", "Nm", Channel::Torque, |t| round(t, 1)),
        column("thr", "", Channel::Throttle, |x| round(x, 3)),
        column("rh", "", Channel::RelativeHumidity, |x| round(x, 2)),
        column("adv", "°KW v. OT", Channel::SparkAdvance, |a| round(a / PI * 180.0, 1)),
        column("toil", "C", Channel::OilTemperature, |t| round(t - 273.15, 1)),
        column("twater", "C", Channel::CoolantTemperature, |t| round(t - 273.15, 1)),
    ]);
    let found = recognise(&log, &[]);
    assert_eq!(found.doubts, []);
    check(&found, Channel::EngineSpeed, 0.0005 * 2.0 * PI);
    check(&found, Channel::Throttle, 0.0005);
    check(&found, Channel::RelativeHumidity, 0.005);
    check(&found, Channel::SparkAdvance, 0.05 * PI / 180.0);
    check(&found, Channel::OilTemperature, 0.05);
    check(&found, Channel::CoolantTemperature, 0.05);
}

#[test]
fn a_unit_that_ends_the_heading_is_read() {
    let log = log(vec![
        column("RPM", "", Channel::EngineSpeed, |w| round(w / RPM, 0)),
        column("Torque lb ft", "", Channel::Torque, |t| round(t / POUND_FOOT, 1)),
        column("Oil temp F", "", Channel::OilTemperature, |t| round((t - 273.15) * 1.8 + 32.0, 0)),
        column("Throttle %", "", Channel::Throttle, |x| round(x * 100.0, 1)),
    ]);
    let found = recognise(&log, &[]);
    assert_eq!(found.doubts, []);
    check(&found, Channel::Torque, 0.05 * POUND_FOOT);
    check(&found, Channel::OilTemperature, 0.5 / 1.8);
    check(&found, Channel::Throttle, 0.0005);
}

#[test]
fn power_alone_is_torque_too() {
    let log = log(vec![
        column("RPM", "rpm", Channel::EngineSpeed, |w| w / RPM),
        column("Power", "kW", Channel::Power, |p| p / 1e3),
    ]);
    let torque = recognise(&log, &[]).recording.get(Channel::Torque).unwrap().to_vec();
    assert!(torque[10].is_nan(), "the engine stands");
    assert!((torque[300] - truth(Channel::Torque, 300)).abs() < 1e-9);
}

#[test]
fn a_layout_is_not_used_when_the_unit_row_differs() {
    let first = log(vec![column("RPM", "rpm", Channel::EngineSpeed, |w| w / RPM)]);
    let layout = Layout::confirmed(&first, &recognise(&first, &[]).matches);
    assert!(layout.fits(&first));
    let mut other = first.clone();
    other.groups[0].columns[0].unit = "1/min".into();
    assert!(!layout.fits(&other));
    assert_eq!(recognise(&first, &layout.said).recording, recognise(&first, &[]).recording);
}

#[test]
fn unknown_columns_are_kept_as_written() {
    let log = log(vec![
        column("RPM", "rpm", Channel::EngineSpeed, |w| w / RPM),
        column("Aux 7", "furlong", Channel::Time, |t| t),
        column("Oil press", "rpm", Channel::Time, |t| t),
    ]);
    let found = recognise(&log, &[]);
    let names: Vec<&str> = found.recording.unknown.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["Aux 7", "Oil press"]);
    assert!(found.matches[2].reasons.join(" ").contains("is of an engine speed"));
}

#[test]
fn nothing_at_all_is_no_panic() {
    for log in [
        Log::default(),
        log(vec![]),
        log(vec![Column { name: "RPM".into(), ..Column::default() }]),
        log(vec![column("RPM", "rpm", Channel::Time, |_| f64::NAN)]),
        log(vec![column("Time", "s", Channel::Time, |_| f64::INFINITY)]),
    ] {
        let found = recognise(&log, &[]);
        assert_eq!(found.matches.len(), log.groups.iter().map(|g| g.columns.len()).sum::<usize>());
    }
}

/// Headings that are units, and units said twice: common practice, no source. 1 mkp is 9.80665 N.m.
#[test]
fn a_unit_as_heading_says_what_the_column_is() {
    let time: Vec<f64> = (0..ROWS).map(|row| truth(Channel::Time, row)).collect();
    let made = |speed: &str, torque: &str, unit: &str, factor: f64| {
        let of = |channel, per: f64| (0..ROWS).map(|row| truth(channel, row) / per).collect();
        let column = |name: &str, unit: &str, values: Vec<f64>| Column {
            name: name.to_owned(),
            unit: unit.to_owned(),
            values,
        };
        let columns = vec![
            column("Zeit", "s", time.clone()),
            column(speed, "", of(Channel::EngineSpeed, RPM)),
            column(torque, unit, of(Channel::Torque, factor)),
        ];
        recognise(
            &Log { groups: vec![Group { columns, ..Group::default() }], ..Log::default() },
            &[],
        )
    };
    for (speed, torque, unit, factor) in [
        ("U/min", "Nm", "", 1.0),
        ("tr/min", "Torque Nm", "Nm", 1.0),
        ("n giri/min", "M mkp", "", 9.806_65),
        ("RPM", "Torque", "daN.m", 10.0),
    ] {
        let found = made(speed, torque, unit, factor);
        let read: Vec<_> = found.matches.iter().map(|found| found.channel).collect();
        let wanted = [Channel::Time, Channel::EngineSpeed, Channel::Torque].map(Some);
        assert_eq!(read, wanted, "{speed}, {torque}");
        let torque = found.recording.channels.iter().find(|c| c.channel == Channel::Torque);
        let value = torque.expect("a torque").values[300];
        assert!((value - truth(Channel::Torque, 300)).abs() < 1e-9, "{speed}: {value}");
        assert!(found.doubts.is_empty(), "{:?}", found.doubts);
    }
}
