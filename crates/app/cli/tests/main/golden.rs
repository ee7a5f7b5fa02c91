//! Whole outputs, kept as text. `SHORTBLOCK_GOLDEN=write` makes them anew; read the difference.

use crate::program::{Ran, root, run};
use std::fs;

fn check(name: &str, arguments: &[&str]) {
    let Ran { out, err, code } = run(arguments);
    let found = format!("$ shortblock {}\n{out}{err}exit {code}\n", arguments.join(" "));
    let path = root().join("crates/app/cli/tests/golden").join(format!("{name}.txt"));
    if std::env::var("SHORTBLOCK_GOLDEN").is_ok_and(|value| value == "write") {
        fs::write(&path, &found).expect("the golden file can be written");
    }
    let wanted = fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(found, wanted, "{name}: see SHORTBLOCK_GOLDEN in golden.rs");
}

#[test]
fn check_tells_what_there_is() {
    check("check", &["check", "demo/201/b1.toml", "demo/126/b1"]);
}

#[test]
fn show_tells_where_values_come_from() {
    check("show-origin", &["show", "demo/114/b3", "--origin", "--only", "intake,exhaust.primary"]);
}

#[test]
fn show_tells_what_was_assumed() {
    check("show-assumed", &["show", "demo/201/b1.toml", "--assumed", "--only", "exhaust.primary"]);
}

#[test]
fn diff_tells_what_is_different() {
    check("diff", &["diff", "demo/114/b2", "demo/114/b3"]);
}

#[test]
fn units_are_listed() {
    check("units", &["units", "temperature"]);
}

#[test]
fn help_explains_a_verb() {
    check("help-predict", &["help", "predict"]);
}

#[test]
fn help_explains_a_word() {
    check("help", &["help", "knock-margin"]);
}
