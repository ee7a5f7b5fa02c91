//! Points of one engine file, a line each, with every figure a tuner would look at.
//!
//! `cargo run --release -p shortblock-plan --example print_points demo/126/b1.toml [notes] [2000 6000]`

use shortblock_cycle::{CellLength, Job, Mesh, Point, Serial, Settings, Unwatched, run};
use shortblock_engine::{Loader, load};
use std::f64::consts::PI;
use std::path::{Path, PathBuf};

/// The folder above the engine's own: parts on the shelf stand beside it.
struct Shop(PathBuf);

impl Loader for Shop {
    fn text(&self, path: &str) -> Option<String> {
        let bytes = std::fs::read(self.0.join(path)).ok()?;
        Some(String::from_utf8_lossy(&bytes).into_owned())
    }

    fn names(&self, path: &str) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.0.join(path)) else { return Vec::new() };
        entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok()).collect()
    }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let Some(file) = words.first().map(Path::new) else {
        println!("an engine file, please");
        return;
    };
    let folder = file.parent().unwrap_or(Path::new("."));
    let shop = folder.parent().unwrap_or(Path::new("."));
    let name = |path: &Path| {
        path.file_name().map_or(String::new(), |name| name.to_string_lossy().into_owned())
    };
    let entry = format!("{}/{}", name(folder), name(file));
    let build = match load(&entry, &Shop(shop.to_owned())).build {
        Ok(build) => build,
        Err(faults) => return println!("{}", faults.render()),
    };
    let design = match shortblock_plan::network(&build) {
        Ok(design) => design,
        Err(error) => return println!("{error}"),
    };
    let taken =
        (0..20).map(|_| seconds(|| drop(shortblock_plan::network(&build)))).fold(1.0, f64::min)
            * 1e3;
    let mesh = Mesh::of(&design.network, CellLength::FINE);
    let numbers: Vec<f64> = words[1..].iter().filter_map(|word| word.parse().ok()).collect();
    let (low, high) = match numbers.as_slice() {
        [low, high, ..] => (*low, *high),
        _ => range(&build),
    };
    let demands: Vec<_> =
        (0..5).map(|i| design.demand((low + (high - low) * i as f64 / 4.0) * PI / 30.0)).collect();
    let jobs: Vec<Job> = demands
        .iter()
        .map(|demand| Job { network: &design.network, mesh: &mesh, demand })
        .collect();
    println!("{entry}: network in {taken:.2} ms, {} cells", mesh.cells.iter().sum::<usize>());
    if words.iter().any(|word| word == "notes") {
        design.notes.iter().for_each(|note| println!("  {note}"));
    }
    println!(
        "  rpm   N.m    kW  bmep    VE  lambda spark  ca50 0-10 10-90  pmax   at  pmep  fmep resid  Tex heat bsfc  Z  spread knock"
    );
    for result in run(&jobs, &Settings::usual(), &Serial, &Unwatched) {
        match result {
            Ok(point) => line(&point, build.bottom_end.displacement),
            Err(error) => println!("{error}"),
        }
    }
}

/// Seconds that `work` takes.
fn seconds(work: impl FnOnce()) -> f64 {
    let begin = std::time::Instant::now();
    work();
    begin.elapsed().as_secs_f64()
}

/// From a third of the top speed to the top speed, rpm; without a limit, of 18 m/s.
fn range(build: &shortblock_engine::Build) -> (f64, f64) {
    let limit = build.limits.engine_speed.as_ref().map(|v| v.si);
    let top = limit.unwrap_or(18.0 * PI / build.bottom_end.stroke.si) * 30.0 / PI;
    (top / 3.0, top)
}

fn line(p: &Point, displacement: f64) {
    let deg = 180.0 / PI;
    let knock = p.cylinders.iter().filter_map(|c| c.knock_margin).fold(f64::NAN, f64::min);
    println!(
        "{:5.0} {:6.1} {:5.1} {:5.2} {:6.3} {:5.3} {:5.1}{} {:5.1} {:5.1} {:5.1} {:5.1} {:4.1} {:5.2} {:5.2} {:5.3} {:4.0} {:.3} {:.0} {:.2} {:.3} {:4.1} {} {:?}",
        p.speed * 30.0 / PI,
        p.brake_torque,
        p.brake_power * 1e-3,
        4.0 * PI * p.brake_torque / displacement * 1e-5,
        p.volumetric_efficiency,
        p.lambda,
        p.mean(|c| c.spark_advance) * deg,
        if p.cylinders.iter().any(|c| c.knock_limited) { "k" } else { " " },
        p.mean(|c| c.burn_50) * deg,
        p.mean(|c| c.burn_0_10) * deg,
        p.mean(|c| c.burn_10_90) * deg,
        p.mean(|c| c.peak_pressure) * 1e-5,
        p.mean(|c| c.peak_pressure_angle) * deg,
        p.pmep * 1e-5,
        p.fmep * 1e-5,
        p.mean(|c| c.residual),
        p.mean(|c| c.exhaust_temperature),
        p.heat_share,
        p.bsfc * 3.6e9,
        p.inlet_mach_index,
        p.air_per_cylinder_spread,
        knock * deg,
        p.convergence.cycles,
        p.clamps,
    );
}
