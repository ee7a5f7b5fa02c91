//! How often the ± holds the truth of invented engines drawn from the priors.
//!
//! `cargo run --release -p shortblock-plan --example plan_coverage [ENGINES] [SEED] [THREADS]`: 500
//! engines, seed 1 and one thread when not said. Prints where it stands after every 25 engines, and
//! at the end the rows for `docs/coverage.md`; exit code 1 when a figure held less often than 93 %
//! or more often than 97 %, beyond what chance explains.

#[path = "../tests/main/chance.rs"]
mod chance;
#[path = "../tests/main/invented.rs"]
mod invented;

use invented::invented;
use shortblock_cycle::{Executor, Precision, Settings};
use shortblock_engine::Build;
use shortblock_plan::{Ask, Coverage, Quality, Unwatched, coverage};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Engines between two words on where it stands.
const AT_ONCE: usize = 25;
/// What the ± must hold.
const WANTED: (f64, f64) = (0.93, 0.97);

/// Work on so many threads.
struct Threads(usize);

impl Executor for Threads {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        let next = AtomicUsize::new(0);
        thread::scope(|scope| {
            for _ in 0..self.0.clamp(1, count.max(1)) {
                scope.spawn(|| {
                    loop {
                        let i = next.fetch_add(1, Ordering::Relaxed);
                        if i >= count {
                            break;
                        }
                        work(i);
                    }
                });
            }
        });
    }
}

fn main() {
    let numbers: Vec<u64> = std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let said = |i: usize, other: u64| numbers.get(i).copied().unwrap_or(other);
    let (count, seed) = (said(0, 500) as usize, said(1, 1));
    let threads = Threads(said(2, 1) as usize);
    let engines: Vec<Build> = (seed..).filter_map(invented).take(count).collect();
    // Each engine's own range in five speeds, the narrow numbers: what is proven is the ±.
    let settings = Settings { precision: Precision::F32, ..Settings::usual() };
    let ask = Ask { quality: Quality::Coarse, points: 5, settings, ..Ask::default() };
    let mut all = Coverage::default();
    for (i, some) in engines.chunks(AT_ONCE).enumerate() {
        match coverage(some, seed + (i * AT_ONCE) as u64, &ask, &threads, &Unwatched) {
            Ok(found) => all.join(found),
            Err(error) => {
                println!("{error}");
                std::process::exit(5);
            }
        }
        eprintln!("{} of {count}\n{}", (i * AT_ONCE + some.len()), table(&all));
    }
    println!("{count} engines from seed {seed}, {} failed\n{}", all.failed.len(), table(&all));
    for why in &all.failed {
        println!("{why}");
    }
    let bad = all.figures.iter().any(|held| {
        let (_, low, high) = held.share();
        high < WANTED.0 || low > WANTED.1
    });
    std::process::exit(i32::from(bad));
}

fn table(found: &Coverage) -> String {
    let mut out = String::from(
        "| figure | held | of | % | interval, % | half the ± | half width, % | interval score, % |\n\
         |---|---|---|---|---|---|---|---|\n",
    );
    for held in &found.figures {
        let (share, low, high) = held.share();
        out += &format!(
            "| {} | {} | {} | {:.1} | {:.1} to {:.1} | {} | {:.1} | {:.1} |\n",
            held.figure,
            held.held(1.0),
            held.count(),
            100.0 * share,
            100.0 * low,
            100.0 * high,
            held.held(0.5),
            100.0 * held.median_half_width(),
            100.0 * held.interval_score()
        );
    }
    out
}
