//! Compression, timing and firing against rows worked out outside this project (tests/data).

use std::collections::BTreeMap;

use shortblock_engine::build::compression::{
    Clearance, chamber_for, effective_ratio, piston_travel,
};
use shortblock_engine::build::timing::{Events, from_events};
use shortblock_engine::{Build, Memory, load};

/// The expected values, by name of the check.
fn checks() -> BTreeMap<String, String> {
    let text = include_str!("../data/checks.csv");
    text.lines().skip(1).map(|line| (cell(line, 0), cell(line, 2))).collect()
}

/// One cell of a CSV line; quotes may hold commas.
fn cell(line: &str, wanted: usize) -> String {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            c => cells.last_mut().expect("one cell").push(c),
        }
    }
    cells[wanted].clone()
}

#[track_caller]
fn close(check: &str, found: f64, tolerance: f64) {
    let wanted: f64 = checks()[check].parse().expect("a number");
    assert!((found / wanted - 1.0).abs() <= tolerance, "{check}: {found} for {wanted}");
}

fn build(text: &str) -> Box<Build> {
    match load("t.toml", &Memory::default().with("t.toml", text)).build {
        Ok(build) => build,
        Err(faults) => panic!("{}", faults.render()),
    }
}

const SIX: &str = "format = 1\ncylinders = 6\nbore = \"88.0 mm\"\nstroke = \"79.5 mm\"\n\
    rod_length = \"135 mm\"\n[bottom_end]\ndeck = \"0.15 mm\"\n\
    top_land_diameter = \"87.4 mm\"\ntop_land_height = \"6.0 mm\"\n\
    [chamber]\nvolume = \"36.2 cc\"\npiston_crown = \"1.5 cc\"\n\
    gasket = { bore = \"89.0 mm\", thickness = \"0.70 mm\" }\n";

const EIGHT: &str = "format = 1\ncylinders = 8\nbore = \"4.030 in\"\nstroke = \"3.480 in\"\n\
    rod_length = \"5.700 in\"\n[layout]\narrangement = \"V\"\n[bottom_end]\ndeck = \"0.010 in\"\n\
    top_land_diameter = \"4.000 in\"\ntop_land_height = \"0.250 in\"\n\
    [chamber]\nvolume = \"64.0 cc\"\npiston_crown = \"-5.0 cc\"\n\
    gasket = { bore = \"4.166 in\", thickness = \"0.039 in\" }\n";

#[test]
fn displacement_in_either_trade() {
    close("displacement inline 6", build(SIX).bottom_end.displacement * 1e6, 1e-6);
    let eight = build(EIGHT).bottom_end.displacement;
    close("displacement V8 inch in cc", eight * 1e6, 1e-6);
    close("displacement V8 inch", eight / 0.0254f64.powi(3), 1e-6);
}

#[test]
fn compression_ratio_from_volumes_with_and_without_the_crevice() {
    let ratio = |text: &str| build(text).chamber.compression_ratio.si;
    close("static compression ratio metric", ratio(SIX), 1e-5);
    close("static compression ratio inch", ratio(EIGHT), 1e-5);
    let bare = EIGHT.replace("top_land_diameter = \"4.000 in\"\n", "");
    close("static compression ratio without crevice", ratio(&bare), 1e-5);
}

/// The straight six of the checks as plain volumes.
fn six() -> (Clearance, f64) {
    let clearance = Clearance {
        chamber: 36.2e-6,
        gasket_bore: 0.089,
        gasket_thickness: 0.7e-3,
        bore: 0.088,
        deck: 0.15e-3,
        piston: -1.5e-6,
        land: Some((0.0874, 6.0e-3)),
    };
    (clearance, std::f64::consts::FRAC_PI_4 * 0.088 * 0.088 * 0.0795)
}

#[test]
fn chamber_volume_for_a_wanted_ratio() {
    let (clearance, swept) = six();
    let volume = chamber_for(11.5, swept, &clearance);
    close("chamber volume for a target ratio", volume * 1e6, 1e-5);
}

#[test]
fn effective_ratio_at_intake_closing() {
    let (clearance, swept) = six();
    let at = 62.0_f64.to_radians();
    let travel = piston_travel(0.0795, 0.135, std::f64::consts::PI - at);
    close("piston position at intake closing", travel * 1e3, 1e-5);
    let ratio = effective_ratio(0.088, 0.0795, 0.135, clearance.volume(), at);
    close("effective compression ratio", ratio, 1e-5);
    let inch = 0.0254;
    let eight = build(EIGHT).chamber.clearance_volume.si;
    let closing = 68.0_f64.to_radians();
    let ratio = effective_ratio(4.03 * inch, 3.48 * inch, 5.7 * inch, eight, closing);
    close("effective compression ratio inch", ratio, 1e-5);
    let trial = effective_ratio(0.088, 0.0795, 0.135, swept / 10.5, 66.0_f64.to_radians());
    close("trial effective compression at 11.5", trial, 1e-6);
}

#[test]
fn four_events_from_durations_separation_and_centreline() {
    for (name, intake, exhaust, separation, centre) in [
        ("cam events 280/288 LSA 110 ICL 106", 280.0, 288.0, 110.0, 106.0),
        ("cam events 236/242 LSA 108 ICL 104", 236.0, 242.0, 108.0, 104.0),
    ] {
        let e = Events::of(intake, exhaust, separation, centre);
        let found = format!(
            "IVO {} BTDC; IVC {} ABDC; EVO {} BBDC; EVC {} ATDC; ECL {} BTDC; overlap {}",
            e.intake_opens_btdc,
            e.intake_closes_abdc,
            e.exhaust_opens_bbdc,
            e.exhaust_closes_atdc,
            2.0 * separation - centre,
            e.overlap()
        );
        assert_eq!(found, checks()[name]);
    }
}

#[test]
fn events_give_duration_and_centreline_also_when_negative() {
    assert_eq!(from_events(6.0, 42.0), (228.0, 108.0));
    assert!(checks()["cam from factory events"].starts_with("duration 228; intake centreline 108"));
    assert_eq!(from_events(-10.0, 39.0), (209.0, 114.5));
    assert_eq!(checks()["negative 0.050 opening"], "duration 209; centreline 114.5 ATDC");
}

#[test]
fn net_lift_is_lobe_times_ratio_less_lash() {
    let text = format!(
        "{EIGHT}[valve_train]\nkind = \"pushrod and rocker\"\nlifter = \"solid\"\n\
         rocker_ratio = \"1.60\"\n[intake]\nvalves = {{ per_cylinder = 1, diameter = \"2.02 in\" }}\n\
         [intake.cam]\nlobe_lift = \"0.390 in\"\nlash = \"0.018 in\"\n"
    );
    let lift = build(&text).intake.cam.lift.si / 0.0254;
    close("valve lift net of lash", lift, 1e-9);
}

#[test]
fn cylinders_that_run_together_fire_a_turn_apart() {
    for (name, arrangement, order) in [
        ("running mates inline 4", "inline", "1-3-4-2"),
        ("running mates inline 6", "inline", "1-5-3-6-2-4"),
        ("running mates V8", "V", "1-8-4-3-6-5-7-2"),
        ("running mates V8 numbered by bank", "V", "1-5-4-8-6-3-7-2"),
    ] {
        let cylinders = order.split('-').count();
        let text = format!(
            "format = 1\ncylinders = {cylinders}\nbore = \"90 mm\"\nstroke = \"80 mm\"\n\
             arrangement = \"{arrangement}\"\nfiring_order = \"{order}\"\n"
        );
        let angles = build(&text).layout.firing_angle_deg;
        for pair in checks()[name].split("; ") {
            let (a, b) = pair.split_once('-').expect("a pair");
            let at = |c: &str| angles[c.parse::<usize>().expect("a cylinder") - 1];
            assert_eq!((at(a) - at(b)).abs(), 360.0, "{name}: {pair}");
        }
    }
}
