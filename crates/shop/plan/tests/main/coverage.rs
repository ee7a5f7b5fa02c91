//! The ± holds the truth as often as it says, on fifty invented engines; five hundred stand in
//! `docs/coverage.md`.

use crate::invented::invented;
use shortblock_cycle::{Executor, Precision, Settings};
use shortblock_engine::Build;
use shortblock_plan::{Ask, Held, Quality, Unwatched, coverage};

const ENGINES: usize = 50;
/// Chance that a right ± fails one of the bounds.
const TAIL: f64 = 1e-3;
/// The 50 % interval of a normal error over its 95 % interval (normal tables: 0.6745, 1.9600).
const HALF_OF_ALL: f64 = 0.6745 / 1.9600;

struct TwoThreads;

impl Executor for TwoThreads {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        std::thread::scope(|scope| {
            for half in 0..2 {
                scope.spawn(move || (0..count).filter(|i| i % 2 == half).for_each(work));
            }
        });
    }
}

/// Chance that a share is met at most `k` times in `n`: the binomial law.
fn at_most(k: usize, n: usize, share: f64) -> f64 {
    let mut term = (1.0 - share).powi(n as i32);
    let mut sum = term;
    for i in 0..k {
        term *= (n - i) as f64 / (i + 1) as f64 * share / (1.0 - share);
        sum += term;
    }
    sum
}

/// What is wrong about a ± taken so many times as wide, by the binomial law for its 95 % interval
/// (too few held: too narrow) and its 50 % interval (too many held: too wide).
fn wrong(held: &Held, times: f64) -> Option<String> {
    let (n, all, half) = (held.count(), held.held(times), held.held(HALF_OF_ALL * times));
    let too_few = at_most(all, n, 0.95);
    // At least as many as were held.
    let too_many = at_most(n - half, n, 0.5);
    let said = format!("{}: {all} of {n} held, {half} by the 50 % interval", held.figure);
    (too_few < TAIL || too_many < TAIL).then_some(said)
}

#[test]
fn the_binomial_law_is_that_of_printed_tables() {
    // Fifty tries at 5 %: at most 5 in 0.9622, at most 8 in 0.9992 (statistical tables, from
    // memory).
    assert!((at_most(5, 50, 0.05) - 0.9622).abs() < 5e-5);
    assert!((at_most(8, 50, 0.05) - 0.9992).abs() < 5e-5);
}

#[test]
fn the_plus_minus_holds_on_fifty_invented_engines() {
    let small = |build: &Build| build.layout.cylinders <= 4;
    let engines: Vec<Build> = (1..).filter_map(invented).filter(small).take(ENGINES).collect();
    let settings = Settings { precision: Precision::F32, ..Settings::usual() };
    let ask = Ask { quality: Quality::Coarse, points: 3, settings, ..Ask::default() };
    let found = coverage(&engines, 1, &ask, &TwoThreads, &Unwatched).unwrap();
    // A draw may ask for more flow than the drawn port can pass: no engine, so no truth.
    assert!(found.failed.len() < 5, "{:?}", found.failed);
    // Figures of one engine each; torques at several speeds of one engine are not independent.
    for held in &found.figures[1..] {
        assert_eq!(held.count() + found.failed.len(), ENGINES);
        assert_eq!(wrong(held, 1.0), None);
        // The bounds can fail: a ± half or twice as wide does not pass.
        assert!(wrong(held, 0.5).is_some(), "{} at half", held.figure);
        assert!(wrong(held, 2.0).is_some(), "{} at twice", held.figure);
    }
}
