//! How often the ± holds the truth of invented engines drawn from the priors.
//!
//! `cargo run --release -p shortblock-plan --example plan_coverage [ENGINES] [SEED] [fine]`: 50
//! engines, the coarse mesh and five speeds by default; exit code 1 when a figure held less often
//! than 93 % or more often than 97 %, beyond what chance explains.

use shortblock_cycle::Executor;
use shortblock_engine::{Build, Memory, load};
use shortblock_plan::{Ask, Quality, Unwatched, coverage};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Work on as many threads as the machine has.
struct Threads;

impl Executor for Threads {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        let next = AtomicUsize::new(0);
        let threads = thread::available_parallelism().map_or(1, usize::from).min(count.max(1));
        thread::scope(|scope| {
            for _ in 0..threads {
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
    let words: Vec<String> = std::env::args().skip(1).collect();
    let numbers: Vec<u64> = words.iter().filter_map(|word| word.parse().ok()).collect();
    let count = numbers.first().copied().unwrap_or(50);
    let seed = numbers.get(1).copied().unwrap_or(1);
    let fine = words.iter().any(|word| word == "fine");
    let engines: Vec<Build> =
        (0..4 * count).filter_map(|i| invented(seed + i)).take(count as usize).collect();
    // Each engine's own range in five speeds.
    let quality = if fine { Quality::Fine } else { Quality::Coarse };
    let ask = Ask { quality, points: 5, ..Ask::default() };
    let found = match coverage(&engines, seed, &ask, &Threads, &Unwatched) {
        Ok(found) => found,
        Err(error) => {
            println!("{error}");
            std::process::exit(5);
        }
    };
    let mut bad = false;
    println!("{} engines, {} failed", engines.len(), found.failed.len());
    for held in &found.figures {
        let (share, low, high) = held.share();
        println!(
            "{:18} held {:4} of {:4}: {:5.1} % ({:.1} to {:.1}), half width {:4.1} %, score {:.3}",
            held.figure,
            held.held,
            held.of,
            100.0 * share,
            100.0 * low,
            100.0 * high,
            100.0 * held.median_half_width(),
            held.interval_score()
        );
        bad |= high < 0.93 || low > 0.97;
    }
    for why in &found.failed {
        println!("{why}");
    }
    std::process::exit(i32::from(bad));
}

/// Spreads numbers over 0 to 1 (SplitMix64).
struct Chance(u64);

impl Chance {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }
}

/// An engine as somebody might write it down: half of them with pipes and flow, half without.
fn invented(seed: u64) -> Option<Build> {
    let mut c = Chance(seed.wrapping_mul(7919));
    let cylinders = [4, 6, 8][(3.0 * c.share()) as usize];
    let bore = c.between(76.0, 104.0);
    let stroke = bore * c.between(0.78, 1.08);
    let two = c.share() < 0.6;
    let (count, share) = if two { (2, c.between(0.37, 0.42)) } else { (1, c.between(0.46, 0.52)) };
    let intake = share * bore;
    let exhaust = intake * c.between(0.80, 0.87);
    let duration = c.between(215.0, 262.0);
    let mut text = format!(
        "format = 1\nnumber = \"{seed}\"\ncylinders = {cylinders}\nbore = \"{bore:.1} mm\"\n\
         stroke = \"{stroke:.1} mm\"\ncompression_ratio = {:.1}\n",
        c.between(9.0, 12.0)
    );
    let mut side = |name: &str, valve: f64, lift: f64, duration: f64, centreline: f64| {
        text += &format!(
            "[{name}]\nvalves = {{ per_cylinder = {count}, diameter = \"{valve:.1} mm\" }}\n\
             cam = {{ lift = \"{:.1} mm\", duration = \"{duration:.0} deg at 1.0 mm\", \
             centreline = \"{centreline:.0} deg\" }}\n",
            lift * valve
        );
    };
    let lift = if two { 0.28 } else { 0.24 };
    side("intake", intake, lift, duration, c.between(103.0, 112.0));
    side("exhaust", exhaust, lift * 1.08, duration, c.between(106.0, 115.0));
    if c.share() < 0.5 {
        text += &format!(
            "[intake.runner]\nlength = \"{:.0} ±5 mm\"\n[exhaust.primary]\nlength = \"{:.0} ±15 mm\"\n\
             bore = \"{:.1} ±0.5 mm\"\n",
            c.between(180.0, 380.0),
            c.between(450.0, 850.0),
            exhaust * f64::from(count).sqrt() * c.between(0.92, 1.08)
        );
    }
    load("invented", &Memory::default().with("invented", &text)).build.ok().map(|build| *build)
}
