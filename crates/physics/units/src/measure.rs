//! A value as typed: number, ±, unit, and what it is stated at.

use std::ops::Range;

use crate::error::UnitError;
use crate::number;
use crate::quantity::Quantity;
use crate::scan::{self, Scanned};
use crate::unit::Unit;

/// A value in SI that remembers how it was typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// What kind of value it is.
    pub quantity: Quantity,
    /// The value in the SI unit of its quantity.
    pub si: f64,
    /// The ± as stated, in SI; `None` when the text has none. A ± in per cent is of the value.
    pub plus_minus: Option<f64>,
    /// The size in SI of one step of the last digit typed: what the writer could read.
    pub last_place: f64,
    /// The unit as typed.
    pub unit: &'static Unit,
    /// What it is stated at: the lift of a duration, the test pressure of a flow. Only for
    /// quantities whose [`Quantity::stated_at`] is not empty.
    pub at: Option<At>,
    /// The text as typed.
    pub text: String,
}

impl Measure {
    /// Returns the value in the unit as typed.
    pub fn typed(&self) -> f64 {
        self.unit.from_si(self.si)
    }

    /// Returns the value in another unit of the same quantity.
    pub fn in_unit(&self, unit: &Unit) -> f64 {
        unit.from_si(self.si)
    }
}

impl std::fmt::Display for Measure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text)
    }
}

/// What a value is stated at: "at 0.050 in of lifter".
#[derive(Debug, Clone, PartialEq)]
pub struct At {
    /// What kind of value it is.
    pub quantity: Quantity,
    /// The value in SI.
    pub si: f64,
    /// The unit as typed.
    pub unit: &'static Unit,
    /// The words that follow, trimmed: "of lifter"; empty when there are none.
    pub words: String,
    /// Place of the words in the text, in bytes.
    pub words_range: Range<usize>,
}

/// A value at the head of a text, and where the rest of the text is.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    /// The value; its text is the head alone, and it has no `at`.
    pub measure: Measure,
    /// Place of the rest, trimmed, in bytes of the whole text; empty when nothing follows.
    pub rest: Range<usize>,
}

/// Reads one value: `50 mm`, `106.0 ±0.5 deg`, `244 deg at 1.0 mm`, `700 cfm ±2 % at 1.5 inHg`.
///
/// "at" is read only for quantities that are stated at another (see [`Quantity::stated_at`]).
/// Never panics; every fault has its place in the text.
pub fn parse(text: &str, wanted: Quantity) -> Result<Measure, UnitError> {
    let mut each = parse_each(text, wanted)?;
    if each.len() > 1 {
        let scanned = scan::scan(text, wanted)?;
        let (first, last) = (scanned.numbers[0].1.end, scanned.numbers_end());
        return Err(UnitError::SeveralNumbers { count: each.len(), range: first..last });
    }
    Ok(each.remove(0))
}

/// Reads one value or several with one unit, parted by commas: `4.0305, 4.0300 in`. At least one
/// comes back, in the order typed; ±, unit and "at" hold for each. The text of each is its own
/// number with what follows the numbers.
pub fn parse_each(text: &str, wanted: Quantity) -> Result<Vec<Measure>, UnitError> {
    let scanned = scan::scan(text, wanted)?;
    let at = read_at(text, &scanned, wanted)?;
    let tail = &text[scanned.numbers_end()..];
    let several = scanned.numbers.len() > 1;
    let own_text = |place: &Range<usize>| {
        if several { format!("{}{tail}", &text[place.clone()]) } else { text.to_owned() }
    };
    (0..scanned.numbers.len())
        .map(|i| measure(text, &scanned, i, wanted, at.clone(), own_text(&scanned.numbers[i].1)))
        .collect()
}

/// Reads the value at the head of a text and leaves the rest to the caller:
/// `420 hp below 5800 rpm` gives 420 hp and the place of "below 5800 rpm".
///
/// Places in errors and in `rest` count from the start of `text`; for a cut-out text see
/// [`UnitError::shifted`].
pub fn lead(text: &str, wanted: Quantity) -> Result<Lead, UnitError> {
    let scanned = scan::scan(text, wanted)?;
    if let [first, .., last] = &scanned.numbers[..] {
        let range = first.1.end..last.1.end;
        return Err(UnitError::SeveralNumbers { count: scanned.numbers.len(), range });
    }
    let head = text[..scanned.end].trim().to_owned();
    let measure = measure(text, &scanned, 0, wanted, None, head)?;
    Ok(Lead { measure, rest: trimmed(text, scanned.end) })
}

/// Reads one value as the first of several kinds that fits, for places where an area may stand for
/// a diameter, or a gauge pressure for an absolute one. The error is that of the first kind.
/// `kinds` must not be empty: an empty list is read as a plain number.
pub fn parse_one_of(text: &str, kinds: &[Quantity]) -> Result<Measure, UnitError> {
    let first = parse(text, kinds.first().copied().unwrap_or(Quantity::Ratio));
    if first.is_ok() {
        return first;
    }
    kinds.iter().skip(1).find_map(|&kind| parse(text, kind).ok()).map_or(first, Ok)
}

/// The range of the rest of `text` from `start`, without blanks at its ends.
fn trimmed(text: &str, start: usize) -> Range<usize> {
    let rest = &text[start..];
    let from = start + (rest.len() - rest.trim_start().len());
    from..from + rest.trim().len()
}

/// Turns number `i` of a scanned text into a value in SI.
fn measure(
    text: &str,
    scanned: &Scanned,
    i: usize,
    wanted: Quantity,
    at: Option<At>,
    own_text: String,
) -> Result<Measure, UnitError> {
    let (number, place) = &scanned.numbers[i];
    let unit = scanned.unit;
    let found = || text[place.clone()].to_owned();
    let si = unit.to_si(number.value);
    let plus_minus = scanned.plus_minus.map(|pm| unit.span_to_si(pm.of(number.value)));
    let last_place = unit.span_to_si(number.last_place);
    if ![si, plus_minus.unwrap_or(0.0), last_place].iter().all(|x| x.is_finite()) {
        return Err(UnitError::NotFinite { found: found(), range: place.clone() });
    }
    if wanted.has_absolute_zero() && si < 0.0 {
        return Err(UnitError::BelowZero { found: found(), wanted, range: place.clone() });
    }
    Ok(Measure { quantity: wanted, si, plus_minus, last_place, unit, at, text: own_text })
}

/// Reads what follows the value: nothing, or "at" and a value of a fitting kind.
fn read_at(text: &str, scanned: &Scanned, wanted: Quantity) -> Result<Option<At>, UnitError> {
    let rest = trimmed(text, scanned.end);
    if rest.is_empty() {
        return Ok(None);
    }
    let left_over =
        || UnitError::LeftOver { found: text[rest.clone()].to_owned(), range: rest.clone() };
    let after = scan::after_word(&text[rest.clone()], "at")
        .or_else(|| text[rest.clone()].strip_prefix('@'))
        .ok_or_else(left_over)?;
    let start = rest.end - after.len();
    let mut fault = None;
    for &kind in wanted.stated_at() {
        match lead(after, kind) {
            Ok(found) => {
                let words_range = start + found.rest.start..start + found.rest.end;
                let words = text[words_range.clone()].to_owned();
                let Measure { quantity, si, unit, .. } = found.measure;
                return Ok(Some(At { quantity, si, unit, words, words_range }));
            }
            Err(error) => fault = fault.or(Some(error.shifted(start))),
        }
    }
    Err(fault.unwrap_or_else(left_over))
}

/// A ± as typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum PlusMinus {
    /// In the unit of the value.
    Size(f64),
    /// As a fraction of the value.
    Share(f64),
}

impl PlusMinus {
    /// Its size in the unit of the value, for this value.
    fn of(self, value: f64) -> f64 {
        match self {
            Self::Size(size) => size,
            Self::Share(share) => share * value.abs(),
        }
    }
}

/// Returns the length of a ± sign at the head: `±`, `+-`, `+/-`, with any minus.
pub(crate) fn plus_minus_sign(text: &str) -> Option<usize> {
    if text.starts_with('±') {
        return Some('±'.len_utf8());
    }
    let after = text.strip_prefix('+')?;
    let after = after.strip_prefix('/').unwrap_or(after);
    let minus = after.chars().next().filter(|c| number::is_minus(*c))?;
    Some(text.len() - after.len() + minus.len_utf8())
}
