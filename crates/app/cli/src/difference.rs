//! Differences as they are said: with their sign, to the last place of their ±, and what they tell.

use shortblock_plan::Figure;
use shortblock_sheets::{plain_number, plus_minus_column};
use shortblock_units::{Unit, rounded_plus_minus};

/// What stands where two builds do not differ at all.
const NONE: &str = "none";

/// What a difference tells: `more`, `less`, `can't tell` where its ± covers zero, `none` where there
/// is none at all; nothing without a ±.
pub fn tells(figure: &Figure) -> Option<&'static str> {
    let plus_minus = figure.plus_minus?;
    Some(match figure.value {
        value if value == 0.0 && plus_minus == 0.0 => NONE,
        value if value.abs() <= plus_minus => "can't tell",
        value if value > 0.0 => "more",
        _ => "less",
    })
}

/// A difference with its sign and ±, without unit: `+8.1 ±3.9`.
pub fn signed(figure: &Figure, unit: &Unit) -> String {
    let value = unit.span_from_si(figure.value);
    match figure.plus_minus.map(|pm| unit.span_from_si(pm)).filter(|pm| *pm > 0.0) {
        Some(pm) => {
            let (rounded, places) = rounded_plus_minus(pm);
            let step = 10_f64.powi(-places);
            let places = usize::try_from(places).unwrap_or(0);
            let value = plain_number((value / step).round() * step, places);
            format!("{} ±{}", with_sign(value), plain_number(rounded, places))
        }
        None => with_sign(plain_number(value, if value.abs() < 9.95 { 1 } else { 0 })),
    }
}

/// Differences (SI) below each other, as many decimals as the smallest ± asks for.
pub fn signed_column(figures: &[Figure], unit: &Unit) -> Vec<String> {
    let values: Vec<f64> = figures.iter().map(|f| unit.span_from_si(f.value)).collect();
    let pm: Vec<Option<f64>> =
        figures.iter().map(|f| f.plus_minus.map(|pm| unit.span_from_si(pm))).collect();
    let cells = plus_minus_column(&values, &pm).into_iter().zip(figures);
    let cell = |(cell, figure): (String, &Figure)| match tells(figure) {
        Some(NONE) => NONE.to_owned(),
        _ => with_sign(cell),
    };
    cells.map(cell).collect()
}

/// A plus before what is above zero as it is printed.
fn with_sign(number: String) -> String {
    let value = number.split_whitespace().next().unwrap_or_default();
    let above = !value.starts_with('−') && value.contains(|c: char| ('1'..='9').contains(&c));
    if above { format!("+{number}") } else { number }
}

#[cfg(test)]
mod tests {
    use super::*;
    use shortblock_units::{Quantity, unit};

    fn figure(value: f64, plus_minus: Option<f64>) -> Figure {
        Figure { value, plus_minus }
    }

    #[test]
    fn a_difference_tells_only_what_its_plus_minus_allows() {
        assert_eq!(tells(&figure(3.0, Some(2.0))), Some("more"));
        assert_eq!(tells(&figure(-3.0, Some(2.0))), Some("less"));
        assert_eq!(tells(&figure(-2.0, Some(2.0))), Some("can't tell"));
        assert_eq!(tells(&figure(0.0, Some(0.0))), Some("none"));
        assert_eq!(tells(&figure(3.0, None)), None);
    }

    #[test]
    fn a_difference_has_its_sign_and_the_last_place_of_its_plus_minus() {
        let nm = unit(Quantity::Torque, "N.m").unwrap();
        let said = |value, pm| signed(&figure(value, pm), nm);
        assert_eq!(said(8.13, Some(3.91)), "+8 ±4");
        assert_eq!(said(8.13, Some(2.2)), "+8.1 ±2.2");
        assert_eq!(said(-8.13, Some(2.2)), "−8.1 ±2.2");
        assert_eq!(said(0.01, Some(2.2)), "0.0 ±2.2");
        assert_eq!(said(138.0, Some(120.0)), "+140 ±120");
        assert_eq!(said(12.3, None), "+12");
        assert_eq!(said(-1.26, None), "−1.3");
    }

    #[test]
    fn columns_of_differences_say_none_where_there_is_none() {
        let nm = unit(Quantity::Torque, "N.m").unwrap();
        let same = figure(0.0, Some(0.0));
        let column = signed_column(&[figure(8.13, Some(2.2)), figure(-0.4, Some(13.0)), same], nm);
        assert_eq!(column, ["+8.1 ±2.2 ", "−0.4 ±13.0", "none"]);
        assert_eq!(signed_column(&[same, same], nm), ["none", "none"]);
    }
}
