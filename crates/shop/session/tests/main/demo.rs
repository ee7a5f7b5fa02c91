//! The demo's days are read.

use std::path::PathBuf;

use shortblock_document::{Loader, render};
use shortblock_session::{Loaded, Session, load_session};

/// The files of the demo, read only.
struct Demo(PathBuf);

impl Loader for Demo {
    fn text(&self, path: &str) -> Option<String> {
        std::fs::read_to_string(self.0.join(path)).ok()
    }

    fn names(&self, path: &str) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.0.join(path)) else { return Vec::new() };
        entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned()).collect()
    }
}

fn day(entry: &str) -> Loaded<Session> {
    let demo = Demo(PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../../demo")));
    load_session(entry, &demo)
}

#[test]
fn the_day_in_the_engine_cell_is_in_order() {
    let loaded = day("114/s6/session.toml");
    let doubts: Vec<_> = loaded.doubts.iter().map(|d| d.finding.clone()).collect();
    assert_eq!(render(&doubts, &loaded.sources), "");
    let session = loaded.read.unwrap_or_else(|faults| unreachable!("{faults}"));
    assert_eq!(session.plan.map(|plan| plan.to_string()).as_deref(), Some("A3B3A3"));
    assert!(session.dyno.is_some() && session.air.len() > 1);
}

#[test]
fn the_loop_over_spark_is_in_order_and_says_where_it_knocked() {
    let loaded = day("114/s7/session.toml");
    let doubts: Vec<_> = loaded.doubts.iter().map(|d| d.finding.clone()).collect();
    assert_eq!(render(&doubts, &loaded.sources), "");
    let session = loaded.read.unwrap_or_else(|faults| unreachable!("{faults}"));
    let knocked: Vec<_> = session.pulls.iter().filter(|p| p.knocked == Some(true)).collect();
    assert_eq!(knocked.len(), 1);
    let rpm = |w: f64| (w * 30.0 / std::f64::consts::PI).round();
    assert_eq!(knocked[0].knock_range.map(|(a, b)| (rpm(a), rpm(b))), Some((4000.0, 5300.0)));
    assert!(session.pulls.iter().all(|p| p.knocked.is_some()));
}

#[test]
fn the_day_on_the_roller_is_in_order() {
    let loaded = day("133/s1/session.toml");
    let doubts: Vec<_> = loaded.doubts.iter().map(|d| d.finding.clone()).collect();
    assert_eq!(render(&doubts, &loaded.sources), "");
    let session = loaded.read.unwrap_or_else(|faults| unreachable!("{faults}"));
    let mass = session.dyno.and_then(|dyno| dyno.roller.mass).map(|mass| mass.si);
    assert_eq!(mass, Some(1240.0));
}
