//! How long finding and gridding take: 1,000 pulls of 2,000 rows and 30 channels on one core.
//!
//! `cargo run --release -p shortblock-pulls --example pulls_speed`

use shortblock_pulls::inertia::Inertia;
use shortblock_pulls::sweep::{Rules, find};
use shortblock_pulls::{Channel, Pull, Recorded, Recording, Treatment};
use std::time::Instant;

const PULLS: u32 = 1000;
const ROWS: u32 = 2000;
const CHANNELS: u8 = 30;
const RPM: f64 = std::f64::consts::PI / 30.0;

fn main() {
    let recording = recording();
    let treatment = Treatment { lags: Vec::new(), inertia: Some(Inertia::new(0.35)) };
    let start = Instant::now();
    let mut points = 0;
    for _ in 0..PULLS {
        let found = find(&recording, &Rules::default()).expect("has a speed");
        for stretch in found.pulls() {
            let pull = Pull::new(&recording, &found, stretch, &treatment).expect("has rows");
            points += pull.speeds.len() * pull.channels.len();
        }
    }
    let seconds = start.elapsed().as_secs_f64();
    println!(
        "{PULLS} pulls of {ROWS} rows and {CHANNELS} channels: {seconds:.2} s, {points} points"
    );
}

/// A hold of 2 s, a sweep of 300 rpm/s for 16 s, a hold, with a little ripple in everything.
fn recording() -> Recording {
    let time: Vec<f64> = (0..ROWS).map(|row| f64::from(row) / 100.0).collect();
    let speed =
        |t: f64| (3000.0 + 300.0 * (t - 2.0).clamp(0.0, 16.0) + 2.0 * (37.0 * t).sin()) * RPM;
    let mut channels = vec![
        recorded(Channel::EngineSpeed, time.iter().map(|&t| speed(t)).collect()),
        recorded(Channel::Torque, time.iter().map(|t| 300.0 + 5.0 * (19.0 * t).sin()).collect()),
    ];
    for bank in 3..=CHANNELS {
        let values = time.iter().map(|t| f64::from(bank) + (7.0 * t).sin()).collect();
        channels.push(recorded(Channel::ExhaustTemperature(bank), values));
    }
    Recording { time, channels, ..Recording::default() }
}

fn recorded(channel: Channel, values: Vec<f64>) -> Recorded {
    Recorded { channel, heading: channel.name(), values }
}
