//! One pull in order, and the same pull with one fault after the other. Limits are common practice,
//! no source; what is tested is that a fault is found, named, and that nothing else is.

use shortblock_pulls::check::{Check, Earlier, Facts, From, Fuel, Limits, People, Stated, Verdict};
use shortblock_pulls::check::{Weather, check, earlier};
use shortblock_pulls::sweep::{self, Rules};
use shortblock_pulls::{Channel, Pull, Recorded, Recording, Treatment};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
const RATE: f64 = 0.04;
const STANDS: usize = 50;
const IDLES: usize = 100;
const SWEEPS: usize = 425;

/// A clean recording at 25 readings a second: standing, idling, a sweep at 300 rpm/s, a tail.
pub fn recording() -> Recording {
    let rows = STANDS + IDLES + SWEEPS + 75;
    let rpm = |row: usize| {
        if row < STANDS {
            0.0
        } else if row < STANDS + IDLES {
            3400.0
        } else if row < STANDS + IDLES + SWEEPS {
            3400.0 + 300.0 * RATE * (row - STANDS - IDLES) as f64
        } else {
            8500.0 - 1200.0 * RATE * (row - STANDS - IDLES - SWEEPS) as f64
        }
    };
    let pulls = |row: usize| (STANDS + IDLES..STANDS + IDLES + SWEEPS).contains(&row);
    let uneven =
        |row: usize, k: f64| ((row as f64 * 0.37 * k).sin() + (row as f64 * k).cos()) * 0.5;
    let torque = move |row: usize| {
        let x = (rpm(row) - 6900.0) / 3500.0;
        if pulls(row) { (310.0 - 60.0 * x * x) * (1.0 + 0.002 * uneven(row, 1.3)) } else { 0.0 }
    };
    let running = move |row: usize| row >= STANDS;
    let channel = |channel, value: &dyn Fn(usize) -> f64| Recorded {
        channel,
        heading: channel.name(),
        values: (0..rows).map(value).collect(),
    };
    let all = vec![
        channel(Channel::EngineSpeed, &|row| rpm(row) * RPM),
        channel(Channel::Torque, &torque),
        channel(Channel::OilPressure, &|row| {
            if running(row) { 1.6e5 + 55.0 * rpm(row) + 900.0 * uneven(row, 0.8) } else { 0.0 }
        }),
        channel(Channel::CoolantTemperature, &|row| 355.15 + 0.004 * row as f64),
        channel(Channel::OilTemperature, &|row| 364.15 + 0.006 * row as f64),
        channel(Channel::IntakeAirTemperature, &|_| 295.65),
        channel(Channel::Lambda(1), &|row| 0.88 + 0.004 * uneven(row, 2.1)),
        channel(Channel::Lambda(2), &|row| 0.885 + 0.004 * uneven(row, 1.9)),
        channel(Channel::FuelPressure, &|row| 3.5e5 * (1.0 + 0.004 * uneven(row, 1.1))),
        channel(Channel::InjectorDuty, &|row| 0.00009 * rpm(row) + 0.001 * uneven(row, 0.7)),
        channel(Channel::ManifoldPressure, &|row| {
            (if pulls(row) { 97_200.0 } else { 40_000.0 }) + 60.0 * uneven(row, 3.3)
        }),
        channel(Channel::Barometer, &|_| 98_700.0),
        channel(Channel::Throttle, &|row| if pulls(row) { 1.0 } else { 0.06 }),
        channel(Channel::Battery, &|_| 13.8),
        channel(Channel::CrankcasePressure, &|row| 900.0 + 40.0 * uneven(row, 0.9)),
        channel(Channel::ExhaustTemperature(1), &|row| 1030.0 + 0.2 * row as f64),
        channel(Channel::ExhaustTemperature(2), &|row| 1045.0 + 0.2 * row as f64),
        channel(Channel::Knock(0), &|row| 2.0 + 0.3 * uneven(row, 5.0)),
    ];
    let time = (0..rows).map(|row| RATE * row as f64).collect();
    Recording { time, channels: all, ..Recording::default() }
}

pub fn limits() -> Limits {
    let engine = |value| Some(Stated { value, from: From::Engine });
    let mut limits = Limits::shipped();
    limits.engine_speed = engine(8600.0 * RPM);
    limits.knock = engine(5.0);
    limits.planned_rate = engine(300.0 * RPM);
    limits
}

pub fn checks(recording: &Recording, limits: &Limits, before: Option<&Earlier>) -> Vec<Check> {
    let found = sweep::find(recording, &Rules::default()).unwrap();
    let stretch = found.pulls().next().expect("there is a sweep");
    let pull = Pull::new(recording, &found, stretch, &Treatment::default()).unwrap();
    let people = People { note: None, changed: Some("nothing".into()) };
    let weather = Weather::Known(Vec::new());
    let facts = Facts {
        recording,
        pull: &pull,
        limits,
        earlier: before,
        people: &people,
        weather: &weather,
        fuel: &Fuel { name: "petrol".into(), stoichiometric_ratio: 14.6 },
        wheel: None,
    };
    check(&facts)
}

pub fn with(channel: Channel, change: impl Fn(usize, f64) -> f64) -> Recording {
    let mut recording = recording();
    for recorded in recording.channels.iter_mut().filter(|r| r.channel == channel) {
        for (row, value) in recorded.values.iter_mut().enumerate() {
            *value = change(row, *value);
        }
    }
    recording
}

/// The only checks that are not in order are these.
fn expect(checks: &[Check], expected: &[(&str, Verdict)]) {
    let found: Vec<(&str, Verdict)> = checks
        .iter()
        .filter(|c| matches!(c.verdict, Verdict::Watch | Verdict::Stop))
        .map(|c| (c.what, c.verdict))
        .collect();
    assert_eq!(found, expected, "{checks:#?}");
    for one in checks.iter().filter(|c| c.verdict >= Verdict::Watch) {
        assert!(!one.remedy.is_empty() && !one.reason.is_empty(), "{one:?}");
    }
}

/// Row of the sweep at an engine speed.
fn row_at(rpm: f64) -> usize {
    STANDS + IDLES + ((rpm - 3400.0) / (300.0 * RATE)) as usize
}

#[test]
fn a_clean_pull_is_in_order_all_through() {
    let checks = checks(&recording(), &limits(), None);
    expect(&checks, &[]);
    let not_seen: Vec<&str> =
        checks.iter().filter(|c| c.verdict == Verdict::NotSeen).map(|c| c.what).collect();
    assert_eq!(not_seen, ["air meter beside fuel and mixture", "leaks, noises, smells"]);
}

#[test]
fn no_channel_is_no_good_mark() {
    let mut bare = recording();
    bare.channels.retain(|c| matches!(c.channel, Channel::EngineSpeed | Channel::Torque));
    let checks = checks(&bare, &Limits::shipped(), None);
    for what in ["oil pressure", "mixture", "knock", "highest engine speed", "throttle"] {
        let one = checks.iter().find(|c| c.what == what).unwrap();
        assert_eq!(one.verdict, Verdict::NotSeen, "{what}");
    }
}

#[test]
fn overspeed_in_the_tail_is_a_stop() {
    let over = with(Channel::EngineSpeed, |row, v| {
        if row == STANDS + IDLES + SWEEPS + 2 { 8750.0 * RPM } else { v }
    });
    expect(&checks(&over, &limits(), None), &[("highest engine speed", Verdict::Stop)]);
}

#[test]
fn oil_pressure_that_falls_with_rising_speed_is_a_stop() {
    let falls = with(Channel::OilPressure, |row, v| {
        let from = row_at(7000.0);
        if row > from { v - 500.0 * (row - from) as f64 * 2.5 } else { v }
    });
    let checks = checks(&falls, &limits(), None);
    let oil = checks.iter().find(|c| c.what == "oil pressure").unwrap();
    assert_eq!(oil.verdict, Verdict::Stop, "{oil:?}");
    assert!(oil.reason.contains("pickup"), "{}", oil.reason);
}

#[test]
fn oil_pressure_below_the_trades_rule_is_only_watched() {
    let low = with(Channel::OilPressure, |_, v| 0.75 * v);
    expect(&checks(&low, &limits(), None), &[("oil pressure", Verdict::Watch)]);
    let mut own = limits();
    own.oil_pressure = Some(Stated { value: 2.9e5, from: From::Engine });
    expect(&checks(&low, &own, None), &[("oil pressure", Verdict::Stop)]);
}

#[test]
fn cold_oil_is_seen_and_so_is_its_change() {
    let warm = recording();
    let found = sweep::find(&warm, &Rules::default()).unwrap();
    let stretch = found.pulls().next().unwrap();
    let pull = Pull::new(&warm, &found, stretch, &Treatment::default()).unwrap();
    let before = earlier(&warm, &pull);
    expect(&checks(&warm, &limits(), Some(&before)), &[]);
    let cold = with(Channel::OilTemperature, |_, v| v - 33.0);
    expect(
        &checks(&cold, &limits(), Some(&before)),
        &[
            ("oil temperature", Verdict::Watch),
            ("oil temperature beside the pull before", Verdict::Watch),
        ],
    );
    let dropped = with(Channel::OilPressure, |_, v| 0.85 * v);
    let checks = checks(&dropped, &limits(), Some(&before));
    let beside = checks.iter().find(|c| c.what == "oil pressure beside the pull before").unwrap();
    assert_eq!(beside.verdict, Verdict::Stop);
    assert!((beside.seen.unwrap().si + 0.15).abs() < 1e-6);
}

#[test]
fn fuel_that_sags_is_caught_with_the_mixture_it_makes() {
    let sag = |depth: f64| {
        with(Channel::FuelPressure, move |row, v| {
            let x = (row as f64 - row_at(7000.0) as f64) / 125.0;
            v * (1.0 - depth * x.clamp(0.0, 1.0))
        })
    };
    let what = "fuel pressure over the pull";
    expect(&checks(&sag(0.07), &limits(), None), &[(what, Verdict::Watch)]);
    expect(&checks(&sag(0.12), &limits(), None), &[(what, Verdict::Stop)]);
}

#[test]
fn a_lean_mixture_must_last_to_be_a_stop() {
    let lean = |rows: usize| {
        with(Channel::Lambda(2), move |row, v| {
            let from = row_at(7500.0);
            if (from..from + rows).contains(&row) { 0.99 } else { v }
        })
    };
    expect(&checks(&lean(4), &limits(), None), &[]);
    let found = checks(&lean(12), &limits(), None);
    let mixture = found.iter().find(|c| c.what == "mixture").unwrap();
    assert_eq!(mixture.verdict, Verdict::Stop);
    assert!((mixture.at.unwrap() / RPM - 7500.0).abs() < 200.0);
    let boosted = limits().of_boosted();
    let found = checks(&recording(), &boosted, None);
    let mixture = found.iter().find(|c| c.what == "mixture").unwrap();
    assert_eq!(mixture.verdict, Verdict::Stop, "0.885 is too lean with boost");
}

/// As the throttle opens the sensor still tells of the lean mixture before.
#[test]
fn a_sensor_that_comes_late_to_an_open_throttle_is_no_lean_mixture() {
    let late = |seconds: f64| {
        with(Channel::Lambda(2), move |row, v| {
            let open = row as f64 - (STANDS + IDLES) as f64;
            if open * RATE < seconds { 1.02 } else { v }
        })
    };
    expect(&checks(&late(0.7), &limits(), None), &[]);
    let found = checks(&late(2.0), &limits(), None);
    let mixture = found.iter().find(|c| c.what == "mixture").unwrap();
    assert_eq!(mixture.verdict, Verdict::Stop, "lean throughout");
}

#[test]
fn a_stuck_sensor_is_named_with_its_time() {
    let stuck = with(Channel::OilPressure, |row, v| {
        if (row_at(5000.0)..row_at(6200.0)).contains(&row) { 4.35e5 } else { v }
    });
    let found = checks(&stuck, &limits(), None);
    let one = found.iter().find(|c| c.what == "stuck readings").unwrap();
    assert_eq!(one.verdict, Verdict::Watch);
    assert!(one.reason.starts_with("oil pressure"), "{}", one.reason);
    assert!((one.seen.unwrap().si - 4.0).abs() < 0.1);
}

#[test]
fn a_coarse_scale_is_not_stuck() {
    let coarse = with(Channel::OilPressure, |_, v| (v / 4.0e4).round() * 4.0e4);
    let found = checks(&coarse, &limits(), None);
    let one = found.iter().find(|c| c.what == "stuck readings").unwrap();
    assert_eq!(one.verdict, Verdict::InOrder, "{one:?}");
}

#[test]
fn a_hole_in_torque_is_a_stop_and_a_spike_is_not() {
    let hole = with(Channel::Torque, |row, v| {
        let from = row_at(7200.0);
        if (from..from + 10).contains(&row) { 0.9 * v } else { v }
    });
    expect(&checks(&hole, &limits(), None), &[("holes in torque", Verdict::Stop)]);
    let spike = with(Channel::Torque, |row, v| if row == row_at(7200.0) { 0.5 * v } else { v });
    expect(&checks(&spike, &limits(), None), &[]);
}

#[test]
fn air_throttle_supply_and_zero() {
    let half = with(Channel::Throttle, |_, v| 0.9 * v);
    expect(&checks(&half, &limits(), None), &[("throttle", Verdict::Watch)]);
    let strangled = with(Channel::ManifoldPressure, |_, v| v - 4_000.0);
    expect(&checks(&strangled, &limits(), None), &[("manifold at full throttle", Verdict::Watch)]);
    let weak = with(Channel::Battery, |_, _| 11.4);
    expect(&checks(&weak, &limits(), None), &[("supply voltage in volts", Verdict::Watch)]);
    let zero = with(Channel::Torque, |_, v| v + 9.0);
    expect(&checks(&zero, &limits(), None), &[("zero of the load cell", Verdict::Watch)]);
    let knocks = with(Channel::Knock(0), |row, v| if row == row_at(6000.0) { 9.0 } else { v });
    expect(&checks(&knocks, &limits(), None), &[("knock", Verdict::Stop)]);
    let rises = with(Channel::IntakeAirTemperature, |row, v| v + 0.012 * row as f64);
    expect(&checks(&rises, &limits(), None), &[("inlet air", Verdict::Watch)]);
    let hot = with(Channel::CoolantTemperature, |_, v| v + 30.0);
    expect(&checks(&hot, &limits(), None), &[("coolant temperature", Verdict::Stop)]);
}

#[test]
fn a_fast_sweep_and_lost_rows() {
    let mut fast = recording();
    fast.time.iter_mut().for_each(|t| *t *= 0.5);
    expect(&checks(&fast, &limits(), None), &[("sweep rate", Verdict::Watch)]);
    let mut gap = recording();
    let from = row_at(6000.0);
    gap.time.drain(from..from + 8);
    for recorded in &mut gap.channels {
        recorded.values.drain(from..from + 8);
    }
    expect(&checks(&gap, &limits(), None), &[("lost samples", Verdict::Watch)]);
}

#[test]
fn one_cylinder_unlike_the_others() {
    let unlike = with(Channel::ExhaustTemperature(2), |_, v| v + 60.0);
    expect(
        &checks(&unlike, &limits(), None),
        &[("exhaust temperatures, cylinder to cylinder", Verdict::Watch)],
    );
}

/// What one check said, by its name.
fn one<'a>(checks: &'a [Check], what: &str) -> Option<&'a Check> {
    checks.iter().find(|c| c.what == what)
}

fn stated(value: f64, from: From) -> Option<Stated> {
    Some(Stated { value, from })
}

fn plus(mut recording: Recording, channel: Channel, value: &dyn Fn(usize) -> f64) -> Recording {
    let values = (0..recording.rows()).map(value).collect();
    recording.channels.push(Recorded { channel, heading: channel.name(), values });
    recording
}

#[test]
fn torque_and_power_that_dyno_or_session_do_not_allow_are_stops() {
    let mut own = limits();
    own.torque = stated(320.0, From::Dyno);
    own.power = stated(270e3, From::Session);
    expect(&checks(&recording(), &own, None), &[]);
    // 310 N·m at 6900 rpm; 276 N·m at 8100 rpm is 234 kW.
    own.torque = stated(300.0, From::Dyno);
    own.power = stated(220e3, From::Session);
    let found = checks(&recording(), &own, None);
    expect(&found, &[("highest torque", Verdict::Stop), ("highest power", Verdict::Stop)]);
    let torque = one(&found, "highest torque").unwrap();
    assert!((torque.at.unwrap() / RPM - 6900.0).abs() < 300.0, "{torque:?}");
    assert_eq!(torque.bound.map(|b| b.from), Some(From::Dyno));
    let mut blind = recording();
    blind.channels.retain(|c| c.channel != Channel::Torque);
    let found = checks(&blind, &own, None);
    assert_eq!(one(&found, "highest torque").unwrap().verdict, Verdict::NotSeen);
    assert!(one(&checks(&recording(), &limits(), None), "highest torque").is_none());
}

#[test]
fn boost_is_held_against_its_limit_and_seen_without_one() {
    let blown = with(Channel::ManifoldPressure, |_, v| v + 51_500.0);
    let richer = |limits: Limits| Limits { lambda: limits.lambda, ..limits.of_boosted() };
    let mut own = richer(limits());
    own.lambda.value = 0.95;
    let found = checks(&blown, &own, None);
    expect(&found, &[]);
    let boost = one(&found, "highest boost").unwrap();
    // 97.2 + 51.5 kPa with a barometer of 98.7 kPa.
    assert!((boost.seen.unwrap().si - 50_000.0).abs() < 200.0, "{boost:?}");
    assert_eq!(boost.verdict, Verdict::NotSeen);
    assert!(boost.remedy.contains("[limits]"));
    own.boost = stated(60e3, From::Session);
    expect(&checks(&blown, &own, None), &[]);
    own.boost = stated(45e3, From::Session);
    expect(&checks(&blown, &own, None), &[("highest boost", Verdict::Stop)]);
    let mut blind = blown;
    blind.channels.retain(|c| c.channel != Channel::Barometer);
    assert_eq!(
        one(&checks(&blind, &own, None), "highest boost").unwrap().verdict,
        Verdict::NotSeen
    );
}

#[test]
fn the_lowest_fuel_pressure_that_is_stated_holds_though_it_does_not_sag() {
    let mut own = limits();
    own.fuel_pressure = stated(3.2e5, From::Session);
    expect(&checks(&recording(), &own, None), &[]);
    own.fuel_pressure = stated(3.6e5, From::Session);
    expect(&checks(&recording(), &own, None), &[("lowest fuel pressure", Verdict::Stop)]);
}

#[test]
fn air_meter_and_fuel_are_compared_for_the_fuel_that_is_said() {
    let what = "air meter beside fuel and mixture";
    let fuel = |row: usize| 0.012 + 1e-6 * row as f64;
    let log = |share: f64| {
        let air = move |row: usize| share * 14.6 * 0.8825 * fuel(row);
        plus(plus(recording(), Channel::FuelFlow, &fuel), Channel::AirFlow, &air)
    };
    let found = checks(&log(1.0), &limits(), None);
    expect(&found, &[]);
    assert!(one(&found, what).unwrap().reason.ends_with("for petrol"));
    let found = checks(&log(1.1), &limits(), None);
    expect(&found, &[(what, Verdict::Watch)]);
    let said = one(&found, what).unwrap();
    // 2 (1.1 - 1) / 2.1 of their mean.
    assert!((said.seen.unwrap().si - 0.0952).abs() < 0.002, "{said:?}");
    assert!(said.reason.starts_with("air meter and fuel and lambda differ by"), "{said:?}");
}

/// 14.35 rad of the engine a metre; what slips is found, what another gear is too.
#[test]
fn slip_of_the_tyres_is_watched_and_so_is_another_ratio() {
    let what = "slip between engine and roller";
    let speed: Vec<f64> = recording().get(Channel::EngineSpeed).unwrap().to_vec();
    let on_roller = |ratio: f64, slip: f64| {
        let surface = |row: usize| {
            let slips = if speed[row] > 7500.0 * RPM { slip } else { 0.0 };
            speed[row] / ratio / (1.0 + slips)
        };
        plus(recording(), Channel::RollerSpeed, &surface)
    };
    assert!(one(&checks(&recording(), &limits(), None), what).is_none());
    let firm = on_roller(14.35, 0.005);
    expect(&checks(&firm, &limits(), None), &[]);
    let found = checks(&on_roller(14.35, 0.03), &limits(), None);
    expect(&found, &[(what, Verdict::Watch)]);
    let slip = one(&found, what).unwrap();
    assert!((slip.seen.unwrap().si - 0.03).abs() < 1e-3, "{slip:?}");
    assert!((slip.at.unwrap() / RPM - 7500.0).abs() < 100.0, "{slip:?}");
    let grows = checks(&on_roller(14.35, -0.02), &limits(), None);
    assert!(one(&grows, what).unwrap().reason.contains("tyres grow"));
    let found = sweep::find(&firm, &Rules::default()).unwrap();
    let pull = Pull::new(&firm, &found, found.pulls().next().unwrap(), &Treatment::default());
    let before = earlier(&firm, &pull.unwrap());
    expect(&checks(&firm, &limits(), Some(&before)), &[]);
    let third = on_roller(19.1, 0.0);
    let moved = [("gear and tyres beside the pull before", Verdict::Watch)];
    expect(&checks(&third, &limits(), Some(&before)), &moved);
}
