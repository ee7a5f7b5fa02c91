//! What holds for every verb: 80 columns, ASCII when plain, JSON with kinds, no colour in a pipe.

use crate::program::{Ran, command, run};
use serde_json::Value;

const EVERY: &[&[&str]] = &[
    &["check", "demo/114/b1", "demo/126/b1", "demo/201/b1"],
    &["show", "demo/114/b3"],
    &["show", "demo/126/b1", "--origin"],
    &["show", "demo/201/b1.toml", "--assumed"],
    &["diff", "demo/114/b1", "demo/114/b2"],
    &["loop", "demo/114/s7", "--over", "spark", "--speeds", "5000,7000"],
    &["units"],
    &["units", "absolute pressure"],
    &["help"],
    &["help", "spark"],
    &["help", "intake"],
    &["help", "predict"],
    &[
        "sweep",
        "demo/201/b1",
        "--coarse",
        "--speeds=4000,6000",
        "--vary=chamber.compression_ratio=10,11",
        "--vary=exhaust.primary.length=700:800:100 mm",
    ],
    &["predict", "demo/201/b1", "--coarse", "--speeds", "4000,6000"],
    &["predict", "demo/114/b1", "demo/114/b2", "demo/114/b3", "--speeds", "4000,6000"],
    &["sweep", "demo/201/b1", "--speeds=4000,6000", "--vary=exhaust.primary.length=700:800:100 mm"],
];

fn with(arguments: &[&str], more: &[&str]) -> Ran {
    run(&[arguments, more].concat())
}

#[test]
fn no_line_is_wider_than_80_columns() {
    for arguments in EVERY {
        for more in [&[][..], &["--plain"]] {
            let ran = with(arguments, more);
            assert_eq!(ran.code, 0, "{arguments:?}: {}", ran.err);
            for line in ran.out.lines() {
                assert!(line.chars().count() <= 80, "{arguments:?} {more:?}:\n{line}");
            }
        }
    }
}

#[test]
fn plain_is_ascii_only() {
    for arguments in EVERY {
        for more in [&["--plain"][..], &["--plain", "--csv"], &["--plain", "--json"]] {
            let ran = with(arguments, more);
            assert!(ran.out.is_ascii() && ran.err.is_ascii(), "{arguments:?} {more:?}");
        }
    }
}

#[test]
fn nothing_in_a_pipe_is_coloured_or_written_over() {
    for arguments in EVERY {
        let ran: Ran = command(arguments).env("NO_COLOR", "1").output().unwrap().into();
        let ran = [ran.out, ran.err, with(arguments, &[]).out].concat();
        assert!(!ran.contains('\x1b') && !ran.contains('\r'), "{arguments:?}");
    }
}

#[test]
fn json_is_one_object_with_its_format() {
    for arguments in EVERY {
        let ran = with(arguments, &["--json"]);
        assert_eq!(ran.out.lines().count(), 1, "{arguments:?}");
        let object: Value = serde_json::from_str(&ran.out).unwrap();
        let format = object["format"].as_str().unwrap();
        assert_eq!(format, format!("shortblock/{}/1", arguments[0]));
    }
}

#[test]
fn every_quantity_in_json_has_unit_and_kind() {
    let ran = run(&["show", "demo/126/b1", "--json", "--units", "inch"]);
    let object: Value = serde_json::from_str(&ran.out).unwrap();
    let values = object["values"].as_array().unwrap();
    let of = |path: &str| values.iter().find(|value| value["path"] == path).unwrap();
    let stroke = &of("bottom_end.stroke")["quantity"];
    assert_eq!(stroke["value"], 3.25);
    assert_eq!((&stroke["unit"], &stroke["kind"]), (&"in".into(), &"measured".into()));
    assert_eq!(of("bottom_end.pin_offset")["kind"], "assumed");
    assert_eq!(of("bottom_end.rod_length")["kind"], "maker");
    assert_eq!(of("chamber.compression_ratio")["kind"], "worked_out");
}

#[test]
fn the_answer_no_is_an_exit_code() {
    let ran = run(&["check", "demo/201/b1.toml", "--assert", "no-assumed"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("the answer is no"), "{}", ran.err);
    assert_eq!(run(&["check", "demo/201/b1.toml", "--assert", "no-doubt"]).code, 0);
    let quiet = run(&["check", "demo/201/b1.toml", "--assert", "no-assumed", "--quiet"]);
    assert_eq!((quiet.code, quiet.err.as_str()), (1, ""));
}

#[test]
fn schema_and_completions_come_from_the_declarations() {
    let schema: Value = serde_json::from_str(&run(&["schema"]).out).unwrap();
    assert!(schema["properties"]["exhaust"].is_object());
    assert!(run(&["schema", "--docs"]).out.starts_with("# The engine file"));
    let day: Value = serde_json::from_str(&run(&["schema", "session"]).out).unwrap();
    assert!(day["properties"]["pull"]["items"]["properties"]["build"].is_object());
    assert!(run(&["schema", "dyno", "--docs"]).out.starts_with("# The dyno's own record"));
    for shell in ["bash", "zsh", "fish", "powershell"] {
        let ran = run(&["completions", shell]);
        assert!(ran.out.contains("predict") && ran.out.contains("speeds"), "{shell}");
    }
}

/// What the designs can see stands in `shop/compare`'s own tests; here: that the verb hands it on.
#[test]
fn a_plan_of_pulls_says_what_it_can_see_and_what_to_guard() {
    let ran = run(&["plan-test", "--change", "opened", "--worth", "2 %", "--order", "A2B2A2B2"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("\n  AABBAABB "), "{}", ran.out);
    assert!(ran.out.contains("never alone"), "{}", ran.out);
    let json: Value = serde_json::from_str(&run(&["plan-test", "--json"]).out).unwrap();
    assert_eq!(json["designs"][0]["order"], "AB");
    assert_eq!(json["designs"][0]["chance_of_real"], 0.0);
    for wrong in [["--worth", "3 hp"], ["--order", "AAA"], ["--order", "ABC"], ["--worth", "50 %"]]
    {
        let ran = run(&["plan-test", wrong[0], wrong[1]]);
        assert_eq!(ran.code, 2, "{wrong:?}");
        assert!(ran.err.contains("hint: "), "{}", ran.err);
    }
}
