//! Predictions through the program: few speeds on the coarse mesh, so that it stays quick.

use crate::program::{Folder, Ran, command, run, run_on, smallest};
use serde_json::Value;
use std::process::Stdio;

const QUICK: [&str; 5] = ["predict", "demo/201/b1", "--coarse", "--speeds", "4000:6000:1000"];

fn json(arguments: &[&str]) -> Value {
    let ran = run(arguments);
    assert_eq!(ran.code, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn the_page_says_what_a_builder_asks() {
    let ran = run(&QUICK);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let all = [
        "201, 2.0 L four, road",
        "torque, N·m",
        "power, hp",
        "predicted",
        "best torque",
        "best power",
    ];
    let more =
        ["95 % of best torque from", "goal", "power 200 hp", "limits", "in order", "assumed"];
    for word in all.into_iter().chain(more).chain(["show demo/201/b1 --assumed", "3 speeds"]) {
        assert!(ran.out.contains(word), "{word} is not in:\n{}", ran.out);
    }
}

#[test]
fn a_single_speed_is_told_without_a_chart() {
    let ran = run(&["predict", "demo/201/b1", "--coarse", "--speeds", "5000"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(!ran.out.contains('┤') && ran.out.contains("5,000"), "{}", ran.out);
}

#[test]
fn json_carries_kind_unit_and_plus_minus() {
    let object = json(&["predict", "demo/201/b1", "--json", "--speeds", "4000,6000"]);
    for column in ["power", "torque"] {
        let column = &object[column];
        assert_eq!(column["kind"], "predicted");
        assert_eq!(column["values"].as_array().map(Vec::len), Some(2));
        assert!(column["plus_minus"][0].as_f64().unwrap() > 0.0);
        assert_eq!(
            (&column["peak"]["kind"], &column["peak"]["coverage"]),
            (&"predicted".into(), &0.95.into())
        );
    }
    assert_eq!(object["air"]["temperature"]["kind"], "assumed");
}

#[test]
fn other_units_are_the_same_curve() {
    let with = |units: &str| json(&[&QUICK[..], &["--json", "--units", units]].concat());
    let (metric, inch) = (with("kW, N.m"), with("hp, lb.ft"));
    let first = |object: &Value, column: &str| object[column]["values"][0].as_f64().unwrap();
    // 550 ft·lbf/s and 4.4482216152605 N × 0.3048 m, by definition.
    assert!((first(&metric, "power") / first(&inch, "power") - 0.745_699_87).abs() < 1e-6);
    assert!((first(&metric, "torque") / first(&inch, "torque") - 1.355_817_95).abs() < 1e-6);
}

#[test]
fn threads_change_nothing() {
    let with = |threads| run(&[&QUICK[..], &["--csv", "--threads", threads]].concat()).out;
    let one = with("1");
    assert!(
        one.lines().count() == 4 && one.starts_with("speed rpm,torque N.m,torque ± N.m,power hp")
    );
    assert_eq!(one, with("3"));
}

#[test]
fn a_value_is_tried_and_the_file_may_come_from_a_pipe() {
    let tried = json(&[&QUICK[..], &["--json", "--set", "chamber.compression_ratio=12"]].concat());
    assert_eq!(tried["tried"][0]["from"], "10.5");
    let file = smallest().replace("10.5", "12");
    let piped =
        run_on(&file, &["predict", "-", "--coarse", "--speeds", "4000:6000:1000", "--json"]);
    let piped: Value = serde_json::from_str(&piped.out).unwrap();
    assert_eq!(tried["power"], piped["power"]);
}

#[test]
fn thinner_air_makes_less_power() {
    let peak = |at: &str| {
        let object = json(&[&QUICK[..], &["--json", "--at", at]].concat());
        object["power"]["peak"]["value"].as_f64().unwrap()
    };
    // Indicated work follows air density; friction does not, so brake power falls a little more.
    let ratio = peak("2000 m, 15 degC") / peak("0 m, 15 degC");
    assert!((0.65..0.79).contains(&ratio), "{ratio}");
    let bad = run(&[&QUICK[..], &["--at", "1500"]].concat());
    assert!(bad.code == 2 && bad.err.contains("hint: an elevation"), "{}", bad.err);
}

#[test]
fn a_claim_that_does_not_hold_is_an_exit_code() {
    let claim = |text: &str| run(&[&QUICK[..], &["--assert", text]].concat()).code;
    assert_eq!(
        [claim("power >= 50 hp"), claim("power >= 900 hp"), claim("powr > 1 hp")],
        [0, 1, 2]
    );
}

#[test]
fn a_picture_is_written_whole_and_says_predicted() {
    let folder = Folder::new("svg");
    let file = folder.path("curve.svg");
    let ran = run(&[&QUICK[..], &["--svg", &file]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let svg = std::fs::read_to_string(&file).unwrap();
    assert!(svg.starts_with("<svg") && svg.ends_with("</svg>\n") && svg.contains("predicted"));
    assert_eq!(folder.names(), ["curve.svg"]);
    let ran = run(&[&QUICK[..], &["--svg", &folder.path("no/curve.svg")]].concat());
    assert!(ran.code == 4 && ran.err.contains("there is no folder"), "{}", ran.err);
}

#[cfg(unix)]
#[test]
fn stopped_by_hand_leaves_nothing() {
    let folder = Folder::new("stop");
    let file = folder.path("curve.svg");
    let mut command =
        command(&["predict", "demo/126/b1", "--speeds", "1000:6000:10", "--svg", &file]);
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    std::thread::sleep(std::time::Duration::from_millis(700));
    let id = child.id().to_string();
    assert!(std::process::Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    let ran: Ran = child.wait_with_output().unwrap().into();
    assert_eq!((ran.code, ran.out.as_str()), (130, ""), "{}", ran.err);
    assert!(ran.err.contains("stopped by hand; nothing was written"), "{}", ran.err);
    assert!(folder.names().is_empty(), "{:?}", folder.names());
}

#[test]
fn a_sweep_gives_a_curve_for_each_value() {
    let quick = ["sweep", "demo/201/b1", "--coarse", "--speeds", "4000,6000", "--json", "--vary"];
    let object = json(&[&quick[..], &["exhaust.primary.length=700:900:100 mm"]].concat());
    let curves = object["curves"].as_array().unwrap();
    let values: Vec<&str> =
        curves.iter().filter_map(|c| c["values"][0]["value"].as_str()).collect();
    assert_eq!(values, ["700 mm", "800 mm", "900 mm"]);
    assert!(curves.iter().all(|curve| curve["power"]["kind"] == "predicted"));
    let bad = run(&["sweep", "demo/201/b1", "--vary", "exhaust.primary.length=1:2"]);
    assert!(bad.code == 2 && bad.err.contains("hint: path=from:to:step"), "{}", bad.err);
}

/// Steps without a ± are not handed out as if they had none to need.
#[test]
fn moves_at_a_first_look_say_that_no_plus_minus_is_known() {
    let ran = run(&["moves", "demo/201/b1", "--speeds", "6000", "--coarse"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("not known on the coarse mesh"), "{}", ran.out);
    let fine = run(&["moves", "demo/201/b1", "--speeds", "6000"]);
    assert!(!fine.out.contains("not known on the coarse mesh"), "{}", fine.out);
}

#[test]
fn moves_are_ranked_and_fit_the_screen() {
    let ran = run(&["moves", "demo/201/b1", "--speeds", "6000"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("bottom_end") || ran.out.contains("intake"), "{}", ran.out);
    assert!(!ran.out.contains("not worked out") && ran.out.contains("at 6,000 rpm"), "{}", ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
}

#[test]
fn a_speed_that_fails_names_part_cycle_and_state_and_leaves_the_rest() {
    // A compression and a spark that no piston crown stands at high speed.
    let set = ["--set", "chamber.compression_ratio=24", "--set", "spark.advance=75 deg"];
    let speeds = ["--speeds", "3000,13000", "--coarse"];
    let ran = run(&[&["predict", "demo/201/b1"], &set[..], &speeds[..]].concat());
    assert_eq!(ran.code, 5, "{}", ran.err);
    let said = ran.out.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(said.contains("best torque") && said.contains(" 3,000 "), "{}", ran.out);
    let (_, failed) = said.split_once("not worked out cylinder 1 at 13000 rpm: the ").unwrap();
    for word in ["would be at", "in cycle", "changing by", "the pressure peaks at", "degrees after"]
    {
        assert!(failed.contains(word), "{word} is not in:\n{}", ran.out);
    }
}

#[test]
fn traces_are_columns_over_the_crank_angle() {
    let quick = ["predict", "demo/201/b1", "--coarse", "--speeds", "5000", "--trace"];
    let ran = run(&[&quick[..], &["cylinder 1", "--trace", "exhaust valve 2"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let mut lines = ran.out.lines();
    let head = "crank angle deg,cylinder 1 pressure Pa,cylinder 1 temperature K,cylinder 1 volume \
                m3,cylinder 1 burned 1,cylinder 2 exhaust valve flow kg/s,cylinder 2 exhaust valve \
                effective area m2,kind";
    assert_eq!(lines.next(), Some(head));
    let peak = lines.map(|line| line.split(',').nth(1).unwrap().parse::<f64>().unwrap());
    let peak = peak.fold(0.0, f64::max);
    // Textbook figures for road engines at full load: 2 to 5 MPa, more with more compression.
    assert!((2e6..9e6).contains(&peak), "{peak}");
}

#[test]
fn a_station_that_is_not_there_gets_the_nearest_one() {
    let quick = ["predict", "demo/201/b1", "--coarse", "--speeds", "5000", "--trace"];
    let ran = run(&[&quick[..], &["cilinder 1"]].concat());
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("there is no \"cilinder 1\" to trace"), "{}", ran.err);
    assert!(ran.err.contains("did you mean cylinder 1?"), "{}", ran.err);
    let ran = run(&["predict", "demo/201/b1", "--speeds", "4000,5000", "--trace", "cylinder 1"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("--trace is for one speed, and --speeds gives 2"), "{}", ran.err);
}
