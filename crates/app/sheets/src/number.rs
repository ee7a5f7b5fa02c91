//! Numbers as they are read: thousands apart, a true minus, the last place of the ±.

use shortblock_units::rounded_plus_minus;

/// `value` with `decimals` places, a comma between thousands and a true minus.
#[must_use]
pub fn plain_number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "not a number".to_owned();
    }
    let digits = format!("{:.*}", decimals, value.abs());
    let (whole, rest) = digits.split_at(digits.find('.').unwrap_or(digits.len()));
    let mut grouped = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    let is_zero = digits.chars().all(|c| matches!(c, '0' | '.'));
    let sign = if value < 0.0 && !is_zero { "−" } else { "" };
    format!("{sign}{grouped}{rest}")
}

/// `value` in `unit` to the last place of its ±, as in `328.3 ±2.2 hp` or `338 ±9 hp`.
///
/// Without a ± at most three figures are given and the reader is told:
/// `338 hp (± not known)`.
#[must_use]
pub fn quantity_text(value: f64, plus_minus: Option<f64>, unit: &str) -> String {
    match plus_minus.filter(|pm| pm.is_finite() && *pm > 0.0) {
        Some(pm) => {
            let (rounded, places) = rounded_plus_minus(pm);
            let step = 10_f64.powi(-places);
            let decimals = usize::try_from(places).unwrap_or(0);
            let value = plain_number((value / step).round() * step, decimals);
            format!("{value} ±{} {unit}", plain_number(rounded, decimals))
        }
        None => {
            let (step, decimals) = third_figure(value);
            format!(
                "{} {unit} (± not known)",
                plain_number((value / step).round() * step, decimals)
            )
        }
    }
}

fn third_figure(value: f64) -> (f64, usize) {
    let power = if value == 0.0 { 0 } else { value.abs().log10().floor() as i32 };
    let place = power - 2;
    (10_f64.powi(place), usize::try_from(-place).unwrap_or(0))
}

/// Engine speed for reading, rpm to the nearest 50: `8,150`.
pub(crate) fn read_rpm(rpm: f64) -> String {
    plain_number((rpm / 50.0).round() * 50.0, 0)
}

#[cfg(test)]
mod tests {
    use super::{plain_number, quantity_text};

    #[test]
    fn thousands_and_minus() {
        assert_eq!(plain_number(1_234_567.891, 1), "1,234,567.9");
        assert_eq!(plain_number(-950.0, 0), "−950");
        assert_eq!(plain_number(-0.04, 1), "0.0");
        assert_eq!(plain_number(f64::NAN, 1), "not a number");
    }

    #[test]
    fn rounded_to_the_last_place_of_the_plus_minus() {
        // Worked examples of the rule's authors, from memory: 0.827 ±0.119 → 0.83 ±0.12,
        // 0.827 ±0.367 → 0.8 ±0.4.
        assert_eq!(quantity_text(0.827, Some(0.119), "hp"), "0.83 ±0.12 hp");
        assert_eq!(quantity_text(0.827, Some(0.367), "hp"), "0.8 ±0.4 hp");
        assert_eq!(quantity_text(328.34, Some(2.2), "hp"), "328.3 ±2.2 hp");
        assert_eq!(quantity_text(337.6, Some(9.0), "hp"), "338 ±9 hp");
        assert_eq!(quantity_text(337.6, Some(9.7), "hp"), "338 ±10 hp");
        assert_eq!(quantity_text(1337.6, Some(120.0), "hp"), "1,340 ±120 hp");
    }

    #[test]
    fn no_plus_minus_no_more_than_three_figures() {
        assert_eq!(quantity_text(337.62, None, "hp"), "338 hp (± not known)");
        assert_eq!(quantity_text(1234.0, Some(0.0), "hp"), "1,230 hp (± not known)");
        assert_eq!(quantity_text(0.0, None, "hp"), "0.00 hp (± not known)");
    }
}
