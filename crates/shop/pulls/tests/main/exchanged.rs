//! Channels that read as each other, and channels of another moment. Limits are ours or common
//! practice, no source; what is tested is that each is found with value and limit, and nothing else.

use crate::checks::{checks, limits, recording, with};
use shortblock_pulls::check::{Check, Verdict, earlier};
use shortblock_pulls::sweep::{self, Rules};
use shortblock_pulls::{Channel, Pull, Recorded, Recording, Treatment};

fn exchange(recording: &mut Recording, a: Channel, b: Channel) {
    for recorded in &mut recording.channels {
        recorded.channel = match recorded.channel {
            c if c == a => b,
            c if c == b => a,
            c => c,
        };
    }
}

/// The check of that name, which must be watched with value, limit and remedy.
#[track_caller]
fn watched(checks: &[Check], what: &str) -> Check {
    let found = checks.iter().find(|c| c.what == what && c.verdict == Verdict::Watch);
    let found = found.unwrap_or_else(|| panic!("{what} is not watched: {checks:#?}")).clone();
    assert!(found.seen.is_some() && found.bound.is_some() && !found.remedy.is_empty(), "{found:?}");
    found
}

const SWAPPED: &str = "exchanged channels";

#[test]
fn inlet_and_coolant_exchanged_are_told() {
    let mut swapped = recording();
    exchange(&mut swapped, Channel::IntakeAirTemperature, Channel::CoolantTemperature);
    let found = watched(&checks(&swapped, &limits(), None), SWAPPED);
    assert!(found.reason.contains("inlet air reads like coolant"), "{found:?}");
}

#[test]
fn oil_and_fuel_pressure_exchanged_are_told() {
    let mut swapped = recording();
    exchange(&mut swapped, Channel::OilPressure, Channel::FuelPressure);
    let found = watched(&checks(&swapped, &limits(), None), SWAPPED);
    assert!(found.reason.contains("fuel pressure rises with speed"), "{found:?}");
}

#[test]
fn barometer_and_manifold_exchanged_are_told() {
    let mut swapped = recording();
    exchange(&mut swapped, Channel::Barometer, Channel::ManifoldPressure);
    let found = watched(&checks(&swapped, &limits(), None), SWAPPED);
    assert!(found.reason.contains("the barometer moves with the throttle"), "{found:?}");
}

/// Cylinders 60 K apart: exchanged since the pull before they are told, in their places they are not.
#[test]
fn two_cylinders_exchanged_since_the_pull_before_are_told() {
    let before = with(Channel::ExhaustTemperature(2), |_, t| t + 45.0);
    let found = sweep::find(&before, &Rules::default()).unwrap();
    let stretch = found.pulls().next().unwrap();
    let pull = Pull::new(&before, &found, stretch, &Treatment::default()).unwrap();
    let left = earlier(&before, &pull);
    let mut swapped = before.clone();
    exchange(&mut swapped, Channel::ExhaustTemperature(1), Channel::ExhaustTemperature(2));
    let found = watched(&checks(&swapped, &limits(), Some(&left)), SWAPPED);
    assert!(found.reason.contains("cylinders 1 and 2"), "{found:?}");
    let same = checks(&before, &limits(), Some(&left));
    assert!(same.iter().any(|c| c.what == SWAPPED && c.verdict == Verdict::InOrder));
}

#[test]
fn power_that_is_not_torque_times_speed_is_told() {
    let of = |factor: f64| {
        let mut recording = recording();
        let torque = recording.get(Channel::Torque).unwrap().to_vec();
        let speed = recording.get(Channel::EngineSpeed).unwrap();
        let values = torque.iter().zip(speed).map(|(t, w)| factor * t * w).collect();
        let power = Recorded { channel: Channel::Power, heading: "power".into(), values };
        recording.channels.push(power);
        checks(&recording, &limits(), None)
    };
    let off = watched(&of(1.04), "power beside torque times speed");
    assert!((off.seen.unwrap().si - 0.04).abs() < 1e-9);
    assert!(of(1.004).iter().all(|c| c.verdict < Verdict::Watch));
}

/// A channel late by 1.2 s, as from a logger started by hand, is found within its rows of 40 ms; early
/// likewise.
#[test]
fn a_channel_of_another_moment_is_told() {
    const WHAT: &str = "time alignment of the channels";
    for rows in [30_isize, -30] {
        let mut late = recording();
        for recorded in &mut late.channels {
            if recorded.channel == Channel::ManifoldPressure {
                let own = recorded.values.clone();
                for (row, value) in recorded.values.iter_mut().enumerate() {
                    let from = row.saturating_add_signed(-rows).min(own.len() - 1);
                    *value = own[from];
                }
            }
        }
        let found = watched(&checks(&late, &limits(), None), WHAT);
        let seen = found.seen.unwrap().si;
        assert!((seen - 0.04 * rows as f64).abs() < 0.04, "{seen}");
        let word = if rows > 0 { "comes late behind" } else { "comes early behind" };
        assert!(found.reason.contains(word), "{found:?}");
    }
}

/// At 2000 readings a second the lag is the same and takes no longer to find than it may: every reading
/// against every shift would be 10 to the power of 10 products.
#[test]
fn a_fast_log_is_thinned_before_its_lags_are_looked_for() {
    const TIMES: usize = 80;
    let mut fast = recording();
    let rows = fast.time.len();
    let at = |row: usize| row / TIMES;
    fast.time = (0..rows * TIMES).map(|row| 0.04 / TIMES as f64 * row as f64).collect();
    for recorded in &mut fast.channels {
        let own = recorded.values.clone();
        let late = if recorded.channel == Channel::ManifoldPressure { 30 * TIMES } else { 0 };
        recorded.values = (0..rows * TIMES).map(|row| own[at(row.saturating_sub(late))]).collect();
        if recorded.channel == Channel::EngineSpeed {
            // Speed rises between the readings too.
            let next = |row: usize| own[(at(row) + 1).min(rows - 1)];
            let share = |row: usize| (row % TIMES) as f64 / TIMES as f64;
            recorded.values = (0..rows * TIMES)
                .map(|row| own[at(row)] + share(row) * (next(row) - own[at(row)]))
                .collect();
        }
    }
    let began = std::time::Instant::now();
    let found = watched(&checks(&fast, &limits(), None), "time alignment of the channels");
    assert!((found.seen.unwrap().si - 1.2).abs() < 0.04, "{found:?}");
    assert!(began.elapsed().as_secs() < 60, "{:?}", began.elapsed());
}
