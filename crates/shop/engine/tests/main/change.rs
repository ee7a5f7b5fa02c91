//! What-if: one value changed, everything that hangs on it follows.

use crate::demo::demo;
use shortblock_units::Origin;

#[test]
fn a_value_typed_in_any_unit_is_taken() {
    let b1 = demo("114/b1.toml");
    let shorter = b1.with("intake.runner.trumpet_length", "2 in").unwrap();
    let trumpet = shorter.intake_system.trumpet.unwrap();
    assert!((trumpet.length.si - 0.0508).abs() < 1e-12);
    assert_eq!(trumpet.length.text, "2 in");
    assert_eq!(b1.with("bore", "87 mm").unwrap().bottom_end.bore.text, "87 mm");
    assert_eq!(
        b1.with("intake.cam.lobe_centre", "104 deg").unwrap().intake.cam.centreline.text,
        "104 deg"
    );
}

#[test]
fn a_faulty_value_is_told_like_one_in_a_file() {
    let b1 = demo("114/b1.toml");
    let faults = b1.with("exhaust.primary.length", "810 rpm").unwrap_err().render();
    assert!(faults.contains("is given as an engine speed") && faults.contains("^^^"), "{faults}");
    let faults = b1.with("exhaust.primry.length", "810 mm").unwrap_err().render();
    assert!(faults.contains("did you mean primary?"), "{faults}");
    assert!(b1.with_si("exhaust.primary.bor", 0.04).unwrap_err().render().contains("primary.bore"));
    assert!(b1.with_si("exhaust.primary.bore", f64::NAN).is_err());
}

#[test]
fn what_was_assumed_from_a_value_follows_it() {
    let build = demo("201/b1.toml");
    let longer = build.with("stroke", "90 mm").unwrap();
    assert!((longer.bottom_end.rod_length.si - 1.67 * 0.09).abs() < 1e-12);
    let rod = longer.with_si("bottom_end.rod_length", 0.16).unwrap();
    assert_eq!(rod.bottom_end.rod_length.si, 0.16);
    assert_eq!(rod.bottom_end.rod_length.origin, Origin::Assumed);
}

#[test]
fn setting_a_worked_out_ratio_puts_the_volumes_aside() {
    let b1 = demo("114/b1.toml");
    let raised = b1.with("compression_ratio", "12.5").unwrap();
    assert_eq!(raised.chamber.compression_ratio.si, 12.5);
    let swept = raised.bottom_end.swept.of(0);
    assert!((raised.chamber.clearance_volume.of(0) - swept / 11.5).abs() < 1e-12);
}

#[test]
fn setting_a_centreline_leaves_the_other_cam_where_it_was() {
    let v8 = demo("126/b1.toml");
    let moved = v8.with("intake.cam.centreline", "102 deg").unwrap();
    assert!((moved.intake.cam.centreline.degrees() - 102.0).abs() < 1e-9);
    assert!((moved.exhaust.cam.centreline.degrees() - 114.0).abs() < 1e-9);
    let moved = v8.with_si("exhaust.cam.centreline", 110.0_f64.to_radians()).unwrap();
    assert!((moved.intake.cam.centreline.degrees() - 106.0).abs() < 1e-9);
}

#[test]
fn values_per_cylinder_and_durations_move_together() {
    let v8 = demo("126/b1.toml");
    let runner = v8.intake_system.runner_length.si;
    let longer =
        v8.with_si("intake.runner.length", runner + 0.01).unwrap().intake_system.runner_length;
    assert!((longer.of(0) - v8.intake_system.runner_length.of(0) - 0.01).abs() < 1e-12);
    let seat = v8.item("intake.cam.duration").unwrap().value().unwrap().si;
    let wider = v8.with_si("intake.cam.duration", seat + 0.1).unwrap();
    for (a, b) in v8.intake.cam.durations.iter().zip(&wider.intake.cam.durations) {
        assert!((b.angle.si - a.angle.si - 0.1).abs() < 1e-12);
    }
}

#[test]
fn a_flow_sheet_is_moved_by_its_factor() {
    let v8 = demo("126/b1.toml");
    let less = v8.with_si("intake.flow", 0.95).unwrap();
    for (a, b) in v8.intake.flow.flow.iter().zip(&less.intake.flow.flow) {
        assert!((b / a - 0.95).abs() < 1e-12);
    }
}

#[test]
fn every_parameter_can_be_moved_by_its_step_and_by_its_spread() {
    for entry in ["114/b2.toml", "126/b1.toml", "201/b1.toml"] {
        let build = demo(entry);
        let mut count = 0;
        for (path, value) in build.parameters() {
            let step = build.step(path).unwrap();
            assert!(step >= 0.0, "{path}");
            for si in [value.si + step, value.si - 0.5 * value.plus_minus] {
                let moved = build.with_si(path, si);
                let moved = moved.unwrap_or_else(|f| panic!("{entry} {path}:\n{}", f.render()));
                let found = moved.item(path).and_then(|i| i.value()).unwrap().si;
                assert!((found - si).abs() <= 1e-12 * si.abs().max(1.0), "{entry} {path}");
            }
            count += 1;
        }
        assert!(count > 40, "{entry} has {count} parameters");
    }
}
