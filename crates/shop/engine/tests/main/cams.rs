//! The trade's ways of stating a cam lead to the same valve movement, and are checked against each
//! other.

use shortblock_engine::{Build, Loaded, Memory, load};

const ENGINE: &str = "format = 1\ncylinders = 8\nbore = \"4.03 in\"\nstroke = \"3.25 in\"\n\
    [layout]\narrangement = \"V\"\n[valve_train]\nkind = \"pushrod and rocker\"\n\
    lifter = \"solid\"\nrocker_ratio = 1.5\n\
    [intake]\nvalves = { per_cylinder = 1, diameter = \"2.02 in\" }\n";

fn read(cams: &str) -> Loaded {
    load("t.toml", &Memory::default().with("t.toml", &format!("{ENGINE}{cams}")))
}

fn build(cams: &str) -> Box<Build> {
    match read(cams).build {
        Ok(build) => build,
        Err(faults) => panic!("{}", faults.render()),
    }
}

fn degrees(build: &Build) -> (f64, f64) {
    let round = |x: f64| (x * 1e6).round() / 1e6;
    (round(build.intake.cam.centreline.degrees()), round(build.exhaust.cam.centreline.degrees()))
}

#[test]
fn separation_with_centreline_with_advance_and_degreed_cams_agree() {
    let by_centreline =
        build("[cam]\nlobe_separation = \"110 deg\"\nintake_centreline = \"106 deg\"\n");
    let by_advance = build("[cam]\nlobe_separation = \"110 deg\"\nadvance = \"4 deg\"\n");
    let degreed =
        build("[intake.cam]\ncentreline = \"106 deg\"\n[exhaust.cam]\ncenterline = \"114 deg\"\n");
    for build in [&by_centreline, &by_advance, &degreed] {
        assert_eq!(degrees(build), (106.0, 114.0));
    }
}

#[test]
fn four_events_give_durations_and_centrelines() {
    let build = build(
        "[intake.cam]\nopens = \"34 deg BTDC at seat\"\ncloses = \"66 deg ABDC at seat\"\n\
         [exhaust.cam]\nopens = \"78 deg BBDC at seat\"\ncloses = \"30 deg ATDC at seat\"\n",
    );
    assert_eq!(degrees(&build), (106.0, 114.0));
    let seat = |cam: &shortblock_engine::build::Cam| cam.seat_duration().to_degrees().round();
    assert_eq!((seat(&build.intake.cam), seat(&build.exhaust.cam)), (280.0, 288.0));
}

#[test]
fn an_opening_after_the_dead_centre_is_negative() {
    let build = build(
        "[intake.cam]\nopens = \"10 deg ATDC at 0.050 in of lifter\"\n\
         closes = \"39 deg ABDC at 0.050 in of lifter\"\n",
    );
    assert_eq!(degrees(&build).0, 114.5);
    let stated = &build.intake.cam.durations[1];
    assert_eq!(stated.angle.degrees().round(), 209.0);
}

#[test]
fn a_checking_lift_is_turned_to_the_valve_by_ratio_and_lash() {
    let lift = |at: &str| {
        let cams = format!(
            "[intake.cam]\nlash = \"0.25 mm\"\nlift = \"12 mm\"\nduration = \"230 deg at {at}\"\n"
        );
        build(&cams).intake.cam.durations[1].valve_lift
    };
    let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-12, "{found}");
    near(lift("1.27 mm of lifter"), 1.27e-3 * 1.5 - 0.25e-3);
    near(lift("1.27 mm of the valve"), 1.27e-3);
    near(lift("1.27 mm of valve at zero lash"), 1.27e-3 - 0.25e-3);
}

#[test]
fn hydraulic_lifters_have_no_lash() {
    let cams = "[intake.cam]\nlobe_lift = \"8 mm\"\n";
    let text = format!("{ENGINE}{cams}").replace("\"solid\"", "\"hydraulic\"");
    let loaded = load("t.toml", &Memory::default().with("t.toml", &text));
    let build = loaded.build.unwrap();
    assert_eq!(build.intake.cam.lash.si, 0.0);
    assert!((build.intake.cam.lift.si - 0.012).abs() < 1e-12);
}

#[test]
fn a_measured_lobe_in_cam_degrees_becomes_valve_lift_over_crank_degrees() {
    let rows: Vec<String> = (-75..=75)
        .step_by(5)
        .map(|a| {
            format!(
                "[{a}, {:.5}]",
                8.0 * (f64::from(a) / 75.0 * std::f64::consts::FRAC_PI_2).cos().powi(2)
            )
        })
        .collect();
    let cams = format!(
        "[intake.cam]\ncentreline = \"106 deg\"\nlash = \"0.2 mm\"\nlobe_lift = \"8.0 mm\"\n\
         lift_curve = {{ columns = [\"cam deg\", \"lifter mm\"], rows = [{}] }}\n",
        rows.join(", ")
    );
    let build = build(&cams);
    let curve = build.intake.cam.curve.as_ref().expect("a curve");
    let peak = curve.lift.iter().copied().fold(0.0, f64::max);
    assert!((peak - (0.008 * 1.5 - 0.0002)).abs() < 1e-9, "{peak}");
    let (first, last) = (curve.angle[0].to_degrees(), curve.angle[30].to_degrees());
    assert!((first - (106.0 - 150.0)).abs() < 1e-9 && (last - 256.0).abs() < 1e-9);
}

#[test]
fn two_ways_that_differ_are_asked_and_two_that_contradict_are_a_fault() {
    let cams = |centre: &str| {
        format!(
            "[cam]\nlobe_separation = \"110 deg\"\nintake_centreline = \"106 deg\"\n[intake.cam]\ncentreline = \"{centre} deg\"\n"
        )
    };
    let agreed = read(&cams("106.5"));
    assert!(agreed.doubts.is_empty() && agreed.build.is_ok());
    let asked = read(&cams("109.0"));
    assert!(asked.build.is_ok());
    assert_eq!(asked.doubts.len(), 1);
    assert!(read(&cams("116.0")).build.is_err());
}

#[test]
fn the_trade_adds_58_to_60_degrees_to_a_duration_at_0_050_in() {
    // Common practice, no source: seat duration of hydraulic pushrod cams.
    let build = build(
        "[intake.cam]\nlobe_lift = \"0.310 in\"\nlash = \"0 mm\"\nduration = \"210 deg at 0.050 in of lifter\"\n",
    );
    let added = build.intake.cam.seat_duration().to_degrees() - 210.0;
    assert!((56.0..62.0).contains(&added), "{added}");
}

/// A valve lift table over crank degrees, cos² between 106 - 150 and 106 + 150 degrees.
fn measured() -> String {
    let rows: Vec<String> = (-44..=256)
        .step_by(2)
        .map(|a| {
            let x = f64::from(a - 106) / 150.0 * std::f64::consts::FRAC_PI_2;
            format!("[{a}, {:.6}]", 11.0 * x.cos().powi(2))
        })
        .collect();
    let rows = rows.join(", ");
    format!(
        "[intake.cam]\nlift_curve = {{ columns = [\"crank deg\", \"valve mm\"], rows = [{rows}] }}\n"
    )
}

#[test]
fn a_measured_table_alone_says_lift_centreline_and_durations() {
    let cam = build(&measured()).intake.cam.clone();
    assert!((cam.centreline.degrees() - 106.0).abs() < 0.01, "{}", cam.centreline.degrees());
    assert!((cam.lift.si - 0.011).abs() < 1e-9);
    // D = 2 x 300/pi acos(sqrt(h/L)): the check "model lobe duration at 1 mm", 241.505 deg.
    let at_1_mm = cam.durations.iter().find(|d| d.valve_lift == 1.0e-3).unwrap();
    assert!((at_1_mm.angle.degrees() - 241.505).abs() < 0.05, "{}", at_1_mm.angle.degrees());
    let seat = 600.0 / std::f64::consts::PI * (0.2f64 / 11.0).sqrt().acos();
    assert!((cam.seat_duration().to_degrees() - seat).abs() < 0.1);
}

#[test]
fn a_measured_table_follows_a_new_centreline() {
    let moved = build(&measured()).with("intake.cam.centreline", "100 deg").unwrap().intake.cam;
    assert!((moved.curve.unwrap().angle[0].to_degrees() + 50.0).abs() < 1e-9);
    assert!((moved.centreline.degrees() - 100.0).abs() < 1e-9);
}

#[test]
fn events_at_different_lifts_are_refused() {
    let cams = "[intake.cam]\nopens = \"34 deg BTDC at seat\"\ncloses = \"66 deg ABDC at 1.0 mm of valve\"\n";
    assert!(read(cams).build.unwrap_err().render().contains("different lifts"));
}
