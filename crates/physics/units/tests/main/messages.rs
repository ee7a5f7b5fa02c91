//! Every fault says what, where and what to do; the whole text is compared.

use shortblock_units::{Quantity, parse, parse_each};

/// `marked` is what a caret would underline.
#[track_caller]
fn check(text: &str, q: Quantity, marked: &str, what: &str, hint: &str) {
    let error = parse(text, q).expect_err(text);
    assert_eq!((error.what().as_str(), error.hint().as_str()), (what, hint), "{text}");
    assert_eq!(&text[error.range()], marked, "{text}");
    assert_eq!(error.to_string(), format!("{what}\nhint: {hint}"));
}

const LENGTHS: &str = "mm, in, thou, cm, m, ft, um or km";

#[test]
fn a_number_without_unit() {
    check(
        "50",
        Quantity::Length,
        "50",
        "\"50\" has no unit",
        &format!("write \"50 mm\" or the like ({LENGTHS})"),
    );
    let hint = "write \"240 deg\" or the like (deg or rad)";
    check("240 at 1.0 mm", Quantity::Angle, "240", "\"240\" has no unit", hint);
    check("240 ±2", Quantity::Angle, "240", "\"240\" has no unit", hint);
}

#[test]
fn a_unit_of_another_quantity() {
    let hint = format!("write it in {LENGTHS}");
    let what = "\"810 rpm\" is an engine speed, which does not fit a length";
    check("810 rpm", Quantity::Length, "rpm", what, &hint);
    let what = "\"10 N m\" is a torque, which does not fit a force";
    check("10 N m", Quantity::Force, "N m", what, "write it in N, lbf, kN or kgf");
    let what = "\"10.5 mm\" is a length, which does not fit a plain number";
    check("10.5 mm", Quantity::Ratio, "mm", what, "write the number alone");
    let what = "\"28 deg C\" is a temperature, which does not fit an angle";
    check("28 deg C", Quantity::Angle, "deg C", what, "write it in deg or rad");
}

#[test]
fn pressures_of_another_kind() {
    check(
        "12 psig",
        Quantity::AbsolutePressure,
        "psig",
        "\"12 psig\" is a gauge pressure, which does not fit an absolute pressure",
        "add the barometer to it and write \"abs\" after the unit",
    );
    check(
        "1.8 bar abs",
        Quantity::PressureDifference,
        "bar abs",
        "\"1.8 bar abs\" is an absolute pressure, which does not fit a pressure difference",
        "take the barometer off it, or take off the word for absolute",
    );
    check(
        "28 inH2O gauge",
        Quantity::PressureDifference,
        "inH2O gauge",
        "\"28 inH2O gauge\" is a gauge pressure, which does not fit a pressure difference",
        "take off the word for gauge; a difference needs none",
    );
}

#[test]
fn an_unknown_unit() {
    check(
        "5800 rmp",
        Quantity::EngineSpeed,
        "rmp",
        "\"rmp\" is not a unit of an engine speed",
        "did you mean rpm? fitting: rpm, rad/s or rev/s",
    );
    check(
        "50 furlong at 3 mm",
        Quantity::Length,
        "furlong",
        "\"furlong\" is not a unit of a length",
        &format!("write it in {LENGTHS}"),
    );
    check(
        "3 gal",
        Quantity::Volume,
        "gal",
        "\"gal\" is not a unit of a volume",
        "did you mean US.gal or imp.gal? fitting: cc, in3, L, m3, mm3, ft3, US.gal, US.qt or imp.gal",
    );
}

#[test]
fn no_number_at_all() {
    let hint = "write a length with its unit, such as \"50 mm\"";
    check("", Quantity::Length, "", "nothing is not a number", hint);
    check("long", Quantity::Length, "long", "\"long\" is not a number", hint);
    check("NaN mm", Quantity::Length, "NaN", "\"NaN\" is not a number", hint);
    check("5, mm", Quantity::Length, "mm", "\"mm\" is not a number", hint);
    check("x", Quantity::Ratio, "x", "\"x\" is not a number", "write a number such as 1.6");
}

#[test]
fn numbers_with_two_readings() {
    let what = |found: &str| format!("\"{found}\" can be read in more than one way");
    check(
        "1,234 mm",
        Quantity::Length,
        "1,234",
        &what("1,234"),
        "write 1.234 with a point, 1234 without a sign, or \"1, 234\" with a gap for two values",
    );
    check(
        "12,5 mm",
        Quantity::Length,
        "12,5",
        &what("12,5"),
        "write 12.5 with a point, 125 without a sign, or \"12, 5\" with a gap for two values",
    );
    check(
        "5\u{202f}800 rpm",
        Quantity::EngineSpeed,
        "5\u{202f}800",
        &what("5\u{202f}800"),
        "write 5800 without a gap, or a comma between two values",
    );
    let hint = "write 5800 without a sign";
    check("5'800 rpm", Quantity::EngineSpeed, "5'800", &what("5'800"), hint);
    let hint = "leave one decimal point";
    check("1.2.3 mm", Quantity::Length, "1.2.3", &what("1.2.3"), hint);
    assert!(parse_each("100,105,110 deg", Quantity::Angle).is_err());
    assert_eq!(parse_each("100, 105, 110 deg", Quantity::Angle).unwrap().len(), 3);
}

#[test]
fn numbers_that_cannot_be() {
    let hint = "check the exponent or the digits";
    check("1e999 mm", Quantity::Length, "1e999", "\"1e999\" is not a finite number", hint);
    check("1/0 in", Quantity::Length, "1/0", "\"1/0\" is not a finite number", hint);
    let hint = "check the sign and the unit";
    let what = "\"-500\" is below the zero of a temperature";
    check("-500 degC", Quantity::Temperature, "-500", what, hint);
    let what = "\"-1\" is below the zero of an absolute pressure";
    check("-1 bar", Quantity::AbsolutePressure, "-1", what, hint);
    let hint = "write a positive number, as in \"±0.5\"";
    check("5 ±0 mm", Quantity::Length, "0", "\"0\" is not a size for the ±", hint);
    check("5 ±-1 mm", Quantity::Length, "-1", "\"-1\" is not a size for the ±", hint);
    check("5 mm ±", Quantity::Length, "±", "\"±\" is not a size for the ±", hint);
}

#[test]
fn what_is_left_over() {
    let hint = "take it out, or say it in a note";
    let what = "\"long\" is left over after the value";
    check("50 mm long", Quantity::Length, "long", what, hint);
    let what = "\"at 3000 rpm\" is left over after the value";
    check("50 mm at 3000 rpm", Quantity::Length, "at 3000 rpm", what, hint);
    let what = "2 numbers where one is wanted";
    let hint = "leave one, or give one for each cylinder with `each`";
    check("50, 51 mm", Quantity::Length, ", 51", what, hint);
}

#[test]
fn a_fault_behind_at_has_its_place() {
    let what = "\"1.0 rpm\" is an engine speed, which does not fit a length";
    check("244 deg at 1.0 rpm", Quantity::Angle, "rpm", what, &format!("write it in {LENGTHS}"));
    let hint = format!("write \"1.0 mm\" or the like ({LENGTHS})");
    check("244° at 1.0", Quantity::Angle, "1.0", "\"1.0\" has no unit", &hint);
}
