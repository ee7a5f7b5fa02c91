//! How numbers look.

/// How a number is set: decimal sign, thousands, signs and gaps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NumberStyle {
    /// The decimal sign.
    pub decimal: char,
    /// What stands between groups of three digits before the decimal sign, if anything.
    pub group: Option<char>,
    /// True for a true minus, ± and a no-break space before the unit; false keeps minus and gap
    /// plain, as files have them.
    pub typeset: bool,
    /// True when only ASCII may come out: "+-" for ±.
    pub ascii: bool,
}

/// No-break space.
pub(crate) const NO_BREAK_SPACE: char = '\u{a0}';
/// Narrow no-break space.
const NARROW_NO_BREAK_SPACE: char = '\u{202f}';

impl NumberStyle {
    /// `1234.5`, as in engine files; reads back with [`crate::parse`].
    pub const FILE: NumberStyle =
        NumberStyle { decimal: '.', group: None, typeset: false, ascii: false };
    /// `1234.5` in ASCII only.
    pub const PLAIN: NumberStyle =
        NumberStyle { decimal: '.', group: None, typeset: false, ascii: true };
    /// `1,234.5`
    pub const COMMA_POINT: NumberStyle =
        NumberStyle { decimal: '.', group: Some(','), typeset: true, ascii: false };
    /// `1 234,5` with narrow no-break spaces.
    pub const SPACE_COMMA: NumberStyle = NumberStyle {
        decimal: ',',
        group: Some(NARROW_NO_BREAK_SPACE),
        typeset: true,
        ascii: false,
    };
    /// `1.234,5`
    pub const POINT_COMMA: NumberStyle =
        NumberStyle { decimal: ',', group: Some('.'), typeset: true, ascii: false };
    /// `1'234.5`
    pub const APOSTROPHE_POINT: NumberStyle =
        NumberStyle { decimal: '.', group: Some('\''), typeset: true, ascii: false };

    /// Returns `plain` (digits with at most one point and a leading hyphen) set in this style.
    pub(crate) fn set(&self, plain: &str) -> String {
        let (minus, digits) = match plain.strip_prefix('-') {
            Some(digits) => (if self.typeset { "−" } else { "-" }, digits),
            None => ("", plain),
        };
        let (whole, decimals) = digits.split_once('.').unwrap_or((digits, ""));
        let mut out = minus.to_owned();
        for (i, digit) in whole.chars().enumerate() {
            let left = whole.len() - i;
            if let Some(group) = self.group.filter(|_| i > 0 && left.is_multiple_of(3)) {
                out.push(group);
            }
            out.push(digit);
        }
        if !decimals.is_empty() {
            out.push(self.decimal);
            out.push_str(decimals);
        }
        out
    }

    /// Returns the gap before a unit.
    pub(crate) fn gap(&self) -> char {
        if self.typeset { NO_BREAK_SPACE } else { ' ' }
    }

    /// Returns the ± sign.
    pub(crate) fn plus_minus(&self) -> &'static str {
        if self.ascii { "+-" } else { "±" }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_set_as_the_shop_writes_them() {
        assert_eq!(NumberStyle::FILE.set("-1234567.5"), "-1234567.5");
        assert_eq!(NumberStyle::COMMA_POINT.set("-1234.5"), "−1,234.5");
        assert_eq!(NumberStyle::SPACE_COMMA.set("1234567.5"), "1\u{202f}234\u{202f}567,5");
        assert_eq!(NumberStyle::POINT_COMMA.set("123456"), "123.456");
        assert_eq!(NumberStyle::APOSTROPHE_POINT.set("1234.5"), "1'234.5");
        assert_eq!(NumberStyle::COMMA_POINT.set("123"), "123");
    }
}
