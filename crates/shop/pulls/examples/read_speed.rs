//! How fast are logs read? A folder of 1,000 logs of 2,000 rows and 30 channels, as text in three
//! dialects, read on one core.
//!
//! `cargo run --release -p shortblock-pulls --example read_speed [FOLDER]`: with a folder, 100 of the
//! comma-separated logs are also written there, for another reader to be measured on.
//!
//! Prints megabytes a second (10^6 bytes), best of five rounds, the hash of the bytes included; and by
//! processor time, which minds other work on the machine less.

use std::fmt::Write;
use std::hint::black_box;
use std::time::Instant;

const FILES: usize = 1000;
const ROWS: usize = 2000;
const CHANNELS: usize = 30;
/// Different logs; the others are the same bytes again.
const DIFFERENT: usize = 20;

/// One log: time, speed, torque and channels that vary slowly, to one to three places.
fn log(seed: usize, delimiter: char, decimal: char) -> String {
    let mut text = String::from("Time [s]");
    for channel in 1..CHANNELS {
        let _ = write!(text, "{delimiter}Channel {channel} [bar]");
    }
    text.push('\n');
    let mut state = seed as u64 + 1;
    for row in 0..ROWS {
        let _ = write!(text, "{:.3}", row as f64 * 0.01);
        for channel in 1..CHANNELS {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            let noise = (state >> 40) as f64 / 16_777_216.0;
            let value = 1500.0 / channel as f64 + row as f64 * 3.0 / channel as f64 + noise;
            let _ = write!(text, "{delimiter}{value:.*}", channel % 4);
        }
        text.push('\n');
    }
    if decimal != '.' { text.replace('.', &decimal.to_string()) } else { text }
}

/// Processor time of this thread so far, s; `None` where the system does not tell.
fn processor_seconds() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9)
}

fn measure(name: &str, logs: &[Vec<u8>], read: impl Fn(&[u8]) -> f64) {
    let bytes: usize = (0..FILES).map(|file| logs[file % DIFFERENT].len()).sum();
    let (mut best, mut least) = (f64::INFINITY, f64::INFINITY);
    for _ in 0..5 {
        let (start, used) = (Instant::now(), processor_seconds());
        for file in 0..FILES {
            black_box(read(&logs[file % DIFFERENT]));
        }
        best = best.min(start.elapsed().as_secs_f64());
        let used = processor_seconds().zip(used).map_or(f64::NAN, |(after, before)| after - before);
        least = least.min(used);
    }
    let (files, size) = (FILES as f64, bytes as f64 / 1e6);
    println!(
        "{name:<34}{:>7.0} MB/s {:>8.3} ms a file, {:.0} MB/s of processor time",
        size / best,
        best / files * 1e3,
        size / least
    );
}

fn sum(bytes: &[u8]) -> f64 {
    let log = shortblock_pulls::read(bytes).expect("a log");
    assert_eq!(log.groups[0].rows(), ROWS);
    assert_eq!(log.groups[0].columns.len(), CHANNELS);
    log.groups[0].columns[CHANNELS - 1].values[ROWS - 1]
}

fn main() {
    let dialects = [
        ("commas, decimal points", ',', '.'),
        ("semicolons, decimal commas", ';', ','),
        ("runs of spaces", ' ', '.'),
    ];
    for (name, delimiter, decimal) in dialects {
        let logs: Vec<_> =
            (0..DIFFERENT).map(|seed| log(seed, delimiter, decimal).into_bytes()).collect();
        measure(name, &logs, sum);
        if delimiter == ','
            && let Some(folder) = std::env::args().nth(1)
        {
            for (place, log) in logs.iter().cycle().take(100).enumerate() {
                let path = format!("{folder}/log{place:03}.csv");
                std::fs::write(&path, log).expect("the folder can be written to");
            }
        }
    }
}
