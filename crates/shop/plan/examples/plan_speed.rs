//! Seconds for the curve, a first look at it and how far that is off, the ± and what moves it, of
//! an engine file.
//!
//! `cargo run --release -p shortblock-plan --example plan_speed [FILE] [show]`; one thread; without
//! a file the road four of the demo. `show` prints the curve and the limits too.

use shortblock_cycle::{Precision, Serial, Settings};
use shortblock_engine::{Build, Loader, load};
use shortblock_plan::{Ask, Prediction, Quality, Unwatched, moves, predict};
use std::path::Path;

/// Reads files below a folder.
struct Folder(std::path::PathBuf);

impl Loader for Folder {
    fn text(&self, path: &str) -> Option<String> {
        std::fs::read_to_string(self.0.join(path)).ok()
    }
    fn names(&self, path: &str) -> Vec<String> {
        let entries = std::fs::read_dir(self.0.join(path)).into_iter().flatten().flatten();
        entries.filter_map(|entry| entry.file_name().into_string().ok()).collect()
    }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let said = |word: &str| words.iter().any(|w| w == word);
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../demo");
    let file = words.iter().find(|word| word.ends_with(".toml"));
    let build = read(&demo, file.map_or("201/b1.toml", String::as_str));
    let settings = Settings {
        precision: if said("f32") { Precision::F32 } else { Precision::F64 },
        ..Settings::usual()
    };
    let ask = |quality, plus_minus| Ask { quality, plus_minus, settings, ..Ask::default() };
    let timed = |name: &str, ask: Ask| {
        let start = processor_seconds();
        let prediction = match predict(&build, &ask, &Serial, &Unwatched) {
            Ok(prediction) => prediction,
            Err(error) => {
                println!("{name}: {error}");
                std::process::exit(1);
            }
        };
        let took = processor_seconds() - start;
        println!("{name:28} {took:7.3} s");
        (prediction, took)
    };
    let (look, _) = timed("first look", ask(Quality::Coarse, false));
    let (fine, curve) = timed("curve with two-mesh error", ask(Quality::Fine, false));
    say_how_near(&look, &fine);
    let (with, all) = timed("curve with its ±", ask(Quality::Fine, true));
    println!("{:28} {:7.3} s, {:.2} of the curve", "so the ±", all - curve, (all - curve) / curve);
    if said("show") {
        show(&with);
    }
    if said("curve") {
        return;
    }
    let start = processor_seconds();
    match moves(&build, &ask(Quality::Fine, true), 20, &Serial, &Unwatched) {
        Ok(found) => {
            let took = processor_seconds() - start;
            println!("{:28} {took:7.3} s for {} values", "what moves it", found.effects.len());
            for effect in found.effects.iter().take(if said("show") { 60 } else { 5 }) {
                println!(
                    "  {:34} step {:10.4} best power {:+6.2} ±{:.2} kW, not known {:.2} kW",
                    effect.path,
                    effect.step,
                    effect.best_power.value * 1e-3,
                    effect.best_power.plus_minus.unwrap_or(0.0) * 1e-3,
                    effect.not_knowing * 1e-3
                );
            }
            for (path, why) in &found.failed {
                println!("  {path}: {why}");
            }
        }
        Err(error) => println!("what moves it: {error}"),
    }
}

/// By how much the torque of a first look is off the curve's.
fn say_how_near(look: &Prediction, fine: &Prediction) {
    let pairs = look.curve.torque().iter().zip(fine.curve.torque());
    let off: Vec<f64> = pairs.map(|(a, b)| 100.0 * (a / b - 1.0)).collect();
    let most = off.iter().fold(0.0, |most: f64, x| most.max(x.abs()));
    let square = off.iter().map(|x| x * x).sum::<f64>() / off.len().max(1) as f64;
    println!(
        "{:28} {:5.2} % root mean square, {most:.2} % at most",
        "the look is off by",
        square.sqrt()
    );
}

fn read(folder: &Path, file: &str) -> Build {
    let loaded = load(file, &Folder(folder.to_owned()));
    match loaded.build {
        Ok(build) => *build,
        Err(faults) => {
            for fault in faults.faults {
                println!("{}", fault.what);
            }
            std::process::exit(3);
        }
    }
}

fn show(prediction: &Prediction) {
    let rpm = |speed: f64| speed * 30.0 / std::f64::consts::PI;
    println!("   rpm  torque     ±   power     ±    VE    Z  spark  ca50  two-mesh inputs model");
    for (i, point) in prediction.points.iter().enumerate() {
        let curve = &prediction.curve;
        let plus_minus = |quantity| curve.plus_minus(quantity).map_or(f64::NAN, |all| all[i]);
        let parts = prediction.band.as_ref().map(|band| band.at_point(i));
        println!(
            "{:6.0} {:7.1} {:5.1} {:7.1} {:5.1} {:5.3} {:4.2} {:6.1} {:5.1} {:6.2} {:6.2} {:6.2} {}",
            rpm(point.speed),
            point.brake_torque,
            plus_minus(shortblock_curve::Quantity::Torque),
            point.brake_power * 1e-3,
            plus_minus(shortblock_curve::Quantity::Power) * 1e-3,
            point.volumetric_efficiency,
            point.inlet_mach_index,
            point.mean(|c| c.spark_advance).to_degrees(),
            point.mean(|c| c.burn_50).to_degrees(),
            prediction.two_mesh.get(i).map_or(f64::NAN, |share| 100.0 * share),
            parts.map_or(f64::NAN, |parts| 100.0 * parts.inputs),
            parts.map_or(f64::NAN, |parts| 100.0 * parts.model),
            point.convergence.cycles,
        );
    }
    for (name, best) in [("torque", prediction.best_torque), ("power", prediction.best_power)] {
        let plus_minus = best.figure.plus_minus.unwrap_or(f64::NAN);
        println!(
            "best {name} {:.1} ±{plus_minus:.1} at {:.0} ±{:.0} rpm",
            best.figure.value,
            rpm(best.speed),
            rpm(best.speed_plus_minus.unwrap_or(f64::NAN))
        );
    }
    for goal in &prediction.goals {
        println!("goal: {:?} chances, short by {:.0}", goal.chances_in_ten(), goal.short_by());
    }
    for limit in &prediction.limits {
        println!(
            "{:9} {:26} {:10.3} {:?} at {:?} rpm",
            limit.verdict.word(),
            limit.name,
            limit.value,
            limit.limit,
            limit.speed.map(|w| rpm(w).round())
        );
    }
    for remark in &prediction.remarks {
        println!("{remark}");
    }
    for failure in &prediction.failures {
        println!("{:.0} rpm: {}", rpm(failure.speed), failure.reason);
    }
    println!("{:?}", prediction.record);
}

/// Seconds this thread has had a processor: fair on a shared machine.
fn processor_seconds() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanoseconds: Option<f64> = text.split(' ').next().and_then(|word| word.parse().ok());
    nanoseconds.unwrap_or(f64::NAN) * 1e-9
}
