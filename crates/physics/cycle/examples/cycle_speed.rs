//! Seconds for a 14-point full-load curve on one thread and on two, and for a first look at it on
//! coarse cells with how far that is off, by level and precision. A thread's time is the time it had a processor.
//!
//! `cargo run --release -p shortblock-cycle --example cycle_speed [v8|four] [curve] [avx2+fma] [f64] [3]`;
//! a number is the repeats of which the best counts.

#[path = "../tests/designs/mod.rs"]
mod designs;

use shortblock_cycle::*;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let said = |word: &str| words.iter().any(|w| w == word);
    let (name, network, speeds) = if said("four") {
        ("sharp four", designs::four(), (2500.0, 8500.0))
    } else {
        ("V8", designs::v8(), (1500.0, 6500.0))
    };
    let points = 14;
    let demands: Vec<Demand> = (0..points)
        .map(|i| designs::demand(speeds.0 + (speeds.1 - speeds.0) * i as f64 / 13.0))
        .collect();
    let mesh = Mesh::of(&network, CellLength::FINE);
    let coarse = Mesh::of(&network, CellLength::COARSE);
    let jobs = |mesh| -> Vec<Job> {
        demands.iter().map(|demand| Job { network: &network, mesh, demand }).collect()
    };
    let (fine, preview) = (jobs(&mesh), jobs(&coarse));
    if said("curve") {
        curve(&fine);
    }
    let cells: usize = mesh.cells.iter().sum();
    println!(
        "{name}: {points} points, {cells} cells; seconds on 1 thread, on 2, and for a first look"
    );
    let most = words.iter().find_map(|w| w.parse().ok()).unwrap_or(3);
    let asked = |word: &str, all: &[&str]| said(word) || !all.iter().any(|w| said(w));
    for level in Level::available() {
        for precision in [Precision::F64, Precision::F32] {
            let width = if precision == Precision::F64 { "f64" } else { "f32" };
            if !asked(level.name(), &["baseline", "avx2+fma", "avx512"])
                || !asked(width, &["f64", "f32"])
            {
                continue;
            }
            let settings = Settings { level, precision, ..Settings::usual() };
            let look = settings.for_a_first_look();
            let best = |jobs: &[Job], settings: &Settings, threads| {
                let times = (0..most).map(|_| seconds(jobs, settings, threads));
                times.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::NAN, 0))
            };
            let ((one, updates), (two, _), (first, _)) =
                (best(&fine, &settings, 1), best(&fine, &settings, 2), best(&preview, &look, 1));
            println!(
                "{:9} {precision:?}  {one:.3}  {two:.3}  {first:.3} (off by {:.2} %)  {:.1} million cell-lane updates a second",
                level.name(),
                100.0 * off(&preview, &look, &fine, &settings),
                updates as f64 / one * 1e-6
            );
        }
    }
}

/// Root mean square of how far torques are off those of other jobs and settings, as a share.
fn off(jobs: &[Job], settings: &Settings, others: &[Job], usual: &Settings) -> f64 {
    let points = |jobs: &[Job], settings| run(jobs, settings, &Serial, &Unwatched);
    let (near, answer) = (points(jobs, settings), points(others, usual));
    let pairs = near.iter().flatten().zip(answer.iter().flatten());
    let squares = pairs.map(|(a, b)| (a.brake_torque / b.brake_torque - 1.0).powi(2));
    (squares.sum::<f64>() / jobs.len() as f64).sqrt()
}

/// Seconds of the thread that worked longest, and updates of cells on the mesh asked for.
fn seconds(jobs: &[Job], settings: &Settings, threads: usize) -> (f64, usize) {
    let executor = Threads { threads, longest: Mutex::new(0.0) };
    let start = processor_seconds();
    let points = run(jobs, settings, &executor, &Unwatched);
    let own = processor_seconds() - start;
    let longest = executor.longest.into_inner().unwrap_or(f64::NAN);
    let updates = points
        .iter()
        .flatten()
        .map(|p| jobs[0].mesh.updates_per_cycle(p.speed) * p.convergence.cycles)
        .sum();
    (own + longest, updates)
}

/// Threads beside the caller's, which waits; adds up what the longest of them worked each time.
struct Threads {
    threads: usize,
    longest: Mutex<f64>,
}

impl Executor for Threads {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        let next = AtomicUsize::new(0);
        let one = || {
            let start = processor_seconds();
            loop {
                let i = next.fetch_add(1, Ordering::Relaxed);
                if i >= count {
                    return processor_seconds() - start;
                }
                work(i);
            }
        };
        let longest = std::thread::scope(|scope| {
            let all: Vec<_> = (0..self.threads).map(|_| scope.spawn(one)).collect();
            all.into_iter().filter_map(|thread| thread.join().ok()).fold(0.0, f64::max)
        });
        *self.longest.lock().unwrap() += longest;
    }

    fn threads(&self) -> usize {
        self.threads
    }
}

fn curve(jobs: &[Job]) {
    println!(
        "  rpm  torque  power    VE   spark  ca50  10-90  pmax  fmep  resid  Tex  heat  cycles"
    );
    for result in run(jobs, &Settings::usual(), &Serial, &Unwatched) {
        let p = match result {
            Ok(point) => point,
            Err(error) => {
                println!("{error}");
                continue;
            }
        };
        let deg = 180.0 / std::f64::consts::PI;
        println!(
            "{:5.0} {:7.1} {:6.1} {:6.3} {:6.1} {:5.1} {:6.1} {:5.1} {:5.2} {:6.3} {:5.0} {:5.3} {} {:.1e} {:?}",
            p.speed * 30.0 / std::f64::consts::PI,
            p.brake_torque,
            p.brake_power * 1e-3,
            p.volumetric_efficiency,
            p.mean(|c| c.spark_advance) * deg,
            p.mean(|c| c.burn_50) * deg,
            p.mean(|c| c.burn_10_90) * deg,
            p.mean(|c| c.peak_pressure) * 1e-5,
            p.fmep * 1e-5,
            p.mean(|c| c.residual),
            p.mean(|c| c.exhaust_temperature),
            p.heat_share,
            p.convergence.cycles,
            p.convergence.change,
            p.clamps,
        );
    }
}

/// Seconds this thread has had a processor: fair on a shared machine.
fn processor_seconds() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanoseconds: Option<f64> = text.split(' ').next().and_then(|word| word.parse().ok());
    nanoseconds.unwrap_or(f64::NAN) * 1e-9
}
