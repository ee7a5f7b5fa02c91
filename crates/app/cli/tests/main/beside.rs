//! Several builds predicted beside each other, and the changes of a sweep.

use crate::program::{Folder, run, run_on, smallest};
use serde_json::Value;

const SPEEDS: [&str; 2] = ["--speeds", "3000:8000:2500"];

fn predict(builds: &[&str], more: &[&str]) -> crate::program::Ran {
    run(&[&["predict"], builds, &SPEEDS[..], more].concat())
}

fn json(builds: &[&str], more: &[&str]) -> Value {
    let ran = predict(builds, &[&["--json"], more].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

#[test]
fn a_difference_has_its_own_smaller_plus_minus() {
    let object = json(&["demo/114/b2", "demo/114/b3"], &[]);
    let other = &object["others"][0];
    let less = &other["less_first"];
    for column in ["torque", "power"] {
        for i in 0..3 {
            let of = |object: &Value, what: &str| number(&object[column][what][i]);
            let wanted = of(other, "values") - of(&object, "values");
            assert!((of(less, "values") - wanted).abs() < 1e-3, "{column} {i}");
            // Independent ± would join to more than the larger of the two; the same samples do not.
            let own = of(other, "plus_minus").min(of(&object, "plus_minus"));
            assert!(of(less, "plus_minus") < own, "{column} {i}");
        }
    }
    for figure in ["best_torque", "best_power", "average_torque", "average_power"] {
        let figure = &less[figure];
        let (value, plus_minus) = (number(&figure["value"]), number(&figure["plus_minus"]));
        let tells = match value.abs() <= plus_minus {
            true => "can't tell",
            false if value > 0.0 => "more",
            false => "less",
        };
        assert_eq!((&figure["tells"], &figure["kind"]), (&tells.into(), &"predicted".into()));
    }
    // The first build stands as it does alone.
    let alone = json(&["demo/114/b2"], &[]);
    assert_eq!(alone["torque"], object["torque"]);
    assert_eq!(alone["others"], Value::Null);
}

#[test]
fn the_page_shows_every_build_and_says_why_the_plus_minus_is_small() {
    let ran = predict(&["demo/114/b1", "demo/114/b2", "demo/114/b3"], &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let words = [
        "A 114/b1,",
        "B 114/b2,",
        "other than A: exhaust.cam, intake.cam",
        "chamber.volume",
        "B − A",
        "C − A",
        "3,000 rpm",
        "on average over",
        "The ± of a difference is smaller than the ± of the two",
    ];
    for word in words {
        assert!(ran.out.contains(word), "{word} is not in:\n{}", ran.out);
    }
}

/// A four beside a V8: the ± of the difference is more than that of either, so nothing drops out.
#[test]
fn builds_that_have_little_in_common_are_not_said_to_have_a_small_plus_minus() {
    let ran = predict(&["demo/201/b1", "demo/126/b1"], &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let page = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!page.contains("The ± of a difference is smaller"), "{page}");
    assert!(page.contains("as unlike as these"), "{page}");
}

#[test]
fn the_same_build_twice_differs_by_nothing() {
    let ran = predict(&["demo/201/b1", "demo/201/b1"], &["--set", "exhaust.primary.length=800 mm"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("best power none at all"), "{}", ran.out);
    assert!(ran.out.contains("at every speed: none"), "{}", ran.out);
    assert_eq!(ran.out.matches("tried: exhaust.primary.length").count(), 2, "{}", ran.out);
}

#[test]
fn rows_name_their_build_and_end_with_the_difference() {
    let ran = predict(&["demo/114/b1", "demo/114/b2"], &["--csv"]);
    let mut lines = ran.out.lines();
    let head = lines.next().unwrap();
    assert!(head.starts_with("build,file,speed rpm,torque N.m,"), "{head}");
    assert!(head.ends_with("power less first hp,power less first ± hp"), "{head}");
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    assert_eq!(rows.len(), 6);
    let torque = |i: usize| rows[i][3].parse::<f64>().unwrap();
    for i in 0..3 {
        assert_eq!((rows[i][0], rows[i + 3][1]), ("A", "demo/114/b2"));
        let less = &rows[i + 3][rows[0].len() - 4..];
        assert!((less[0].parse::<f64>().unwrap() - (torque(i + 3) - torque(i))).abs() < 1e-3);
        assert!(rows[i].ends_with(&["", "", "", ""]));
    }
}

#[test]
fn the_picture_has_a_panel_for_the_difference() {
    let folder = Folder::new("beside");
    let file = folder.path("both.svg");
    let ran = predict(&["demo/114/b1", "demo/114/b2"], &["--coarse", "--svg", &file]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let svg = std::fs::read_to_string(&file).unwrap();
    assert!(svg.contains("B − A, predicted") && svg.contains("A 114/b1"), "{svg}");
}

#[test]
fn what_cannot_be_laid_beside_each_other_is_refused() {
    let refused = |ran: crate::program::Ran, word: &str| {
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{}", ran.err);
        assert!(ran.err.contains(word) && ran.err.contains("hint: "), "{}", ran.err);
    };
    let five = ["demo/114/b1"; 5];
    refused(predict(&five, &[]), "5 builds can't be told apart");
    refused(run_on(&smallest(), &["predict", "-", "-"]), "standard input can be read only once");
    let trace =
        ["predict", "demo/114/b1", "demo/114/b2", "--speeds", "5000", "--trace", "cylinder 1"];
    refused(run(&trace), "--trace is for one build");
}

#[test]
fn a_claim_is_asked_of_every_build() {
    let claim = ["--coarse", "--assert", "power >= 250 hp"];
    let ran = predict(&["demo/114/b2", "demo/201/b1"], &claim);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("demo/201/b1: the answer is no: power >= 250 hp"), "{}", ran.err);
    assert!(!ran.err.contains("demo/114/b2"), "{}", ran.err);
}

#[test]
fn a_sweep_says_whether_the_best_value_is_a_gain() {
    let vary = ["--vary", "exhaust.primary.length=800 mm,801 mm"];
    let set = ["--set", "exhaust.primary.length=800 mm"];
    let with = |more: &[&str]| {
        run(&[&["sweep", "demo/201/b1"], &SPEEDS[..], &vary[..], &set[..], more].concat())
    };
    let page = with(&[]).out;
    assert!(page.contains("(800 mm)") && page.contains("change, hp"), "{page}");
    assert!(page.contains("none"), "{page}");
    let object: Value = serde_json::from_str(&with(&["--json"]).out).unwrap();
    let less = |i: usize| &object["curves"][i]["less_base"]["best_power"];
    assert_eq!(less(0)["tells"], "none");
    // A millimetre is far below what the model can tell.
    assert_eq!(less(1)["tells"], "can't tell");
    assert_eq!(object["base"]["power"], object["curves"][0]["power"]);
    let csv = with(&["--csv"]).out;
    assert!(
        csv.lines().next().unwrap().ends_with("power less base hp,power less base ± hp"),
        "{csv}"
    );
}
