//! Random legal engines: each gives a curve or a reason, never a panic, a hang or a NaN.
//!
//! `cargo run --release -p shortblock-plan --example random_engines [N] [SEED] [f32]
//! [show]`: 1000 engines from seed 1 when not said; one thread, coarse cells, four speeds. `show`
//! prints why speeds are missing, and the file of every engine that gives neither curve nor reason;
//! exit code 1 when there is one. `file` prints the files and does no more.

#[path = "../tests/main/chance.rs"]
mod chance;
#[path = "../tests/main/random.rs"]
mod random;
#[path = "../tests/main/survive.rs"]
mod survive;

use shortblock_cycle::{Precision, Serial};
use std::collections::BTreeMap;
use std::time::Instant;
use survive::{Outcome, survived};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let numbers: Vec<u64> = words.iter().filter_map(|word| word.parse().ok()).collect();
    let said = |i: usize, other: u64| numbers.get(i).copied().unwrap_or(other);
    let (count, seed) = (said(0, 1000), said(1, 1));
    let has = |wanted: &str| words.iter().any(|word| word == wanted);
    let show = has("show");
    if has("file") {
        return (seed..seed + count).for_each(|seed| println!("{}", random::random(seed)));
    }
    let precision = if has("f32") { Precision::F32 } else { Precision::F64 };
    let (mut curves, mut missing, mut bad) = (0, 0, 0);
    let mut reasons: BTreeMap<String, u64> = BTreeMap::new();
    let mut slowest = (0.0, 0);
    for seed in seed..seed + count {
        let text = random::random(seed);
        let start = Instant::now();
        let outcome = std::panic::catch_unwind(|| survived(&text, 4, precision, &Serial));
        let took = start.elapsed().as_secs_f64();
        if took > slowest.0 {
            slowest = (took, seed);
        }
        let wrong = match outcome {
            Ok(Ok(Outcome::Curve { holes })) => {
                curves += 1;
                missing += usize::from(!holes.is_empty());
                if show && !holes.is_empty() {
                    println!("seed {seed}: {}", holes.join("\n  "));
                }
                for hole in holes {
                    *reasons.entry(format!("  a speed: {}", kind(&hole))).or_default() += 1;
                }
                continue;
            }
            Ok(Ok(Outcome::Reason(why))) => {
                if show && why.starts_with("no speed") {
                    println!("seed {seed}: {why}");
                }
                *reasons.entry(kind(&why)).or_default() += 1;
                continue;
            }
            Ok(Err(wrong)) => wrong,
            Err(_) => "panic".to_owned(),
        };
        bad += 1;
        println!("seed {seed}: {wrong}");
        if show {
            println!("{text}");
        }
    }
    println!(
        "{count} engines from seed {seed}: {curves} curves, {missing} of them with speeds missing, \
         {} refused, {bad} neither; slowest {:.1} s (seed {})",
        count - curves - bad,
        slowest.0,
        slowest.1
    );
    for (why, times) in reasons {
        println!("{times:5}  {why}");
    }
    std::process::exit(i32::from(bad > 0));
}

/// A reason without its numbers, so that like ones are counted together.
fn kind(reason: &str) -> String {
    let first = reason.lines().next().unwrap_or_default();
    first.split(char::is_numeric).collect::<Vec<&str>>().join("#")
}
