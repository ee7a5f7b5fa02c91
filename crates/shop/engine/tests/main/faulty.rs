//! Planted mistakes: each one found, placed and remedied, and nothing else reported.

use shortblock_engine::{Loaded, Memory, load, render};

/// A sound file of our own; each test plants one mistake in it.
pub const SOUND: &str = r#"format = 1
build = "t1"
cylinders = 6
bore = "86.0 mm"
stroke = "83.2 mm"
firing_order = [1, 5, 3, 6, 2, 4]
[chamber]
volume = { each = "38.2, 38.1, 38.3, 38.2, 38.2, 38.1 cc" }
gasket = { thickness = "1.05 mm", bore = "86.8 mm" }
[valve_train]
kind = "finger"
rocker_ratio = 1.6
[intake]
valves = { per_cylinder = 2, diameter = "34.0 mm" }
flow = { test_pressure = "28 inH2O", columns = ["lift mm", "flow cfm"], rows = [[2, 58], [4, 112], [8, 189]] }
[intake.cam]
lift = "11.2 mm"
duration = "244 deg at 1.0 mm of valve"
lobe_centre = "106 deg"
[intake.runner]
diameter = { start = "37.5 mm", end = "46.0 mm" }
trumpet_length = "50 mm"
[exhaust]
valves = { per_cylinder = 2, diameter = "29.5 mm" }
[exhaust.cam]
lift = "10.6 mm"
duration = "232 deg at 1.0 mm of valve"
lobe_centre = "108.5 deg"
[exhaust.primary]
length = "810 mm"
"#;

fn read(text: &str) -> Loaded {
    load("t1.toml", &Memory::default().with("t1.toml", text))
}

/// Everything said about the sound file with `old` replaced by `new`: faults, then open doubts.
fn said(old: &str, new: &str) -> String {
    assert!(SOUND.contains(old), "{old}");
    let loaded = read(&SOUND.replacen(old, new, 1));
    let faults = match &loaded.build {
        Ok(_) => String::new(),
        Err(faults) => faults.render(),
    };
    let open = loaded.doubts.iter().filter(|d| d.silenced.is_none()).map(|d| d.finding.clone());
    let open: Vec<_> = open.collect();
    let doubts = render(&open, &loaded.sources);
    if doubts.is_empty() { faults } else { format!("{faults}doubts\n{doubts}") }
}

#[test]
fn the_sound_file_is_in_order() {
    assert_eq!(said("t1", "t1"), "");
}

/// Mistakes: what stands in the sound file, and what a person typed instead.
const PLANTED: &[(&str, &str)] = &[
    ("trumpet_length = \"50 mm\"", "trumpet_length = 50"),
    ("start = \"37.5 mm\"", "start = \"37.5 mn\""),
    ("lobe_centre = \"106 deg\"", "lobe_centr = \"106 deg\""),
    ("\"244 deg at", "\"26 deg at"),
    ("38.2, 38.1 cc", "38.1 cc"),
    ("\"810 mm\"", "\"810 rpm\""),
    ("[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2, 2]"),
    ("build = \"t1\"", "build = \"t1\"\nbased_on = \"t1\""),
    ("build = \"t1\"", "build = \"t1\"\nbased_on = \"b12\""),
    ("bore = \"86.0 mm\"", "bore = \"3.386 mm\""),
    ("cylinders = 6", "cylinders = 6\nbottom_end.bore = \"86 mm\""),
    (
        "[intake.cam]\nlift",
        "[cam]\nlobe_separation = \"112 deg\"\nintake_centreline = \"116 deg\"\n[intake.cam]\nlift",
    ),
    (
        "\"244 deg at 1.0 mm of valve\"",
        "[\"244 deg at 1.0 mm of valve\", \"250 deg at 0.050 in of lifter\"]",
    ),
    ("\"244 deg at 1.0 mm of valve\"", "\"244 deg at 1.0 mm\""),
    ("\"244 deg at 1.0 mm of valve\"", "\"244 deg\""),
    ("\"244 deg at 1.0 mm of valve\"", "\"202 deg at seat\""),
    ("\"244 deg at 1.0 mm of valve\"", "\"304 deg at 0.050 in of lifter\""),
    ("[1, 5, 3, 6, 2, 4]", "\"1-5-3-6-4-2\""),
    ("[exhaust]\n", "[fuel]\nlambda = 12.9\n[exhaust]\n"),
    ("[exhaust]\n", "[fuel]\nkind = \"gasoline\"\n[exhaust]\n"),
    ("[exhaust]\n", "[exhaust]\nlash = \"0.3 mm\"\n"),
    ("[exhaust]\n", "[exhaust]\nname = \"six\"\n"),
    ("[exhaust]\n", "[exhaust]\nflow = { lift = [2, 4], flow = [58, 112] }\n"),
    ("thickness = \"1.05 mm\"", "thickness = \"-7.05 mm\""),
    (
        "\"38.2, 38.1, 38.3, 38.2, 38.2, 38.1 cc\" }",
        "\"12, 12, 12, 12, 12, 12 cc\" }\npiston_crown=\"15 cc\"",
    ),
    ("diameter = \"34.0 mm\"", "diameter = \"27.0 mm\""),
    ("test_pressure = \"28 inH2O\", ", ""),
    ("flow cfm\"]", "flw cfm\"]"),
    ("kind = \"finger\"", "kind = \"fnger\""),
    ("lift = \"11.2 mm\"", "lift = \"11.2 mm"),
    ("[valve_train]", "[valvetrain]"),
    ("format = 1", "format = 2"),
    ("[intake.cam]", "[intake.cam]\nuse = \"cams/I-99\""),
    ("lift = \"11.2 mm\"", "lift = \"11.2 mm\"\nlobe_lift = \"5.0 mm\""),
    ("stroke = \"83.2 mm\"\n", ""),
    ("[[2, 58], [4, 112], [8, 189]]", "[[2, 5800], [4, 112], [8, 189]]"),
    (
        "length = \"810 mm\"",
        "length = \"810 mm\"\n[[rating]]\npower = \"300 hp\"\nspeed = \"7500 rpm\"",
    ),
];

/// What is said about every planted mistake is kept in the repository and was judged by eye: what,
/// where, remedy, and nothing about what is in order. Set `SHORTBLOCK_WRITE=1` to write it anew.
#[test]
fn planted_mistakes_are_told_as_kept() {
    let mut found = String::new();
    for (old, new) in PLANTED {
        found += &format!("##### {old}\n  ->  {new}\n{}\n", said(old, new));
    }
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/planted.txt");
    if std::env::var_os("SHORTBLOCK_WRITE").is_some() {
        std::fs::write(path, &found).expect("tests/data can be written");
    }
    let kept = std::fs::read_to_string(path).expect("tests/data/planted.txt");
    for (found, kept) in found.split("#####").zip(kept.split("#####")) {
        assert_eq!(found, kept);
    }
    assert_eq!(found.len(), kept.len());
}

#[test]
fn every_planted_mistake_is_found_with_a_place_and_at_most_80_columns() {
    for (old, new) in PLANTED {
        let text = said(old, new);
        assert!(text.contains("1  "), "{old} -> {new} passes");
        assert!(!text.contains("\n2  "), "{old} -> {new} is told twice:\n{text}");
        let widest = text.lines().map(|l| l.chars().count()).max();
        assert!(widest <= Some(80), "{text}");
    }
}

#[test]
fn a_number_of_cylinders_that_cannot_be_is_told_once() {
    let told = |cylinders: &str| {
        let text = format!("format = 1\n{cylinders}\nbore = \"86 mm\"\nstroke = \"86 mm\"\n");
        let faults = read(&text).build.unwrap_err().faults;
        faults.into_iter().map(|fault| fault.what).collect::<Vec<_>>()
    };
    assert_eq!(told("cylinders = 0"), ["layout cylinders of 0 can't be: it must lie in 1 to 16"]);
    assert_eq!(told("cylinders = 4.5"), ["layout cylinders is a whole number without unit"]);
    let missing = "how many cylinders the engine has is not said, 1 to 16";
    assert_eq!(told(""), [missing]);
    assert_eq!(told("cylinders = \"not measured\""), [missing]);
}

#[test]
fn all_mistakes_of_one_file_are_told_at_once() {
    let faulty = SOUND
        .replace("trumpet_length = \"50 mm\"", "trumpet_length = 50")
        .replace("\"37.5 mm\"", "\"37.5 mn\"")
        .replace("\"810 mm\"", "\"810 rpm\"")
        .replace("38.2, 38.1 cc", "38.1 cc")
        .replace("[1, 5, 3, 6, 2, 4]", "[1, 5, 3, 6, 2, 2]");
    let loaded = read(&faulty);
    assert_eq!(loaded.build.unwrap_err().faults.len(), 5);
}

#[test]
fn a_doubt_is_silenced_by_a_reason_beside_it_or_in_its_table() {
    for silenced in [
        "duration = { value = \"352 deg at 0.1 mm of valve\", doubt_ok = \"test lobe\" }",
        "duration = \"352 deg at 0.1 mm of valve\"\ndoubt_ok = \"test lobe\"",
    ] {
        let text = SOUND.replace("duration = \"244 deg at 1.0 mm of valve\"", silenced);
        let loaded = read(&text);
        assert!(loaded.build.is_ok());
        let reasons: Vec<_> = loaded.doubts.iter().filter_map(|d| d.silenced.clone()).collect();
        assert_eq!(reasons, ["test lobe"]);
    }
}

/// In this notation a word after a table's head belongs to that table: the commonest slip of all.
#[test]
fn a_word_of_the_top_that_a_table_has_swallowed_is_sent_back_there() {
    for line in ["fuel = \"e10\"", "cylinders = 6"] {
        let told = said("length = \"810 mm\"", &format!("length = \"810 mm\"\n{line}"));
        assert!(told.contains("it belongs at the top of the file"), "{told}");
    }
}
