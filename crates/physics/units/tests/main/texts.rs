//! Texts as people of the trade type them.

use shortblock_units::{Quantity, lead, parse, parse_each, parse_one_of};

#[track_caller]
fn check(text: &str, q: Quantity, value: f64, plus_minus: Option<f64>, symbol: &str) {
    let m = parse(text, q).unwrap_or_else(|e| panic!("{text:?}: {e}"));
    let close = |a: f64, b: f64| (a - b).abs() <= 1e-12 * b.abs().max(1e-300);
    assert!(close(m.typed(), value) || (m.typed() - value).abs() < 1e-9, "{text}: {}", m.typed());
    assert_eq!(m.plus_minus.is_some(), plus_minus.is_some(), "{text}");
    if let (Some(got), Some(want)) = (m.plus_minus, plus_minus) {
        assert!(close(m.unit.span_from_si(got), want), "{text}: ±{}", m.unit.span_from_si(got));
    }
    assert_eq!((m.unit.symbol, m.text.as_str(), m.to_string()), (symbol, text, text.to_owned()));
}

#[test]
fn plain_values() {
    use Quantity::*;
    check("50 mm", Length, 50.0, None, "mm");
    check("50mm", Length, 50.0, None, "mm");
    check("  2 in  ", Length, 2.0, None, "in");
    check(".035 in", Length, 0.035, None, "in");
    check("11/32 in", Length, 0.34375, None, "in");
    check("4.03\"", Length, 4.03, None, "in");
    check("35 thou", Length, 35.0, None, "thou");
    check("\u{2212}5.0 cc", Volume, -5.0, None, "cc");
    check("-5.0 cm³", Volume, -5.0, None, "cc");
    check("1.75 in2", Area, 1.75, None, "in2");
    check("55 cu. in.", Volume, 55.0, None, "in3");
    check("400 lb.ft", Torque, 400.0, None, "lb.ft");
    check("400 ft lbf", Torque, 400.0, None, "lb.ft");
    check("340 N·m", Torque, 340.0, None, "N.m");
    check("125 lb", Force, 125.0, None, "lbf");
    check("340 lb/in", ForceRate, 340.0, None, "lbf/in");
    check("4000 ft/min", Speed, 4000.0, None, "ft/min");
    check("7000 1/min", EngineSpeed, 7000.0, None, "rpm");
    check("7000 RPM", EngineSpeed, 7000.0, None, "rpm");
    check("28 inH2O", PressureDifference, 28.0, None, "inH2O");
    check("28 in. H2O", PressureDifference, 28.0, None, "inH2O");
    check("15 °C", Temperature, 15.0, None, "degC");
    check("77 deg F", Temperature, 77.0, None, "degF");
    check("98 %", Fraction, 98.0, None, "%");
    check("0.88", Ratio, 0.88, None, "");
    check("10.5:1", Ratio, 10.5, None, "");
    check("270 g/(kW·h)", FuelConsumption, 270.0, None, "g/kWh");
    check("0.45 lb/hp-hr", FuelConsumption, 0.45, None, "lb/hp.h");
    check("44 lbf/in2", GaugePressure, 44.0, None, "psi");
    check("44 psig", GaugePressure, 44.0, None, "psi");
    check("29.92 inHg abs", AbsolutePressure, 29.92, None, "inHg");
    check("1.2e-5 m2/s", KinematicViscosity, 1.2e-5, None, "m2/s");
}

#[test]
fn plus_minus_in_every_dress() {
    use Quantity::*;
    check("106.0 ±0.5 deg", Angle, 106.0, Some(0.5), "deg");
    check("106.0 +-0.5 deg", Angle, 106.0, Some(0.5), "deg");
    check("106.0 +/- 0.5 deg", Angle, 106.0, Some(0.5), "deg");
    check("106.0 deg ± 0.5", Angle, 106.0, Some(0.5), "deg");
    check("106.0 deg ±0.5 deg", Angle, 106.0, Some(0.5), "deg");
    check("50 mm ± 2 thou", Length, 50.0, Some(2.0 * 0.0254), "mm");
    check("700 ±2 % cfm", VolumeFlow, 700.0, Some(14.0), "cfm");
    check("700 cfm ±2%", VolumeFlow, 700.0, Some(14.0), "cfm");
    check("-5.0 cc ± 10 %", Volume, -5.0, Some(0.5), "cc");
    check("12 ±0.5 %", Fraction, 12.0, Some(0.5), "%");
    check("1.60 ±0.01", Ratio, 1.6, Some(0.01), "");
    check("10.5 ±1 %", Ratio, 10.5, Some(0.105), "");
    check("20 ±0.5 degC", Temperature, 20.0, Some(0.5), "degC");
    check("68 ±1 degF", Temperature, 68.0, Some(1.0), "degF");
}

#[test]
fn a_duration_keeps_its_checking_lift() {
    let m = parse("222 deg at 0.050 in of lifter", Quantity::Angle).unwrap();
    let at = m.at.unwrap();
    assert!((m.si - 222f64.to_radians()).abs() < 1e-14);
    assert!((at.si - 0.050 * 0.0254).abs() < 1e-18);
    assert_eq!(
        (at.quantity, at.unit.symbol, at.words.as_str()),
        (Quantity::Length, "in", "of lifter")
    );
    assert_eq!(&m.text[at.words_range], "of lifter");

    let at = parse("244 deg at 1.0 mm", Quantity::Angle).unwrap().at.unwrap();
    assert_eq!((at.si, at.words.as_str()), (1e-3, ""));
}

#[test]
fn a_flow_keeps_its_test_pressure() {
    let m = parse("700 cfm ±2 % at 1.5 inHg", Quantity::VolumeFlow).unwrap();
    let at = m.at.unwrap();
    assert_eq!(at.quantity, Quantity::PressureDifference);
    assert!((at.si - 1.5 * 3_386.388_640_341).abs() < 1e-9);
    // Back pressure at a rated flow takes mass or volume.
    let at = |text| parse(text, Quantity::PressureDifference).unwrap().at.unwrap().quantity;
    assert_eq!(at("20 kPa at 300 kg/h"), Quantity::MassFlow);
    assert_eq!(at("20 kPa @ 400 cfm"), Quantity::VolumeFlow);
}

#[test]
fn one_unit_serves_every_cylinder() {
    let each = parse_each("4.0305, 4.0300,4.0310 ±0.0002 in", Quantity::Length).unwrap();
    let typed: Vec<f64> = each.iter().map(|m| (m.typed() * 1e4).round() / 1e4).collect();
    assert_eq!(typed, [4.0305, 4.03, 4.031]);
    assert_eq!(each[1].text, "4.0300 ±0.0002 in");
    assert!(each.iter().all(|m| parse(&m.text, Quantity::Length).as_ref() == Ok(m)));
    assert!((each[0].last_place - 0.0001 * 0.0254).abs() < 1e-18);
    let each = parse_each("0, 90, 270, 180 deg", Quantity::Angle).unwrap();
    assert_eq!(each.len(), 4);
    // A ± in per cent is of each value.
    let each = parse_each("100, 200 cfm ±1 %", Quantity::VolumeFlow).unwrap();
    assert!((each[1].plus_minus.unwrap() / each[0].plus_minus.unwrap() - 2.0).abs() < 1e-14);
}

#[test]
fn a_goal_leaves_its_tail_to_the_reader() {
    let text = "400 lb.ft from 3200 rpm to 5000 rpm";
    let goal = lead(text, Quantity::Torque).unwrap();
    assert_eq!(
        (goal.measure.text.as_str(), &text[goal.rest.clone()]),
        ("400 lb.ft", "from 3200 rpm to 5000 rpm")
    );
    let tail = text[goal.rest].strip_prefix("from").unwrap();
    let from = lead(tail, Quantity::EngineSpeed).unwrap();
    assert_eq!((from.measure.text.as_str(), &tail[from.rest]), ("3200 rpm", "to 5000 rpm"));

    let text = "420 hp below 5800 rpm";
    assert_eq!(&text[lead(text, Quantity::Power).unwrap().rest], "below 5800 rpm");
    let text = "1500 m, 15 degC";
    assert_eq!(&text[lead(text, Quantity::Length).unwrap().rest], ", 15 degC");
    let text = "0.88 below 4000 rpm";
    assert_eq!(&text[lead(text, Quantity::Ratio).unwrap().rest], "below 4000 rpm");
    let text = "28 deg BTDC";
    assert_eq!(&text[lead(text, Quantity::Angle).unwrap().rest], "BTDC");
    assert!(lead("28 deg", Quantity::Angle).unwrap().rest.is_empty());
}

#[test]
fn the_first_kind_that_fits_is_taken() {
    let kinds = [Quantity::Length, Quantity::Area];
    assert_eq!(parse_one_of("47 mm", &kinds).unwrap().quantity, Quantity::Length);
    assert_eq!(parse_one_of("1.75 in2", &kinds).unwrap().quantity, Quantity::Area);
    assert_eq!(
        parse_one_of("5 rpm", &kinds).unwrap_err(),
        parse("5 rpm", Quantity::Length).unwrap_err()
    );
    let boost = [Quantity::GaugePressure, Quantity::AbsolutePressure];
    assert_eq!(parse_one_of("12 psi", &boost).unwrap().quantity, Quantity::GaugePressure);
    assert_eq!(parse_one_of("1.8 bar abs", &boost).unwrap().quantity, Quantity::AbsolutePressure);
}
