//! Printing a value to the last place that is known.
//!
//! With a ±, the value stops at the last place of the ±. The ± itself is rounded to at most two
//! figures (JCGM 100:2008 (GUM), 7.2.6, from memory): two figures when it begins with 10 to 35, one
//! when it begins with 36 to 94, so that ±2.2 stays and ±9.1 becomes ±9. The limits are those of the
//! Particle Data Group, Review of Particle Physics, Introduction, "Rounding" (from memory).
//! Without a ±, at most three figures are shown.

use crate::style::NumberStyle;
use crate::unit::Unit;

/// Figures shown when no ± is known.
const FIGURES_WITHOUT_PLUS_MINUS: i32 = 3;
/// Figures beyond which two values are one: the rest is rounding.
const MOST_FIGURES: i32 = 10;
/// From here on (and below its inverse) a number is set with a power of ten.
const TOO_LONG: f64 = 1e12;
/// The most decimals ever shown.
const MOST_DECIMALS: i32 = 15;
/// Below this three-figure head a ± keeps two figures (Particle Data Group, from memory).
const TWO_FIGURES_BELOW: f64 = 3.55;

/// Returns value and ± as text in `unit`: `328.3 ±2.2 hp`, `338 ±9 hp`, and without a ± `328 hp`.
///
/// `si` and `plus_minus` are in SI. The text reads back with [`crate::parse`]; a value that is not
/// finite gives "no value". A ± that is not positive and finite counts as not known.
pub fn format_value(si: f64, plus_minus: Option<f64>, unit: &Unit) -> String {
    format_styled(si, plus_minus, unit, &NumberStyle::FILE)
}

/// Returns value and ± as text in `unit` and in this style; see [`format_value`].
pub fn format_styled(si: f64, plus_minus: Option<f64>, unit: &Unit, style: &NumberStyle) -> String {
    let value = unit.from_si(si);
    let spread =
        plus_minus.map(|pm| unit.span_from_si(pm)).filter(|pm| pm.is_finite() && *pm > 0.0);
    let Some(spread) = spread.filter(|_| value.is_finite()) else {
        return with_figures(value, FIGURES_WITHOUT_PLUS_MINUS, unit, style);
    };
    let (number, spread) = match rounded_plus_minus(spread) {
        (pm, decimals) if is_handy(pm) && value.abs() < TOO_LONG => {
            let pm = style.set(&to_places(pm, decimals));
            (style.set(&to_places(value, decimals)), format!(" {}{pm}", style.plus_minus()))
        }
        (pm, _) => (format!("{value:e}"), format!(" {}{pm:e}", style.plus_minus())),
    };
    format!("{number}{spread}{}", symbol(unit, style))
}

/// A value in `unit` to so many figures.
fn with_figures(value: f64, figures: i32, unit: &Unit, style: &NumberStyle) -> String {
    match value.is_finite() {
        true => style.set(&to_figures(value, figures)) + &symbol(unit, style),
        false => "no value".to_owned(),
    }
}

/// The unit's symbol behind its gap; empty for none.
fn symbol(unit: &Unit, style: &NumberStyle) -> String {
    let symbol = if style.typeset { unit.pretty() } else { unit.symbol.replace("US.", "US ") };
    if symbol.is_empty() { symbol } else { format!("{}{symbol}", style.gap()) }
}

/// Returns two values as text in `unit` and in this style, to three figures each, or to as many more
/// (nine at most) as it takes to read them apart. Values that are the same read the same.
pub fn format_apart(a: f64, b: f64, unit: &Unit, style: &NumberStyle) -> (String, String) {
    let set = |figures: i32| {
        let text = |si: f64| with_figures(unit.from_si(si), figures, unit, style);
        (text(a), text(b))
    };
    let apart = (FIGURES_WITHOUT_PLUS_MINUS..MOST_FIGURES).map(set).find(|(a, b)| a != b);
    apart.unwrap_or_else(|| set(FIGURES_WITHOUT_PLUS_MINUS))
}

/// Returns a ± rounded to at most two figures, and the number of decimals that leaves (negative:
/// tens, hundreds). `plus_minus` must be positive and finite; else it comes back as it is with 0.
pub fn rounded_plus_minus(plus_minus: f64) -> (f64, i32) {
    if !(plus_minus.is_finite() && plus_minus > 0.0) {
        return (plus_minus, 0);
    }
    let order = plus_minus.log10().floor() as i32;
    // A head of three figures, so that 3.549 and 3.551 do not hang on the last bit.
    let head = (plus_minus / 10f64.powi(order) * 100.0).round() / 100.0;
    // A head of 9.5 and more rounds up to 10 and so has two figures again, as the source wants.
    let decimals = if head < TWO_FIGURES_BELOW { 1 - order } else { -order };
    (round_to(plus_minus, decimals), decimals)
}

/// Rounds to a number of decimals, which may be negative.
fn round_to(value: f64, decimals: i32) -> f64 {
    if decimals >= 0 {
        let step = 10f64.powi(decimals);
        (value * step).round() / step
    } else {
        let step = 10f64.powi(-decimals);
        (value / step).round() * step
    }
}

fn is_handy(value: f64) -> bool {
    (1.0 / TOO_LONG..TOO_LONG).contains(&value.abs())
}

/// Digits of `value` to this many decimals, with no "-0".
fn to_places(value: f64, decimals: i32) -> String {
    let shown = decimals.clamp(0, MOST_DECIMALS) as usize;
    let value = if decimals < 0 { round_to(value, decimals) } else { value };
    let text = format!("{value:.shown$}");
    let is_zero = text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

fn to_figures(value: f64, figures: i32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    // Scientific form rounds to the figures first, so 999.6 is seen as 1.00e3.
    let rounded = format!("{value:.*e}", (figures - 1).max(0) as usize);
    if !is_handy(value) {
        return rounded;
    }
    let order: i32 = rounded.split_once('e').and_then(|(_, e)| e.parse().ok()).unwrap_or(0);
    to_places(value, figures - 1 - order)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Quantity, unit};

    fn hp(value: f64, pm: Option<f64>) -> String {
        let hp = unit(Quantity::Power, "hp").unwrap();
        format_value(hp.to_si(value), pm.map(|x| hp.span_to_si(x)), hp)
    }

    #[test]
    fn a_value_stops_at_the_last_place_of_its_plus_minus() {
        assert_eq!(hp(328.31, Some(2.2)), "328.3 ±2.2 hp");
        assert_eq!(hp(338.4, Some(9.0)), "338 ±9 hp");
        assert_eq!(hp(338.4, Some(9.4)), "338 ±9 hp");
        assert_eq!(hp(338.4, Some(9.6)), "338 ±10 hp");
        assert_eq!(hp(338.4, Some(23.0)), "338 ±23 hp");
        assert_eq!(hp(338.4, Some(230.0)), "340 ±230 hp");
        assert_eq!(hp(0.01, Some(0.2)), "0.01 ±0.20 hp");
        assert_eq!(hp(-0.001, Some(0.2)), "0.00 ±0.20 hp");
    }

    #[test]
    fn without_a_plus_minus_three_figures_are_shown() {
        assert_eq!(hp(328.31, None), "328 hp");
        assert_eq!(hp(10.95, None), "10.9 hp");
        assert_eq!(hp(999.6, None), "1000 hp");
        assert_eq!(hp(5837.0, None), "5840 hp");
        assert_eq!(hp(0.05, None), "0.0500 hp");
        assert_eq!(hp(0.0, None), "0 hp");
    }

    #[test]
    fn values_that_are_not_the_same_read_apart() {
        let hp = unit(Quantity::Power, "hp").unwrap();
        let apart =
            |a: f64, b: f64| format_apart(hp.to_si(a), hp.to_si(b), hp, &NumberStyle::COMMA_POINT);
        let read = |a: &str, b: &str| (format!("{a}\u{a0}hp"), format!("{b}\u{a0}hp"));
        assert_eq!(apart(900.0, 1000.0), read("900", "1,000"));
        assert_eq!(apart(1002.3, 1000.0), read("1,002", "1,000"));
        assert_eq!(apart(1000.3, 1000.0), read("1,000.3", "1,000.0"));
        assert_eq!(apart(1000.0, 1000.0), read("1,000", "1,000"));
        assert_eq!(apart(1000.0 + 1e-9, 1000.0), read("1,000", "1,000"));
    }

    /// JCGM 100:2008, 7.2.6: "in the uncertainty of 10.47 m... u(y) = 27 mO" and its like: the
    /// example y = 10.057 62 ohm with u = 27 mohm is to be given as 10.058 ohm (from memory).
    #[test]
    fn gum_example_of_rounding() {
        let (pm, decimals) = rounded_plus_minus(0.027);
        assert_eq!((pm, decimals), (0.027, 3));
        assert_eq!(to_places(10.057_62, decimals), "10.058");
    }

    /// Particle Data Group, Introduction (from memory): 0.827 ± 0.119 becomes 0.83 ± 0.12, and
    /// 0.827 ± 0.367 becomes 0.8 ± 0.4.
    #[test]
    fn particle_data_group_examples_of_rounding() {
        for (pm, value, shown) in [(0.119, "0.83", 0.12), (0.367, "0.8", 0.4)] {
            let (rounded, decimals) = rounded_plus_minus(pm);
            assert_eq!(rounded, shown);
            assert_eq!(to_places(0.827, decimals), value);
        }
    }

    #[test]
    fn styles_change_looks_only() {
        let nm = unit(Quantity::Torque, "N.m").unwrap();
        let set = |style| format_styled(-1234.56, Some(2.2), nm, &style);
        assert_eq!(set(NumberStyle::COMMA_POINT), "−1,234.6 ±2.2\u{a0}N·m");
        assert_eq!(set(NumberStyle::POINT_COMMA), "−1.234,6 ±2,2\u{a0}N·m");
        assert_eq!(set(NumberStyle::PLAIN), "-1234.6 +-2.2 N.m");
    }

    #[test]
    fn what_is_no_number_says_so() {
        assert_eq!(hp(f64::NAN, None), "no value");
        assert_eq!(hp(f64::INFINITY, Some(1.0)), "no value");
        assert_eq!(hp(5.0, Some(f64::NAN)), "5.00 hp");
        assert_eq!(hp(1e300, None), "1.00e300 hp");
    }
}
