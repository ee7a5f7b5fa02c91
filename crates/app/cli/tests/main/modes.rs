//! Sweeps and step tests of one day in one comparison.

use crate::program::{Folder, run};
use serde_json::Value;
use std::fmt::Write;

const HEADINGS: &str = "Time (s),Engine speed (rpm),Torque (Nm)\n";
/// What each of A B B A reads beside its build, a share.
const OFFSETS: [f64; 4] = [0.001, -0.0015, 0.0015, -0.001];
const ORDER: [bool; 4] = [false, true, true, false];

fn torque(rpm: f64, gain: f64) -> f64 {
    (500.0 - 22.0 * ((rpm - 5200.0) / 1000.0).powi(2)) * (1.0 + gain)
}

/// 300 rpm/s at 100 Hz.
fn sweep(gain: f64) -> String {
    let mut text = HEADINGS.to_owned();
    for row in 0..1400 {
        let rpm = 3000.0 + 3.0 * f64::from(row);
        let _ = writeln!(text, "{:.2},{rpm:.1},{:.2}", f64::from(row) / 100.0, torque(rpm, gain));
    }
    text
}

/// Eight seconds at every 500 rpm, ten readings a second.
fn steps(gain: f64) -> String {
    let mut text = HEADINGS.to_owned();
    for row in 0..8 * 95 {
        let (step, tenth) = (row / 95, row % 95);
        let moving = (f64::from(tenth) - 80.0).max(0.0) / 15.0;
        let held = 0.4 * (2.0 * f64::from(row)).sin();
        let rpm = 3500.0 + 500.0 * (f64::from(step) + moving) + held;
        let _ = writeln!(text, "{:.2},{rpm:.1},{:.2}", f64::from(row) / 10.0, torque(rpm, gain));
    }
    text
}

/// Four sweeps and four step tests, A B B A each; B gives 1.5 % in sweeps and `held` at steps, which
/// read 1 % more throughout.
fn day(name: &str, held: f64) -> (Folder, Vec<String>) {
    let mut folder = Folder::new(name);
    let mut names = Vec::new();
    for (i, (b, offset)) in ORDER.into_iter().zip(OFFSETS).enumerate() {
        let gain = if b { 0.015 } else { 0.0 };
        folder = folder.with(&format!("{i}-sweep.csv"), sweep(gain + offset));
        names.push(format!("{i}-sweep.csv"));
    }
    for (i, (b, offset)) in ORDER.into_iter().zip(OFFSETS).enumerate() {
        let gain = if b { held } else { 0.0 };
        folder = folder.with(&format!("{}-steps.csv", i + 4), steps(0.01 + gain + 0.5 * offset));
        names.push(format!("{}-steps.csv", i + 4));
    }
    let paths = names.iter().map(|name| folder.path(name)).collect();
    (folder, paths)
}

fn asked(paths: &[String], more: &[&str]) -> String {
    let paths: Vec<&str> = paths.iter().map(String::as_str).collect();
    let ran = run(&[&["compare", "--order", "ABBAABBA"], paths.as_slice(), more].concat());
    assert!(ran.code == 0 || ran.code == 5, "{}", ran.err);
    ran.out
}

fn average(outcome: &Value) -> f64 {
    outcome["average"]["value"].as_f64().unwrap()
}

/// Offsets of A B B A cancel, so each mode tells its gain to a hundredth; the 1 % that held speeds read
/// more is nobody's gain and no scatter.
#[test]
fn sweeps_and_steps_that_agree_are_taken_together() {
    let (_folder, paths) = day("modes-agree", 0.015);
    let json: Value = serde_json::from_str(&asked(&paths, &["--json"])).unwrap();
    assert_eq!(json["by_mode"]["pooled"], true);
    for outcome in [&json["answer"], &json["by_mode"]["sweep"], &json["by_mode"]["steady"]] {
        assert!((average(outcome) - 1.5).abs() < 0.02, "{outcome}");
    }
    assert_eq!(json["answer"]["pulls"]["a"], 4);
    let page = asked(&paths, &[]);
    let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("they agree and are taken together"), "{page}");
    // Two of B lie 0.30 % apart in sweeps and 0.15 % held: sqrt((0.30² + 0.15²)/4).
    assert!(flat.contains("The pulls repeat to 0.17 %."), "{page}");
    // Both said side by side read as a contradiction unless it is told what was taken.
    let taken = " With what is assumed of them beside it, ";
    assert_eq!(flat.contains(taken), flat.contains("on this dyno: how pulls repeat"), "{page}");
    assert!(!page.contains("NaN"), "{page}");
    // Beside A of its own mode: (1.01 + 0.015 - 0.00075)/1.01.
    assert!(flat.contains("5-steps.csv B 482.5 +1.41 %"), "{page}");
}

#[test]
fn sweeps_and_steps_that_disagree_are_told_apart() {
    let (_folder, paths) = day("modes-apart", 0.045);
    let json: Value = serde_json::from_str(&asked(&paths, &["--json"])).unwrap();
    assert_eq!(json["by_mode"]["pooled"], false);
    assert!((average(&json["answer"]) - 1.5).abs() < 0.02, "{}", json["answer"]);
    assert_eq!(json["answer"]["pulls"]["a"], 2);
    assert!((average(&json["by_mode"]["steady"]) - 4.4).abs() < 0.1, "{}", json["by_mode"]);
    let page = asked(&paths, &[]);
    let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("do not agree and are not taken together"), "{page}");
}
