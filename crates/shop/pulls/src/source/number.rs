//! Numbers as logs print them.

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
/// Digits that always fit a 64-bit whole number.
const DIGITS: usize = 19;
/// Whole numbers up to here are exact in a double.
const EXACT: u64 = 1 << 53;

/// Reads digits from `at`; returns the place after them.
#[inline(always)]
fn digits(bytes: &[u8], mut at: usize, number: &mut u64) -> usize {
    while let Some(digit) = bytes.get(at).map(|byte| byte.wrapping_sub(b'0')).filter(|d| *d < 10) {
        *number = number.wrapping_mul(10).wrapping_add(u64::from(digit));
        at += 1;
    }
    at
}

/// Returns the number that begins at `at` and the place after it, rounded like the standard
/// library's; `None` where none begins there. Thousands separators are not looked for.
///
/// Up to 53 bits of digits and 22 places the quotient of two exact numbers is the nearest one
/// (Clinger 1990); everything else goes to the standard library.
#[inline]
pub fn scan(bytes: &[u8], at: usize, decimal: u8) -> Option<(f64, usize)> {
    let negative = bytes.get(at) == Some(&b'-');
    let start = at + usize::from(negative || bytes.get(at) == Some(&b'+'));
    let mut mantissa = 0;
    let mut end = digits(bytes, start, &mut mantissa);
    let mut count = end - start;
    let mut places = 0;
    if bytes.get(end) == Some(&decimal) {
        let after = digits(bytes, end + 1, &mut mantissa);
        places = after - end - 1;
        count += places;
        end = after;
    }
    if count == 0 {
        return None;
    }
    let exponent =
        matches!(bytes.get(end), Some(b'e' | b'E')).then(|| exponent_end(bytes, end + 1)).flatten();
    if let Some(power) = POWERS.get(places)
        && exponent.is_none()
        && count <= DIGITS
        && mantissa <= EXACT
    {
        let size = mantissa as f64 / power;
        return Some((if negative { -size } else { size }, end));
    }
    let end = exponent.unwrap_or(end);
    exact(&bytes[at..end], decimal).map(|value| (value, end))
}

/// Place after the digits of an exponent, or `None` where there are none.
fn exponent_end(bytes: &[u8], at: usize) -> Option<usize> {
    let start = at + usize::from(matches!(bytes.get(at), Some(b'+' | b'-')));
    let end = digits(bytes, start, &mut 0);
    (end > start).then_some(end)
}

fn exact(number: &[u8], decimal: u8) -> Option<f64> {
    let point = |byte: &u8| char::from(if *byte == decimal { b'.' } else { *byte });
    let value: f64 = number.iter().map(point).collect::<String>().parse().ok()?;
    value.is_finite().then_some(value)
}

/// What stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell<'a> {
    /// Nothing, or a mark for nothing.
    Missing,
    /// A number and what follows it, usually its unit.
    Number(f64, &'a str),
    /// Something else.
    Other,
}

/// Marks for "no value" that logs and spreadsheets write, in small letters.
const MISSING: [&str; 17] = [
    "", "-", "--", "---", "?", "*", "nan", "n/a", "#n/a", "na", "null", "none", "nil", "#value!",
    "#div/0!", "#null!", "nodata",
];

/// True for a mark that says "no value".
pub fn is_missing(cell: &str) -> bool {
    // "1.#QNAN" and "-1.#IND" are how an old C library prints "not a number".
    cell.len() <= 8 && MISSING.iter().any(|mark| cell.eq_ignore_ascii_case(mark))
        || cell.trim_start_matches('-').starts_with("1.#")
}

/// Reads a whole cell without quotes, slowly: marks, thousands separators, other minus signs and
/// spaces, and what follows the number.
pub fn read(cell: &str, decimal: u8) -> Cell<'_> {
    let cell = cell.trim();
    if is_missing(cell) {
        return Cell::Missing;
    }
    let (negative, body) = match cell.strip_prefix(['-', '\u{2212}', '\u{2013}']) {
        Some(body) => (true, body.trim_start()),
        None => (false, cell.strip_prefix('+').unwrap_or(cell)),
    };
    if !body.starts_with(|c: char| c.is_ascii_digit() || c == char::from(decimal)) {
        return Cell::Other;
    }
    let found = match grouped(body, decimal) {
        Some((plain, rest)) => scan(plain.as_bytes(), 0, decimal)
            .filter(|(_, end)| *end == plain.len())
            .map(|(size, _)| (size, rest)),
        None => {
            scan(body.as_bytes(), 0, decimal).and_then(|(size, end)| Some((size, body.get(end..)?)))
        }
    };
    match found {
        Some((size, rest)) => Cell::Number(if negative { -size } else { size }, rest.trim_start()),
        None => Cell::Other,
    }
}

/// True for a character that parts groups of three digits where `decimal` is the decimal sign.
fn parts_thousands(c: char, decimal: u8) -> bool {
    let sign = if decimal == b',' { '.' } else { ',' };
    c == sign || matches!(c, ' ' | '\'' | '\u{2019}' | '\u{A0}' | '\u{202F}' | '\u{2009}')
}

/// Returns a number without its thousands separators, and what follows it; `None` where the text
/// does not begin with one to three digits and then groups of three behind one and the same sign.
fn grouped(text: &str, decimal: u8) -> Option<(String, &str)> {
    let lead = text.bytes().take_while(u8::is_ascii_digit).count();
    let mut rest = text.get(lead..)?;
    let sign = rest.chars().next().filter(|c| parts_thousands(*c, decimal))?;
    if lead == 0 || lead > 3 {
        return None;
    }
    let mut plain = text.get(..lead)?.to_string();
    while let Some(group) = rest.strip_prefix(sign) {
        let size = group.bytes().take_while(u8::is_ascii_digit).count();
        if size != 3 {
            break;
        }
        plain.push_str(group.get(..3)?);
        rest = group.get(3..)?;
    }
    if plain.len() == lead || rest.starts_with(|c: char| c == sign && c != ' ') {
        return None;
    }
    if let Some(places) = rest.strip_prefix(char::from(decimal)) {
        let size = places.bytes().take_while(u8::is_ascii_digit).count();
        plain.push(char::from(decimal));
        plain.push_str(places.get(..size)?);
        rest = places.get(size..)?;
    }
    Some((plain, rest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(cell: &str, decimal: u8, expected: Cell<'_>) {
        assert_eq!(read(cell, decimal), expected, "{cell}");
    }

    #[test]
    fn numbers_are_read_in_either_convention() {
        check("4512.5", b'.', Cell::Number(4512.5, ""));
        check("4512,5", b',', Cell::Number(4512.5, ""));
        check("1,234.5", b'.', Cell::Number(1234.5, ""));
        check("1.234,5", b',', Cell::Number(1234.5, ""));
        check("1 234 567,5", b',', Cell::Number(1234567.5, ""));
        check("1'234.5", b'.', Cell::Number(1234.5, ""));
        check("1\u{202F}234", b'.', Cell::Number(1234.0, ""));
        check("\u{2212}3.5e-2", b'.', Cell::Number(-0.035, ""));
        check("+.5", b'.', Cell::Number(0.5, ""));
        check("5.", b'.', Cell::Number(5.0, ""));
        check("4500 rpm", b'.', Cell::Number(4500.0, "rpm"));
        check("98%", b'.', Cell::Number(98.0, "%"));
        check("123 456 rpm", b'.', Cell::Number(123456.0, "rpm"));
    }

    #[test]
    fn what_is_no_number_is_not_guessed_at() {
        check("12,34", b'.', Cell::Number(12.0, ",34"));
        check("1,23,456", b'.', Cell::Number(1.0, ",23,456"));
        check("fault", b'.', Cell::Other);
        check("-", b'.', Cell::Missing);
        check("#N/A", b'.', Cell::Missing);
        check("-1.#IND", b'.', Cell::Missing);
        check("inf", b'.', Cell::Other);
        check("1e999", b'.', Cell::Other);
    }

    proptest! {
        /// The standard library rounds correctly; every printed double must come back the same.
        #[test]
        fn every_printed_double_is_read_like_the_standard_library(bits: u64, places in 0_usize..25) {
            let value = f64::from_bits(bits);
            prop_assume!(value.is_finite());
            for text in [format!("{value}"), format!("{value:e}"), format!("{value:.places$}")] {
                let expected: f64 = text.parse().expect("printed by the library");
                let read = scan(text.as_bytes(), 0, b'.').expect("a number");
                prop_assert_eq!((read.0.to_bits(), read.1), (expected.to_bits(), text.len()));
            }
        }

        #[test]
        fn short_decimals_are_read_like_the_standard_library(whole: u32, places in 0_u32..1_000_000) {
            let text = format!("{whole}.{places}");
            let expected: f64 = text.parse().expect("a decimal");
            prop_assert_eq!(scan(text.as_bytes(), 0, b'.'), Some((expected, text.len())));
        }
    }
}
