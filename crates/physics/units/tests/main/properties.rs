//! Properties over any text and any number.
//!
//! `PROPTEST_CASES=200000 cargo test -p shortblock-units properties` is the long run.

use proptest::prelude::*;
use shortblock_units::{
    NumberStyle, Quantity, Trade, Unit, UnitChoice, UnitError, convert, format_styled,
    format_value, lead, parse, parse_each, parse_one_of, rounded_plus_minus, units_of,
};

fn quantity() -> impl Strategy<Value = Quantity> {
    prop::sample::select(Quantity::ALL.to_vec())
}

fn quantity_and_unit() -> impl Strategy<Value = (Quantity, &'static Unit)> {
    quantity()
        .prop_flat_map(|q| (Just(q), (0..units_of(q).len()).prop_map(move |i| &units_of(q)[i])))
}

/// Text that is nearly right: fragments of the grammar in any order.
fn near_miss() -> impl Strategy<Value = String> {
    let fragments = [
        "1",
        "234",
        "5.0",
        ".5",
        "1/2",
        "e5",
        "e-99999",
        ",",
        ", ",
        " ",
        "\u{2009}",
        "±",
        "+-",
        "+/-",
        "-",
        "−",
        "mm",
        "in",
        "deg",
        "deg C",
        "°",
        "at",
        " at ",
        "@",
        "of lifter",
        "%",
        "rpm",
        "lb",
        "ft",
        "·",
        ".",
        "N",
        "m",
        "psi",
        "g",
        "gauge",
        "abs",
        "/",
        "(",
        ")",
        "''",
        "'",
        "µ",
        "²",
        "٣",
        "🏁",
        "\u{0}",
        ":1",
        "\"",
        "1e400",
        "0",
        "H2O",
        "60F",
    ];
    prop::collection::vec(prop::sample::select(fragments.to_vec()), 0..12).prop_map(|f| f.concat())
}

fn check_place(text: &str, error: &UnitError) {
    let range = error.range();
    assert!(text.get(range.clone()).is_some(), "{text:?}: {range:?} in {error:?}");
    assert!(!error.what().is_empty() && !error.hint().is_empty());
}

fn read_in_every_way(text: &str, q: Quantity) {
    match parse(text, q) {
        Ok(m) => {
            assert!(m.si.is_finite() && m.plus_minus.is_none_or(f64::is_finite));
            assert_eq!(m.text, text);
        }
        Err(error) => check_place(text, &error),
    }
    match parse_each(text, q) {
        Ok(each) => assert!(!each.is_empty()),
        Err(error) => check_place(text, &error),
    }
    match lead(text, q) {
        Ok(lead) => assert!(text.get(lead.rest).is_some()),
        Err(error) => check_place(text, &error),
    }
    let _ = parse_one_of(text, &[q, Quantity::Length]);
    if let Err(error) = UnitChoice::default().with(text) {
        check_place(text, &error);
    }
}

/// Cases of a usual run; each takes some microseconds.
const CASES: u32 = 2000;

fn config() -> ProptestConfig {
    if std::env::var_os("PROPTEST_CASES").is_some() {
        ProptestConfig::default()
    } else {
        ProptestConfig::with_cases(CASES)
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn any_text_is_read_or_refused_with_its_place(text in any::<String>(), q in quantity()) {
        read_in_every_way(&text, q);
    }

    #[test]
    fn any_near_miss_is_read_or_refused_with_its_place(text in near_miss(), q in quantity()) {
        read_in_every_way(&text, q);
    }

    #[test]
    fn any_number_is_printed(
        (_, unit) in quantity_and_unit(), si in any::<f64>(), pm in any::<Option<f64>>()
    ) {
        for style in [NumberStyle::FILE, NumberStyle::PLAIN, NumberStyle::SPACE_COMMA] {
            prop_assert!(!format_styled(si, pm, unit, &style).is_empty());
        }
        prop_assert!(format_styled(si, pm, unit, &NumberStyle::PLAIN).is_ascii());
    }

    /// What was typed comes back to within half a step of the last place printed, and the printed
    /// text, read again, prints as itself.
    #[test]
    fn printed_values_read_back(
        (q, unit) in quantity_and_unit(),
        digits in 1u32..99_999,
        places in -6i32..3,
        pm in prop::option::of((1u32..999, -6i32..2)),
    ) {
        let number = f64::from(digits) * 10f64.powi(places);
        let spread = pm.map(|(d, p)| f64::from(d) * 10f64.powi(p));
        let sign = spread.map_or(String::new(), |s| format!(" ±{s}"));
        let typed = parse(&format!("{number}{sign} {}", unit.symbol), q).unwrap();
        prop_assert_eq!(typed.unit, unit);
        prop_assert!((typed.typed() - number).abs() <= 1e-9 * number.max(1.0));

        let printed = format_value(typed.si, typed.plus_minus, unit);
        let again = parse(&printed, q).unwrap();
        let half_step = match spread {
            Some(s) => 0.5 * 10f64.powi(-rounded_plus_minus(s).1),
            None => number * 5e-3,
        };
        prop_assert!((again.typed() - number).abs() <= half_step * 1.000_001 + 1e-9 * number.max(1.0));
        prop_assert_eq!(format_value(again.si, again.plus_minus, unit), printed);
    }

    #[test]
    fn a_plus_minus_moves_by_an_eighth_at_most(pm in 1e-9f64..1e9) {
        let (rounded, decimals) = rounded_plus_minus(pm);
        // The coarsest roundings are 3.545 (seen as 3.55) to 4, and 4.5 to 5.
        prop_assert!((rounded / pm - 1.0).abs() <= 4.0 / 3.545 - 1.0);
        let steps = rounded * 10f64.powi(decimals);
        prop_assert!((steps - steps.round()).abs() < 1e-6 && (0.99..=35.01).contains(&steps));
    }

    #[test]
    fn conversions_come_back((q, from) in quantity_and_unit(), i in 0usize..20, x in -1e6f64..1e6) {
        let to = &units_of(q)[i % units_of(q).len()];
        let back = convert(convert(x, from, to), to, from);
        // Temperature scales lose the rounding of their zero as well.
        let scale = x.abs() + (from.offset.abs() + to.offset.abs()) / from.factor;
        prop_assert!((back - x).abs() <= 16.0 * f64::EPSILON * scale, "{x} became {back}");
    }

    #[test]
    fn every_quantity_has_a_unit_to_show(q in quantity()) {
        for trade in [Trade::Metric, Trade::Inch, Trade::Both] {
            let shown = q.display_unit(trade);
            prop_assert!(units_of(q).contains(shown));
            let listed = UnitChoice::default().with(shown.symbol).unwrap();
            prop_assert_eq!(listed.unit_for(q), shown);
        }
    }
}
