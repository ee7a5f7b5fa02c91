//! Seconds for a 14-point full-load curve, by level, precision and mesh.
//!
//! `cargo run --release -p shortblock-cycle --example cycle_speed [v8|four] [curve] [avx2+fma] [f64] [3]`;
//! a number is the repeats of which the best counts.

#[path = "../tests/designs/mod.rs"]
mod designs;

use shortblock_cycle::*;

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
    let jobs: Vec<Job> =
        demands.iter().map(|demand| Job { network: &network, mesh: &mesh, demand }).collect();
    if said("curve") {
        curve(&jobs);
    }
    let cells: usize = mesh.cells.iter().sum();
    println!("{name}: {points} points, {cells} cells");
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
            let mut best = f64::INFINITY;
            let mut updates = 0.0;
            for _ in 0..most {
                let start = processor_seconds();
                let results = run(&jobs, &settings, &Serial, &Unwatched);
                best = best.min(processor_seconds() - start);
                updates = results
                    .iter()
                    .flatten()
                    .map(|p| (mesh.updates_per_cycle(p.speed) * p.convergence.cycles) as f64)
                    .sum();
            }
            println!(
                "{:9} {precision:?}  {best:.3} s, {:.1} million cell-lane updates a second",
                level.name(),
                updates / best * 1e-6
            );
        }
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
