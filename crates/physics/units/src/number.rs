//! Reading one number at the head of a text.

/// A number as it stands at the head of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Number {
    /// Its value; may be infinite when there are too many digits before the point.
    pub value: f64,
    /// The size of one step of its last digit.
    pub last_place: f64,
    /// Bytes it takes up.
    pub length: usize,
    /// True when it has neither point, fraction nor exponent.
    pub whole: bool,
}

/// Returns the length of the run of ASCII digits at the head.
pub(crate) fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// True for the signs that stand for minus: hyphen, true minus, en dash, small and full-width ones.
pub(crate) fn is_minus(c: char) -> bool {
    matches!(c, '-' | '−' | '–' | '‐' | '‑' | '﹣' | '\u{ff0d}')
}

/// Reads `[sign] digits [.digits] [e[sign]digits]`, `.digits` or `whole/whole`; `None` when no
/// number stands at the head. No thousands signs, no decimal comma, no "inf" or "nan".
pub(crate) fn read(text: &str) -> Option<Number> {
    let sign = text.chars().next()?;
    let negative = is_minus(sign);
    let sign_length = if negative || sign == '+' { sign.len_utf8() } else { 0 };
    let unsigned = &text[sign_length..];
    let body = unsigned.trim_start();
    let gap = unsigned.len() - body.len();
    let number = read_unsigned(body)?;
    let value = if negative { -number.value } else { number.value };
    Some(Number { value, length: sign_length + gap + number.length, ..number })
}

fn read_unsigned(body: &str) -> Option<Number> {
    let whole = digits(body);
    let point = body[whole..].starts_with('.');
    let decimals = if point { digits(&body[whole + 1..]) } else { 0 };
    if whole + decimals == 0 {
        return None;
    }
    let mut length = whole + usize::from(point) + decimals;
    if !point && let Some(fraction) = read_fraction(body, whole) {
        return Some(fraction);
    }
    let exponent = exponent_length(&body[length..]);
    length += exponent;
    let text = &body[..length];
    let power: i32 = text[length - exponent..].get(1..).and_then(|e| e.parse().ok()).unwrap_or(0);
    let places = i32::try_from(decimals).unwrap_or(i32::MAX);
    Some(Number {
        value: text.parse().ok()?,
        last_place: 10f64.powi(power.saturating_sub(places)),
        length,
        whole: !point && exponent == 0,
    })
}

/// Reads `11/32`: the trade in inches writes small sizes that way.
fn read_fraction(body: &str, top: usize) -> Option<Number> {
    let below = body[top..].strip_prefix('/')?;
    let bottom = digits(below);
    if bottom == 0 {
        return None;
    }
    let divisor: f64 = below[..bottom].parse().ok()?;
    let value = body[..top].parse::<f64>().ok()? / divisor;
    let length = top + 1 + bottom;
    Some(Number { value, last_place: 1.0 / divisor, length, whole: false })
}

fn exponent_length(text: &str) -> usize {
    let Some(rest) = text.strip_prefix(['e', 'E']) else { return 0 };
    let sign = usize::from(rest.starts_with(['+', '-']));
    match digits(&rest[sign..]) {
        0 => 0,
        n => 1 + sign + n,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, value: f64, last_place: f64, length: usize) {
        let n = read(text).unwrap();
        assert_eq!((n.value, n.length), (value, length), "{text}");
        assert!((n.last_place / last_place - 1.0).abs() < 1e-12, "{text}: {}", n.last_place);
    }

    #[test]
    fn numbers_of_the_trade_are_read() {
        check("4.0305 in", 4.0305, 1e-4, 6);
        check(".050 in", 0.05, 1e-3, 4);
        check("−5.0 cc", -5.0, 0.1, 6);
        check("- 5 cc", -5.0, 1.0, 3);
        check("11/32 in", 0.34375, 1.0 / 32.0, 5);
        check("1.2e-5 m", 1.2e-5, 1e-6, 6);
        check("5eggs", 5.0, 1.0, 1);
        check("7000 1/min", 7000.0, 1.0, 4);
    }

    #[test]
    fn words_are_not_numbers() {
        for text in ["", "-", "inf", "NaN", ".", "e5", "mm", "±5", "٣"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn monstrous_numbers_do_not_panic() {
        assert!(read("1e99999999999").unwrap().value.is_infinite());
        assert!(read("1/0").unwrap().value.is_infinite());
        assert!(read(&"9".repeat(500)).unwrap().value.is_infinite());
    }
}
