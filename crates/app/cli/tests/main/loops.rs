//! Loops over a setting, on the demo's loop over spark and on tables made here.

use crate::program::{Folder, run};
use serde_json::Value;
use shortblock_demo::truth;

const DAY: &str = "demo/114/s7";

fn json(arguments: &[&str]) -> Value {
    let ran = run(&[arguments, &["--json"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("one JSON object")
}

/// The truth is the generator's own; the limits hold 19 times in 20, and do at each of these speeds.
#[test]
fn the_best_spark_that_the_demo_hides_lies_within_the_limits() {
    let found = json(&["loop", DAY, "--over", "spark"]);
    let speeds = found["speeds"].as_array().expect("a list");
    assert_eq!(speeds.len(), 8, "every 500 rpm of 4,500 to 8,000");
    for at in speeds {
        let rpm = at["rpm"].as_f64().expect("a speed");
        let best = truth().best_spark_deg(rpm).expect("within the pull");
        let end = |word: &str| at["best"][word].as_f64().expect("a limit");
        assert!((end("from")..=end("to")).contains(&best), "{rpm} rpm: {best} in {}", at["best"]);
        assert!(at["set"].as_f64() < at["best"]["setting"].as_f64(), "{at}");
    }
}

/// It knocked at 34 degrees from 4,000 to 5,300 rpm, as the session file says, and nowhere else.
#[test]
fn knock_counts_at_the_speeds_where_it_was_heard() {
    let found = json(&["loop", DAY, "--over", "spark", "--speeds", "5000,6000"]);
    let knocked = |place: usize| -> Vec<f64> {
        let readings = found["speeds"][place]["readings"].as_array().expect("a list");
        let heard = readings.iter().filter(|r| r["knock"] == true);
        heard.map(|r| r["setting"].as_f64().expect("a setting")).collect()
    };
    assert_eq!((knocked(0), knocked(1)), (vec![34.0], vec![]));
}

/// Torque 300 (1 - 1.5 (lambda - 0.88)^2) typed in to a tenth: the parabola's own top.
#[test]
fn a_table_of_held_readings_is_a_loop_over_mixture() {
    let rows: String = [0.80, 0.82, 0.84, 0.86, 0.88, 0.90, 0.92, 0.94]
        .iter()
        .map(|l: &f64| format!("6000,{:.1},{l:.2}\n", 300.0 * (1.0 - 1.5 * (l - 0.88).powi(2))))
        .collect();
    let folder = Folder::new("mixture")
        .with("held.csv", format!("engine speed [rpm],torque [N.m],lambda\n{rows}"));
    let log = folder.path("held.csv");
    let found = json(&["loop", &log, "--over", "mixture"]);
    let best = &found["speeds"][0]["best"];
    let end = |word: &str| best[word].as_f64().expect("a limit");
    assert!(end("from") < 0.88 && 0.88 < end("to") && end("to") - end("from") < 0.02, "{found}");
    let page = run(&["loop", &log, "--over", "mixture"]).out;
    assert!(page.contains("Nobody said whether it knocked"), "{page}");
    let page = run(&["read", &log]).out;
    assert!(page.contains("no curve over speed") && !page.contains("neither"), "{page}");
}

#[test]
fn without_a_loop_it_says_what_to_write() {
    let none = run(&["loop", "demo/114/s6", "--over", "spark"]);
    assert_eq!(none.code, 4);
    assert!(none.err.contains("settings = { spark = \"28 deg\" }"), "{}", none.err);
    let outside = run(&["loop", DAY, "--over", "spark", "--speeds", "2000"]);
    assert_eq!(outside.code, 5);
    assert!(outside.err.contains("the pulls have 4050 to 8350 rpm"), "{}", outside.err);
}

/// Eight sparks at 6,000 rpm, 300 N·m (1 - 0.0008 (s - 30)^2) in degrees, off it by `off` in turn; the
/// knock signal jumps from `knocks_from` on.
fn sparks(off: f64, knocks_from: f64) -> String {
    let row = |i: i32| {
        let s = 21.0 + 2.0 * f64::from(i);
        let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
        let torque = 300.0 * (1.0 - 0.0008 * (s - 30.0).powi(2)) + sign * off;
        let knock = if s >= knocks_from { 6.5 } else { 1.2 };
        format!("6000,{torque:.4},{s:.1},{knock}\n")
    };
    let rows: String = (0..8).map(row).collect();
    format!("engine speed [rpm],torque [N.m],spark advance [deg],knock\n{rows}")
}

/// The session file's lines for a log of held readings.
fn held(log: &str, build: &str) -> String {
    format!("[[pull]]\nfile = \"{log}\"\nbuild = \"{build}\"\n")
}

fn day(name: &str, record: &str, limits: &str, log: String) -> Folder {
    let head = format!("format = 1\nsession = \"1/s1\"\ndyno = \"dyno.toml\"\n{limits}");
    let session = head + &held("held.csv", "b1");
    Folder::new(name).with("dyno.toml", record).with("session.toml", session).with("held.csv", log)
}

const RECORD: &str = "format = 1\nname = \"cell\"\nkind = \"engine\"\n";

/// A knock signal above the limit of the session file ends the loop: no best is made up beyond it, and
/// room is kept below the least spark that knocked. Without a limit nobody listened.
#[test]
fn a_knock_signal_above_its_limit_ends_the_loop() {
    let folder = day("knock", RECORD, "limits = { knock = 4 }\n", sparks(0.05, 27.0));
    let found = json(&["loop", &folder.path(""), "--over", "spark"]);
    let at = &found["speeds"][0];
    assert_eq!((at["knocked_from"].as_f64(), at["set"].as_f64()), (Some(27.0), Some(24.0)), "{at}");
    assert!(at["best"].is_null() && at["answer"].as_str().unwrap().contains("knock"), "{at}");
    let knocked = at["readings"].as_array().unwrap().iter().filter(|r| r["knock"] == true);
    assert_eq!(knocked.count(), 5);
    let folder = day("deaf", RECORD, "", sparks(0.05, 27.0));
    let page = run(&["loop", &folder.path(""), "--over", "spark"]).out;
    assert!(page.contains("Nobody said whether it knocked"), "{page}");
}

/// The ± of the best torque with one session of the dyno's record beside it. A single session is
/// weighed with the assumed 0.5 %, (4 · 0.005² + 20 v)/24, and counts as 4 degrees of freedom; then the
/// variances are pooled, (r + 4 s²)/(5 + 4), and Student's t is that of 9 instead of 5 degrees, 2.262
/// and 2.571 in any table.
#[test]
fn the_record_of_the_dyno_is_pooled_with_the_loop() {
    let alone = day("alone", RECORD, "", sparks(0.30, 99.0));
    let record = format!(
        "{RECORD}[[history]]\nsession = \"9/s1\"\nmode = \"steady\"\ntorque_from = \"250 N.m\"\ndof = 20\n\
         from_rpm = 5900\nvariances = [4e-6]\n"
    );
    let pooled = day("pooled", &record, "", sparks(0.30, 99.0));
    let best = |folder: &Folder| {
        let found = json(&["loop", &folder.path(""), "--over", "spark"]);
        let best = found["speeds"][0]["best"]["torque"].clone();
        let readings = found["speeds"][0]["readings"].as_array().unwrap().clone();
        (best["plus_minus"].as_f64().expect("a best"), readings)
    };
    let ((own, readings), (with, _)) = (best(&alone), best(&pooled));
    let torques: Vec<f64> =
        readings.iter().map(|r| r["torque"]["value"].as_f64().unwrap()).collect();
    let mean = torques.iter().sum::<f64>() / 8.0;
    // An alternating error of 0.3 has almost nothing in common with a parabola: all 8 squares but the
    // parts along its three columns, which are worked out here by Gram and Schmidt.
    let mut left: Vec<f64> = (0..8).map(|i| if i % 2 == 0 { 0.3 } else { -0.3 }).collect();
    let mut columns: Vec<Vec<f64>> = Vec::new();
    for power in 0..3 {
        let mut column: Vec<f64> = (0..8).map(|i| (f64::from(i) - 3.5).powi(power)).collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        for known in &columns {
            let along = dot(&column, known) / dot(known, known);
            column.iter_mut().zip(known).for_each(|(c, k)| *c -= along * k);
        }
        let along = dot(&left, &column) / dot(&column, &column);
        left.iter_mut().zip(&column).for_each(|(l, c)| *l -= along * c);
        columns.push(column);
    }
    let residual = left.iter().map(|l| l * l).sum::<f64>();
    let known = (4.0 * 0.005 * 0.005 + 20.0 * 4e-6) / 24.0 * mean * mean;
    let pooled = (residual + 4.0 * known) / 9.0;
    let wanted = (2.262 / 2.571) * (pooled / (residual / 5.0)).sqrt();
    assert!((with / own / wanted - 1.0).abs() < 1e-3, "{with} {own} {wanted}");
}

#[test]
fn two_builds_with_loops_are_asked_about() {
    let two = |name: &str| {
        let log = |gain: f64| sparks(gain, 99.0).replace("knock\n", "knock count\n");
        let session = "format = 1\nsession = \"1/s1\"\n".to_owned()
            + &held("a.csv", "b1")
            + &held("b.csv", "b2");
        Folder::new(name)
            .with("session.toml", session)
            .with("a.csv", log(0.1))
            .with("b.csv", log(0.2))
    };
    let folder = two("two-loops");
    let ran = run(&["loop", &folder.path(""), "--over", "spark"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("b1, b2") && ran.err.contains("--build"), "{}", ran.err);
    let found = json(&["loop", &folder.path(""), "--over", "spark", "--build", "b2"]);
    assert_eq!((&found["build"], found["pulls"].as_array().unwrap().len()), (&"b2".into(), 1));
}

/// Five pulls at one mixture, logged to a hundredth of an air-fuel ratio: that is no loop.
#[test]
fn a_mixture_that_only_trembles_is_no_loop() {
    let rows: String = [0.874, 0.881, 0.878, 0.886, 0.880]
        .iter()
        .map(|l: &f64| format!("6000,{:.1},{l:.3}\n", 300.0 + 40.0 * (l - 0.88)))
        .collect();
    let folder = Folder::new("trembles")
        .with("held.csv", format!("engine speed [rpm],torque [N.m],lambda\n{rows}"));
    let ran = run(&["loop", &folder.path("held.csv"), "--over", "mixture"]);
    assert_eq!(ran.code, 4, "{}{}", ran.out, ran.err);
    assert!(ran.err.contains("0.02 or more"), "{}", ran.err);
}

/// The limits of a top near the end of a loop may lie anywhere beyond it: no figure is made of that.
#[test]
fn limits_beyond_what_was_tried_are_no_figures() {
    let torque = |s: f64| 300.0 * (1.0 - 0.0006 * (s - 23.0).powi(2));
    let offs = [0.72, -0.6, 0.54, -0.78, 0.66, -0.54];
    let rows: String = (0..6)
        .map(|i| (20.0 + 2.0 * f64::from(i), offs[i as usize]))
        .map(|(s, off)| format!("6000,{:.2},{s:.1}\n", torque(s) + off))
        .collect();
    let folder = Folder::new("beyond")
        .with("held.csv", format!("engine speed [rpm],torque [N.m],spark advance [deg]\n{rows}"));
    let log = folder.path("held.csv");
    let page = run(&["loop", &log, "--over", "spark", "--speeds", "6000"]).out;
    assert!(page.contains("<20.0"), "{page}");
    assert!(page.contains("The top lies below"), "{page}");
    assert!(page.contains("< and >: the top may lie beyond what was tried."), "{page}");
}
