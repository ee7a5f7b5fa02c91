//! What must hold whatever the numbers are.

use shortblock_curve::Quantity;
use shortblock_cycle::{Executor, Serial};
use shortblock_engine::{Build, Memory, load};
use shortblock_plan::{Ask, Quality, Unwatched, Vary, compare, predict, sweep};
use std::f64::consts::PI;

const SINGLE: &str = r#"format = 1
number = "301"
cylinders = 1
bore = "92.0 mm"
stroke = "75.0 mm"
compression_ratio = 10.0
[intake]
valves = { per_cylinder = 2, diameter = "36.0 mm" }
cam = { lift = "9.5 mm", duration = "240 deg at 1.0 mm", centreline = "108 deg" }
[exhaust]
valves = { per_cylinder = 2, diameter = "31.0 mm" }
cam = { lift = "9.0 mm", duration = "236 deg at 1.0 mm", centreline = "110 deg" }
"#;

fn single() -> Build {
    *load("b", &Memory::default().with("b", SINGLE)).build.expect("the single is in order")
}

fn rpm(speeds: &[f64]) -> Option<Vec<f64>> {
    Some(speeds.iter().map(|rpm| rpm * PI / 30.0).collect())
}

fn quick() -> Ask {
    Ask { speeds: rpm(&[4000.0, 7000.0]), quality: Quality::Coarse, ..Ask::default() }
}

/// Does the pieces in backward order on two threads.
struct Backward;

impl Executor for Backward {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        std::thread::scope(|scope| {
            for half in 0..2 {
                scope.spawn(move || (0..count).rev().filter(|i| i % 2 == half).for_each(work));
            }
        });
    }
}

#[test]
fn threads_and_order_change_no_bit() {
    let build = single();
    let one = predict(&build, &quick(), &Serial, &Unwatched).unwrap();
    let other = predict(&build, &quick(), &Backward, &Unwatched).unwrap();
    assert_eq!(one.curve, other.curve);
    assert_eq!(one.points, other.points);
    assert_eq!(one.record, other.record);
    let share = one.best_power.figure.plus_minus.unwrap() / one.best_power.figure.value;
    assert!(share > 0.03 && share < 0.5, "{share}");
}

#[test]
fn identical_builds_differ_by_nothing() {
    let build = single();
    let found = compare(&[&build, &build.clone()], &quick(), &Serial, &Unwatched).unwrap();
    for point in found.differences[0].curve.points() {
        assert_eq!((point.torque, point.torque_plus_minus), (0.0, Some(0.0)));
    }
}

#[test]
fn a_speed_that_cannot_be_leaves_the_rest_of_the_curve() {
    // 25,000 rpm is beyond what the cycle simulation accepts.
    let ask = Ask {
        speeds: rpm(&[4000.0, 5500.0, 25_000.0]),
        quality: Quality::Coarse,
        plus_minus: false,
        ..Ask::default()
    };
    let found = predict(&single(), &ask, &Serial, &Unwatched).unwrap();
    assert_eq!(found.curve.len(), 2);
    assert_eq!(found.failures.len(), 1);
    assert!(found.failures[0].reason.to_string().contains("hint"));
}

#[test]
fn a_sweep_keeps_the_mesh_and_the_speeds() {
    let values = ["240 mm", "260 mm"].map(str::to_owned).to_vec();
    let vary = [Vary { path: "intake.runner.length".into(), values }];
    let ask = Ask { plus_minus: false, ..quick() };
    let found = sweep(&single(), &vary, &ask, &Serial, &Unwatched).unwrap();
    let curves: Vec<_> = found.curves.iter().map(|s| s.prediction.as_ref().unwrap()).collect();
    assert_eq!(curves[0].curve.speed(), curves[1].curve.speed());
    assert_eq!(curves[0].record.cells, curves[1].record.cells);
    assert_ne!(curves[0].curve.column(Quantity::Torque), curves[1].curve.column(Quantity::Torque));
}
