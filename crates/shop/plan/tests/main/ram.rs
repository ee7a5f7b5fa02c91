//! Long and short runners on one engine, against what a maker published of a pair.

use shortblock_cycle::*;
use shortblock_engine::{Build, Memory, load};
use shortblock_plan::network;
use std::f64::consts::PI;

/// A pushrod V8 of 6.8 litres of 1960 with two four-barrel carburettors, each on a plenum of four
/// cylinders at the far end of the runners. Bore, stroke, compression, valves and lift from memory;
/// the rest is what such an engine has, common practice.
const ENGINE: &str = r#"format = 1
[layout]
cylinders = 8
arrangement = "V"
bank_angle = "90 deg"
banks = [[1, 3, 5, 7], [2, 4, 6, 8]]
firing_order = [1, 8, 4, 3, 6, 5, 7, 2]
[bottom_end]
bore = "4.188 in"
stroke = "3.75 in"
rod_length = "6.77 in"
[chamber]
compression_ratio = 10.0
shape = "wedge"
[valve_train]
kind = "pushrod and rocker"
lifter = "hydraulic"
rocker_ratio = 1.5
[cam]
lobe_separation = "112 deg"
intake_centreline = "108 deg"
[intake]
valves = { per_cylinder = 1, diameter = "2.08 in" }
port = { length = "5 in" }
[intake.cam]
lift = "0.430 in"
duration = "DURATION deg at seat"
[intake.carburettor]
barrels = 4
rating = "1200 cfm at 1.5 inHg"
[intake.plenum]
kind = "divided"
volume = "60 in3"
halves = [[1, 3, 5, 7], [2, 4, 6, 8]]
bridge = "1.5 in2"
[intake.runner]
length = "RUNNER in"
[exhaust]
kind = "log"
valves = { per_cylinder = 1, diameter = "1.60 in" }
[exhaust.cam]
lift = "0.430 in"
duration = "DURATION deg at seat"
[fuel]
octane = { RON = 99, MON = 90 }
[tested_as]
accessories = []
exhaust = "open collectors"
air_cleaner = "none"
air = "test stand"
correction = "not stated"
"#;

fn build(runner_in: f64, seat_deg: f64) -> Build {
    let text =
        ENGINE.replace("RUNNER", &runner_in.to_string()).replace("DURATION", &seat_deg.to_string());
    match load("a.toml", &Memory::default().with("a.toml", &text)).build {
        Ok(build) => *build,
        Err(faults) => panic!("{}", faults.render()),
    }
}

/// Greatest torque and power, each with its speed in rpm, and the torque at 2800 rpm.
fn peaks(build: &Build) -> ([f64; 2], [f64; 2], f64) {
    let design = network(build).unwrap();
    let mesh = Mesh::of(&design.network, CellLength::COARSE);
    let speeds = (0..16).map(|i| 2400.0 + 200.0 * f64::from(i));
    let demands: Vec<Demand> = speeds.map(|n| design.demand(n * PI / 30.0)).collect();
    let network = &design.network;
    let jobs: Vec<Job> =
        demands.iter().map(|demand| Job { network, mesh: &mesh, demand }).collect();
    let points: Vec<Point> = run(&jobs, &Settings::usual(), &Serial, &Unwatched)
        .into_iter()
        .map(|point| point.unwrap())
        .collect();
    let peak = |f: fn(&Point) -> f64| {
        let best = points.iter().max_by(|a, b| f(a).total_cmp(&f(b))).unwrap();
        [f(best), best.speed * 30.0 / PI]
    };
    (peak(|p| p.brake_torque), peak(|p| p.brake_power), points[2].brake_torque)
}

/// The maker's pair of 1960 (from memory): runners of 30 in from carburettor to valve make
/// 495 lb.ft at 2800 rpm and 375 hp at 5000, runners of 15 in with a longer cam 465 lb.ft at 3600 and
/// 400 hp at 5200. What moves which way, and the speeds within 400 rpm; the longer cam is taken as
/// 8 degrees.
///
/// The size is not checked: it hangs on the runners' area, which is not published. With the area
/// that is assumed when none is given the torque peaks differ by 1 % (published 6 %) and the power
/// peaks by 17 % (7 %), with 1.4 times that area by 6 and 13 %.
#[test]
fn long_runners_pull_low_and_short_ones_high() {
    let (long_torque, long_power, long_low) = peaks(&build(25.0, 260.0));
    let (short_torque, short_power, short_low) = peaks(&build(10.0, 268.0));
    assert!(long_torque[0] > short_torque[0] && long_low > short_low);
    assert!(short_power[0] > long_power[0]);
    assert!(long_torque[1] < short_torque[1] && long_power[1] <= short_power[1]);
    let found = [long_torque[1], short_torque[1], long_power[1], short_power[1]];
    for (found, published) in found.into_iter().zip([2800.0, 3600.0, 5000.0, 5200.0]) {
        assert!((found - published).abs() <= 401.0, "{found} for {published}");
    }
}
