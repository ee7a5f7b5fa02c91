//! Splitting a text into numbers, ±, unit and rest, with the place of every fault.

use std::ops::Range;

use crate::error::UnitError;
use crate::measure::{PlusMinus, plus_minus_sign};
use crate::number::{self, Number};
use crate::quantity::Quantity;
use crate::spelling::{find, kinds_of, nearest};
use crate::unit::Unit;

/// The most words in the spelling of a unit, as in "pounds per square inch".
const UNIT_WORDS: usize = 5;
/// Words that close a unit, so that "50 furlong at 3 mm" complains about "furlong" alone.
const CLOSING_WORDS: [&str; 13] = [
    "at", "below", "above", "from", "to", "between", "over", "under", "of", "with", "by", "and",
    "or",
];

/// The parts of a value.
pub(crate) struct Scanned {
    /// The numbers and their places, at least one.
    pub numbers: Vec<(Number, Range<usize>)>,
    /// The ±, if any.
    pub plus_minus: Option<PlusMinus>,
    /// The unit, of the wanted quantity.
    pub unit: &'static Unit,
    /// Where the value ends.
    pub end: usize,
}

impl Scanned {
    /// Where the last number ends.
    pub fn numbers_end(&self) -> usize {
        self.numbers.last().map_or(0, |(_, place)| place.end)
    }
}

/// Reads the value at the head of `text`; what follows it is not looked at.
pub(crate) fn scan(text: &str, wanted: Quantity) -> Result<Scanned, UnitError> {
    let numbers = read_numbers(text, wanted)?;
    let (first, last) = (numbers[0].1.start, numbers[numbers.len() - 1].1.end);
    let mut end = last;
    let mut plus_minus = read_plus_minus(text, &mut end)?;
    if let Some(PlusMinus::Size(percent)) = plus_minus
        && takes_per_cent(&text[end..], wanted)
    {
        end = skip_blanks(text, end) + '%'.len_utf8();
        plus_minus = Some(PlusMinus::Share(percent / 100.0));
    }
    let (unit, unit_end) = read_unit(text, first..last, end, wanted)?;
    end = unit_end;
    if plus_minus.is_none() {
        plus_minus = read_plus_minus(text, &mut end)?;
        if let Some(PlusMinus::Size(size)) = plus_minus {
            plus_minus = Some(read_plus_minus_unit(text, &mut end, unit, wanted, size));
        }
    }
    Ok(Scanned { numbers, plus_minus, unit, end })
}

/// Returns the text after `word` when it stands at the head as a whole word.
pub(crate) fn after_word<'t>(text: &'t str, word: &str) -> Option<&'t str> {
    text.strip_prefix(word).filter(|rest| rest.starts_with(|c: char| !c.is_alphanumeric()))
}

fn skip_blanks(text: &str, from: usize) -> usize {
    text.len() - text[from..].trim_start().len()
}

fn read_numbers(text: &str, wanted: Quantity) -> Result<Vec<(Number, Range<usize>)>, UnitError> {
    let mut numbers = Vec::new();
    let mut at = skip_blanks(text, 0);
    loop {
        let Some(number) = number::read(&text[at..]) else {
            let range = at..at + token(&text[at..]).len();
            return Err(UnitError::NotANumber {
                found: text[range.clone()].to_owned(),
                wanted,
                range,
            });
        };
        let place = at..at + number.length;
        refuse_two_readings(text, &place, number.whole)?;
        let next = skip_blanks(text, place.end);
        let listed = text[next..].starts_with(',');
        numbers.push((number, place));
        if !listed {
            return Ok(numbers);
        }
        at = skip_blanks(text, next + 1);
    }
}

/// Refuses `1,234`, `12,5`, `1 234`, `1'234` and `1.2.3`: each can mean several things.
fn refuse_two_readings(text: &str, place: &Range<usize>, whole: bool) -> Result<(), UnitError> {
    let rest = &text[place.end..];
    let Some(sign) = rest.chars().next() else { return Ok(()) };
    let after = &rest[sign.len_utf8()..];
    let close = number::digits(after);
    let typed = &text[place.clone()];
    let run = || {
        let fits = |c: char| c.is_ascii_digit() || matches!(c, ',' | '.' | '\'' | '’') || c == sign;
        let length = rest.find(|c| !fits(c)).unwrap_or(rest.len());
        let range =
            place.start..place.start + text[place.start..place.end + length].trim_end().len();
        (text[range.clone()].to_owned(), range)
    };
    let next: String = after.chars().take(close).collect();
    let remedy = match sign {
        ',' if whole && close > 0 => format!(
            "write {typed}.{next} with a point, {typed}{next} without a sign, or \
             \"{typed}, {next}\" with a gap for two values"
        ),
        '\'' | '’' if close > 0 => format!("write {typed}{next} without a sign"),
        '.' if close > 0 => "leave one decimal point".to_owned(),
        c if c.is_whitespace() && close == 3 && !after[3..].starts_with('/') => {
            format!("write {typed}{next} without a gap, or a comma between two values")
        }
        _ => return Ok(()),
    };
    let (found, range) = run();
    Err(UnitError::Ambiguous { found, remedy, range })
}

/// Reads a ± sign and its number, when there is one, and moves `end` past them.
fn read_plus_minus(text: &str, end: &mut usize) -> Result<Option<PlusMinus>, UnitError> {
    let sign_at = skip_blanks(text, *end);
    let Some(length) = plus_minus_sign(&text[sign_at..]) else { return Ok(None) };
    let at = skip_blanks(text, sign_at + length);
    match number::read(&text[at..]) {
        Some(n) if n.value > 0.0 && n.value.is_finite() => {
            refuse_two_readings(text, &(at..at + n.length), n.whole)?;
            *end = at + n.length;
            Ok(Some(PlusMinus::Size(n.value)))
        }
        _ => {
            let word = token(&text[at..]);
            let range =
                if word.is_empty() { sign_at..sign_at + length } else { at..at + word.len() };
            Err(UnitError::BadPlusMinus { found: text[range.clone()].to_owned(), range })
        }
    }
}

/// True when the ± before the unit is in per cent: `700 ±2 % cfm`. In a fraction the sign is the
/// unit itself: `12 ±0.5 %` is 11.5 % to 12.5 %.
fn takes_per_cent(rest: &str, wanted: Quantity) -> bool {
    wanted != Quantity::Fraction && rest.trim_start().starts_with('%')
}

/// Reads the unit of a ± that stands after the unit of the value: per cent of the value, the same
/// unit again, or nothing.
fn read_plus_minus_unit(
    text: &str,
    end: &mut usize,
    unit: &'static Unit,
    wanted: Quantity,
    size: f64,
) -> PlusMinus {
    let at = skip_blanks(text, *end);
    let rest = &text[at..];
    if wanted != Quantity::Fraction && rest.starts_with('%') {
        *end = at + 1;
        return PlusMinus::Share(size / 100.0);
    }
    let same = unit_ends(rest)
        .filter_map(|length| Some((find(wanted, &rest[..length])?, length)))
        .filter(|(found, _)| !found.symbol.is_empty())
        .last();
    match same {
        Some((found, length)) => {
            *end = at + length;
            PlusMinus::Size(unit.span_from_si(found.span_to_si(size)))
        }
        None => PlusMinus::Size(size),
    }
}

/// The byte lengths at which a unit at the head of `rest` may end, shortest first.
fn unit_ends(rest: &str) -> impl Iterator<Item = usize> + '_ {
    let close = rest.find([',', ';', '±', '+']).unwrap_or(rest.len());
    let rest = rest[..close].trim_end();
    let blanks = rest
        .char_indices()
        .filter(|(i, c)| c.is_whitespace() && !rest[..*i].ends_with(char::is_whitespace));
    blanks.map(|(i, _)| i).chain(std::iter::once(rest.len())).filter(|n| *n > 0).take(UNIT_WORDS)
}

/// Reads the unit after the numbers: the longest text that is a unit of any quantity decides, so
/// that "10 N m" is a torque and not a force with a word left over.
fn read_unit(
    text: &str,
    number: Range<usize>,
    from: usize,
    wanted: Quantity,
) -> Result<(&'static Unit, usize), UnitError> {
    let at = skip_blanks(text, from);
    let rest = &text[at..];
    let fits = unit_ends(rest).filter_map(|n| Some((find(wanted, &rest[..n])?, n))).last();
    let other = unit_ends(rest)
        .filter(|n| *n > fits.map_or(0, |(_, n)| n))
        .filter_map(|n| Some((kinds_of(&rest[..n]).first()?.0, n)))
        .last();
    match (fits, other) {
        (_, Some((is, n))) => Err(UnitError::OtherQuantity {
            found: format!("{} {}", &text[number], &rest[..n]),
            is,
            wanted,
            range: at..at + n,
        }),
        (Some((unit, n)), None) => Ok((unit, at + n)),
        (None, None) => match find(wanted, "") {
            Some(no_unit) => Ok((no_unit, from)),
            None => Err(no_such_unit(text, number, at, wanted)),
        },
    }
}

/// The fault of a text that has no known unit after its number.
fn no_such_unit(text: &str, number: Range<usize>, at: usize, wanted: Quantity) -> UnitError {
    let found = unit_like(&text[at..]).to_owned();
    if found.is_empty() {
        return UnitError::UnitMissing {
            found: text[number.clone()].to_owned(),
            wanted,
            range: number,
        };
    }
    let range = at..at + found.len();
    UnitError::UnitUnknown { nearest: nearest(wanted, &found), found, wanted, range }
}

/// The head of `rest` that stands where a unit should: up to a closing word or sign.
fn unit_like(rest: &str) -> &str {
    let mut end = 0;
    for word in rest[..rest.find([',', ';', '±']).unwrap_or(rest.len())]
        .split_inclusive(char::is_whitespace)
    {
        if CLOSING_WORDS.contains(&word.trim()) {
            break;
        }
        end += word.len();
    }
    rest[..end].trim_end()
}

/// The head of `text` up to the next blank or comma.
fn token(text: &str) -> &str {
    &text[..text.find(|c: char| c.is_whitespace() || c == ',').unwrap_or(text.len())]
}
