//! What can be wrong with a value as typed.

use std::ops::Range;

use thiserror::Error;

use crate::quantity::Quantity;
use crate::tables::units_of;

/// A fault in a text that should hold a value. `range` is in bytes of that text, on character
/// boundaries, so that a caret can be drawn under it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum UnitError {
    /// There is no number where one must stand.
    #[error("{} is not a number{}", quoted(found), hint_example(*wanted))]
    NotANumber {
        /// What stands there.
        found: String,
        /// The kind of value wanted.
        wanted: Quantity,
        /// Its place.
        range: Range<usize>,
    },
    /// A comma, space or apostrophe that may be a decimal sign, a thousands sign or a gap.
    #[error("\"{found}\" can be read in more than one way\nhint: {remedy}")]
    Ambiguous {
        /// The number as typed.
        found: String,
        /// How to write each reading.
        remedy: String,
        /// Its place.
        range: Range<usize>,
    },
    /// A number too large to hold, or a fraction over zero.
    #[error("\"{found}\" is not a finite number\nhint: check the exponent or the digits")]
    NotFinite {
        /// The number as typed.
        found: String,
        /// Its place.
        range: Range<usize>,
    },
    /// The number has no unit.
    #[error("\"{found}\" has no unit{}", hint_write(found, *wanted))]
    UnitMissing {
        /// The number as typed.
        found: String,
        /// The kind of value wanted.
        wanted: Quantity,
        /// Place of the number.
        range: Range<usize>,
    },
    /// The unit is not known.
    #[error("\"{found}\" is not a unit of {}{}", wanted.with_article(), hint_nearest(nearest, *wanted))]
    UnitUnknown {
        /// The unit as typed.
        found: String,
        /// The kind of value wanted.
        wanted: Quantity,
        /// Symbols of the nearest fitting units, nearest first; may be empty.
        nearest: Vec<&'static str>,
        /// Its place.
        range: Range<usize>,
    },
    /// The unit belongs to another kind of quantity.
    #[error(
        "\"{found}\" is {}, which does not fit {}{}",
        is.with_article(), wanted.with_article(), hint_other(*is, *wanted)
    )]
    OtherQuantity {
        /// Number and unit as typed.
        found: String,
        /// What the unit measures.
        is: Quantity,
        /// The kind of value wanted.
        wanted: Quantity,
        /// Place of the unit.
        range: Range<usize>,
    },
    /// Several numbers where one value must stand.
    #[error(
        "{count} numbers where one is wanted\nhint: leave one, or give one for each cylinder with `each`"
    )]
    SeveralNumbers {
        /// How many there are.
        count: usize,
        /// Place of the second and later numbers.
        range: Range<usize>,
    },
    /// The ± is not a positive size.
    #[error("\"{found}\" is not a size for the ±\nhint: write a positive number, as in \"±0.5\"")]
    BadPlusMinus {
        /// What stands after the sign.
        found: String,
        /// Its place.
        range: Range<usize>,
    },
    /// Below absolute zero, or below vacuum.
    #[error("\"{found}\" is below the zero of {}\nhint: check the sign and the unit", wanted.with_article())]
    BelowZero {
        /// The value as typed.
        found: String,
        /// The kind of value wanted.
        wanted: Quantity,
        /// Its place.
        range: Range<usize>,
    },
    /// A word in a list of units to show is neither a unit nor a trade.
    #[error(
        "\"{found}\" is not a unit\nhint: write units parted by commas, as in \"kW, N.m\", or \"metric\" or \"inch\""
    )]
    ChoiceUnknown {
        /// The word.
        found: String,
        /// Its place.
        range: Range<usize>,
    },
    /// Words are left over after the value.
    #[error("\"{found}\" is left over after the value\nhint: take it out, or say it in a note")]
    LeftOver {
        /// The words.
        found: String,
        /// Their place.
        range: Range<usize>,
    },
}

impl UnitError {
    /// Returns the place of the fault in the text, in bytes, on character boundaries.
    pub fn range(&self) -> Range<usize> {
        match self {
            Self::NotANumber { range, .. }
            | Self::Ambiguous { range, .. }
            | Self::NotFinite { range, .. }
            | Self::UnitMissing { range, .. }
            | Self::UnitUnknown { range, .. }
            | Self::OtherQuantity { range, .. }
            | Self::SeveralNumbers { range, .. }
            | Self::BadPlusMinus { range, .. }
            | Self::BelowZero { range, .. }
            | Self::ChoiceUnknown { range, .. }
            | Self::LeftOver { range, .. } => range.clone(),
        }
    }

    /// Returns the same fault with its place moved on by `bytes`: for a text cut out of a longer one.
    pub fn shifted(mut self, bytes: usize) -> Self {
        let moved = self.range();
        match &mut self {
            Self::NotANumber { range, .. }
            | Self::Ambiguous { range, .. }
            | Self::NotFinite { range, .. }
            | Self::UnitMissing { range, .. }
            | Self::UnitUnknown { range, .. }
            | Self::OtherQuantity { range, .. }
            | Self::SeveralNumbers { range, .. }
            | Self::BadPlusMinus { range, .. }
            | Self::BelowZero { range, .. }
            | Self::ChoiceUnknown { range, .. }
            | Self::LeftOver { range, .. } => {
                *range = moved.start.saturating_add(bytes)..moved.end.saturating_add(bytes);
            }
        }
        self
    }

    /// Returns the first line of the message: what is wrong.
    pub fn what(&self) -> String {
        let text = self.to_string();
        text.split_once("\nhint: ").map_or(text.clone(), |(what, _)| what.to_owned())
    }

    /// Returns the remedy, without the word "hint".
    pub fn hint(&self) -> String {
        self.to_string().split_once("\nhint: ").map_or(String::new(), |(_, hint)| hint.to_owned())
    }
}

fn quoted(found: &str) -> String {
    if found.is_empty() { "nothing".to_owned() } else { format!("\"{found}\"") }
}

/// The accepted symbols in words: "mm, in or cm".
fn accepted(wanted: Quantity) -> String {
    let symbols: Vec<&str> = units_of(wanted).iter().map(|u| u.symbol).collect();
    either(&symbols)
}

/// Words in a row with "or" before the last.
fn either(words: &[&str]) -> String {
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        Some((last, _)) => (*last).to_owned(),
        None => String::new(),
    }
}

fn hint_example(wanted: Quantity) -> String {
    let symbol = units_of(wanted)[0].symbol;
    if symbol.is_empty() {
        return "\nhint: write a number such as 1.6".to_owned();
    }
    format!("\nhint: write {} with its unit, such as \"50 {symbol}\"", wanted.with_article())
}

fn hint_write(found: &str, wanted: Quantity) -> String {
    format!(
        "\nhint: write \"{found} {}\" or the like ({})",
        units_of(wanted)[0].symbol,
        accepted(wanted)
    )
}

fn hint_nearest(nearest: &[&'static str], wanted: Quantity) -> String {
    match nearest.first() {
        Some(_) => {
            format!("\nhint: did you mean {}? fitting: {}", either(nearest), accepted(wanted))
        }
        None => format!("\nhint: write it in {}", accepted(wanted)),
    }
}

fn hint_other(is: Quantity, wanted: Quantity) -> String {
    use Quantity::{AbsolutePressure, GaugePressure, PressureDifference};
    match (is, wanted) {
        (_, Quantity::Ratio) => "\nhint: write the number alone".to_owned(),
        (GaugePressure, AbsolutePressure) => {
            "\nhint: add the barometer to it and write \"abs\" after the unit".to_owned()
        }
        (AbsolutePressure, GaugePressure | PressureDifference) => {
            "\nhint: take the barometer off it, or take off the word for absolute".to_owned()
        }
        (GaugePressure, PressureDifference) => {
            "\nhint: take off the word for gauge; a difference needs none".to_owned()
        }
        _ => format!("\nhint: write it in {}", accepted(wanted)),
    }
}
