//! Pictures against kept copies in `tests/golden/`.
//!
//! A change in how charts look shows up here. Look at the new pictures first
//! (any browser shows the SVG), then renew the copies with
//! `SHORTBLOCK_REFRESH_GOLDEN=1 cargo test -p shortblock-sheets` and commit
//! them with the change.

use crate::demo;
use shortblock_sheets::{Series, Slot, TerminalStyle, Theme, svg_chart, terminal_chart};
use std::path::Path;

fn compare(name: &str, found: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if std::env::var_os("SHORTBLOCK_REFRESH_GOLDEN").is_some() {
        std::fs::write(&path, found).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    let differs = kept.lines().zip(found.lines()).position(|(a, b)| a != b);
    assert!(
        kept == found,
        "{name} differs from its kept copy (line {:?}); see the head of tests/main/golden.rs",
        differs.map(|i| i + 1)
    );
}

#[test]
fn plan_over_measurement() {
    compare("plan-light.svg", &svg_chart(&demo::planner(), Theme::Light));
    compare("plan-dark.svg", &svg_chart(&demo::planner(), Theme::Dark));
}

#[test]
fn sweep_of_a_length() {
    compare("sweep.svg", &svg_chart(&demo::sweep(), Theme::Light));
}

#[test]
fn two_dozen_pulls_and_their_difference() {
    compare("back-to-back.svg", &svg_chart(&demo::back_to_back(), Theme::Light));
    compare("back-to-back-dark.svg", &svg_chart(&demo::back_to_back(), Theme::Dark));
}

#[test]
fn all_line_styles() {
    compare("styles.svg", &svg_chart(&demo::eight(), Theme::Light));
}

#[test]
fn terminal() {
    let series = [Series::predicted(Slot::A, demo::b8()), Series::measured(Slot::B, demo::b7())];
    let axis = demo::power_axis();
    compare("terminal.txt", &terminal_chart(&series, &axis, TerminalStyle::Braille));
    compare("terminal-plain.txt", &terminal_chart(&series, &axis, TerminalStyle::Plain));
    let sweep = demo::sweep().family.unwrap().members;
    let torque = demo::torque_axis();
    compare("terminal-sweep.txt", &terminal_chart(&sweep, &torque, TerminalStyle::Braille));
}
