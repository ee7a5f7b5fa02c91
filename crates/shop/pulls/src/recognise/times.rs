//! A scale within a heading or unit: `RPM x1000`, `rpm/1000`, `1000/min`, `krpm`, `Lambda x 100`.
//!
//! People mean both by it: that the numbers are to be multiplied, and that they were. Which of the two
//! holds is told by the numbers.

use super::expected;
use super::scale::{Scale, Written, written};
use crate::channel::Channel;
use std::borrow::Cow;

/// The scales that are looked for; a longer one before its beginning.
const SCALES: [(&str, f64); 5] =
    [("1000", 1e3), ("10^3", 1e3), ("1e3", 1e3), ("100", 1e2), ("10", 1e1)];
/// Signs that stand before one.
const SIGNS: [char; 5] = ['x', 'X', '×', '*', '/'];

/// A text without its scale, and the scale.
pub(crate) fn apart(text: &str) -> Option<(String, f64)> {
    let bare = text.trim();
    if let Some(unit) = ["krpm", "kRPM", "k rpm"].into_iter().find(|k| bare.ends_with(k)) {
        return Some((format!("{}rpm", &bare[..bare.len() - unit.len()]), 1e3));
    }
    leading(bare).or_else(|| signed(bare))
}

/// `1000/min`, `1000 rpm`.
fn leading(text: &str) -> Option<(String, f64)> {
    let rest = text.strip_prefix("1000")?;
    match rest.chars().next()? {
        '/' => Some((format!("1{rest}"), 1e3)),
        ' ' => Some((rest.trim().to_owned(), 1e3)),
        _ => None,
    }
}

/// A sign and one of the scales, which ends there.
fn signed(text: &str) -> Option<(String, f64)> {
    for (at, sign) in text.char_indices().filter(|(_, c)| SIGNS.contains(c)) {
        let (before, rest) = (&text[..at], text[at + sign.len_utf8()..].trim_start());
        let part_of_word = sign.eq_ignore_ascii_case(&'x')
            && before.chars().next_back().is_some_and(char::is_alphanumeric);
        // "1/10" and "bank 1/10" are no scales; "rpm/1000" and "rpm / 1000" are.
        let few = sign == '/' && !before.trim_end().ends_with(char::is_alphabetic);
        let Some((scale, factor)) = SCALES.iter().find(|(s, _)| rest.starts_with(s)) else {
            continue;
        };
        let after = &rest[scale.len()..];
        let ends = after.chars().next().is_none_or(|c| !c.is_alphanumeric() && c != '.');
        if ends && !part_of_word && !few {
            let rest = format!("{} {}", before.trim_end(), after.trim_start());
            let rest =
                rest.replace("( ", "(").replace(" )", ")").replace("[ ", "[").replace(" ]", "]");
            let rest = rest.replace("()", "").replace("[]", "");
            return Some((rest.trim().to_owned(), *factor));
        }
    }
    None
}

/// What the numbers of a column are to be multiplied by so that they are usual for a channel: by the
/// scale that was written, one over it, or one. The scale as written where none is or several are.
pub(crate) fn factor(channel: Channel, unit: &str, values: &[f64], scale: f64) -> f64 {
    let Some(expected) = expected::of(channel) else { return 1.0 };
    let mut finite: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    let middle = super::power::median(&mut finite);
    let given = match written(channel, unit) {
        Written::Fits(scale, _) => vec![scale],
        _ => expected.units.iter().filter_map(|u| of_unit(channel, u)).collect(),
    };
    let usual = |f: &f64| given.iter().any(|s| expected.middle.contains(&s.to_si(middle * f)));
    let fits: Vec<f64> = [scale, 1.0 / scale, 1.0].into_iter().filter(usual).collect();
    match fits[..] {
        [only] => only,
        _ => scale,
    }
}

fn of_unit(channel: Channel, symbol: &str) -> Option<Scale> {
    shortblock_units::unit(channel.quantity()?, symbol).map(Scale::Unit)
}

/// Values times a factor; as they are where it is one.
pub(crate) fn multiplied(values: &[f64], factor: f64) -> Cow<'_, [f64]> {
    if factor == 1.0 {
        return Cow::Borrowed(values);
    }
    Cow::Owned(values.iter().map(|v| v * factor).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_parted_from_headings_and_units() {
        let check = |text: &str, rest: &str, scale: f64| {
            assert_eq!(apart(text), Some((rest.to_owned(), scale)), "{text}");
        };
        check("RPM x1000", "RPM", 1e3);
        check("RPM (x1000)", "RPM", 1e3);
        check("Engine Speed (rpm x 1000)", "Engine Speed (rpm)", 1e3);
        check("Drehzahl [1/min*1000]", "Drehzahl [1/min]", 1e3);
        check("rpm/1000", "rpm", 1e3);
        check("1000/min", "1/min", 1e3);
        check("1000 rpm", "rpm", 1e3);
        check("krpm", "rpm", 1e3);
        check("x1000", "", 1e3);
        check("Lambda x 100", "Lambda", 1e2);
        for none in
            ["EGT 10", "max 10", "Bank 1/10", "Mux 1000", "Aux10", "kg/h", "x1", "RPM", "x100.5"]
        {
            assert_eq!(apart(none), None, "{none}");
        }
    }

    #[test]
    fn the_numbers_tell_which_way_a_scale_goes() {
        let factor = |channel, unit, values: &[f64], scale| factor(channel, unit, values, scale);
        assert_eq!(factor(Channel::EngineSpeed, "", &[2.5, 4.5, 6.5], 1e3), 1e3);
        assert_eq!(factor(Channel::EngineSpeed, "rpm", &[2500.0, 4500.0], 1e3), 1.0);
        assert_eq!(factor(Channel::Lambda(0), "", &[86.0, 88.0, 90.0], 1e2), 1e-2);
    }
}
