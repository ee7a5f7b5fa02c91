//! Several parts tried against one build in a day.

use crate::program::{Folder, run};
use serde_json::Value;

/// A sweep at 250 rpm/s whose torque is `gain` times a curve.
fn log(gain: f64, number: usize) -> String {
    let mut log = String::from("time s,engine speed rpm,torque N.m\n");
    for row in 0..400 {
        let time = f64::from(row) * 0.05;
        let rpm = 2500.0 + 250.0 * (time - 2.0).max(0.0);
        let ripple = 1.0 + 0.001 * (0.7 * f64::from(row) + number as f64).sin();
        let torque = 150.0 * (1.0 - ((rpm - 5000.0) / 6000.0).powi(2));
        log += &format!("{time:.2},{rpm:.1},{:.3}\n", gain * ripple * torque);
    }
    log
}

/// A day of builds in order, with the true gain of each pull.
fn day(name: &str, pulls: &[(&str, f64)]) -> Folder {
    let mut session = String::from("format = 1\nsession = \"1/s1\"\n");
    let mut folder = Folder::new(name);
    for (number, (build, gain)) in pulls.iter().enumerate() {
        session += &format!("[[pull]]\nfile = \"p{number}.csv\"\nbuild = \"{build}\"\n");
        folder = folder.with(&format!("p{number}.csv"), log(*gain, number));
    }
    folder.with("session.toml", session)
}

fn answer(folder: &Folder, more: &[&str]) -> Value {
    let ran =
        run(&[&["compare", &folder.path(""), "--a", "b0", "--b", "b1", "--json"], more].concat());
    assert!(ran.code <= 1, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("one object")
}

fn said(answer: &Value) -> String {
    answer["warnings"].as_array().unwrap().iter().map(|w| w.as_str().unwrap()).collect()
}

/// Holm (1979): the smallest of four chances counts four times. A gain that is real alone is not real
/// as the best of four parts; a large one is.
#[test]
fn the_best_of_four_parts_must_stand_out_more() {
    let order = ["b0", "b1", "b1", "b0", "b2", "b2", "b0", "b3", "b3", "b0", "b4", "b4", "b0"];
    let of = |name: &str, gain: f64| {
        let one = |build: &&'static str| (*build, if *build == "b1" { gain } else { 1.0 });
        day(name, &order.iter().map(one).collect::<Vec<_>>())
    };
    let alone = |gain: f64| {
        let one = |build: &&'static str| (*build, if *build == "b1" { gain } else { 1.0 });
        let two = order.iter().filter(|b| **b == "b0" || **b == "b1").map(one);
        answer(&day("two-parts", &two.collect::<Vec<_>>()), &[])
    };
    let (small, large) = (1.0165, 1.06);
    assert_eq!(alone(small)["answer"]["verdict"], "real_gain");
    assert!(!said(&alone(small)).contains("Holm"));
    let many = answer(&of("four-parts", small), &[]);
    assert_eq!(many["answer"]["verdict"], "cant_tell", "{}", many["answer"]);
    assert!(said(&many).contains("alone it would be real"), "{}", said(&many));
    assert!(!many["sentences"].to_string().contains("hangs on"), "{}", many["sentences"]);
    assert!(said(&many).contains("(b2, b3, b4 too)"), "{}", said(&many));
    let many = answer(&of("four-parts-large", large), &[]);
    assert_eq!(many["answer"]["verdict"], "real_gain");
    assert!(said(&many).contains("it stays real"), "{}", said(&many));
    let folder = of("four-parts-asked", small);
    let asked = ["compare", &folder.path(""), "--a", "b0", "--b", "b1", "--assert", "gain"];
    assert_eq!(run(&asked).code, 1);
}
