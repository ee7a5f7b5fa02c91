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
