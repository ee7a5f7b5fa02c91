//! Quantities and units of the engine trade: read as typed, hold in SI, print to the last place
//! that is known.
//!
//! The assumption that matters most: a text is never guessed at. A number without a unit, a comma
//! that can be read two ways or a unit of another kind is refused with the place and a remedy.
//! Inside the program every value is in coherent SI: metre, kilogram, second, kelvin, pascal,
//! radian, radian per second.
//!
//! - [`parse`], [`parse_each`], [`lead`], [`parse_one_of`]: text to [`Measure`].
//! - [`Quantity`], [`Unit`], [`units_of`], [`unit()`]: what there is.
//! - [`format_value`], [`NumberStyle`], [`UnitChoice`]: SI back to text.
//! - [`Origin`]: where a value comes from.
//!
//! ```
//! use shortblock_units::{Quantity, format_value, parse, unit};
//! let bore = parse("4.0305 ±0.0002 in", Quantity::Length)?;
//! assert_eq!(bore.text, "4.0305 ±0.0002 in");
//! let mm = unit(Quantity::Length, "mm").expect("a millimetre is a length");
//! assert_eq!(format_value(bore.si, bore.plus_minus, mm), "102.375 ±0.005 mm");
//! # Ok::<(), shortblock_units::UnitError>(())
//! ```

#![deny(missing_docs)]

mod choice;
mod constants;
mod error;
mod measure;
mod number;
mod origin;
mod print;
mod quantity;
mod scan;
mod spelling;
mod style;
mod tables;
mod unit;

pub use choice::UnitChoice;
pub use error::UnitError;
pub use measure::{At, Lead, Measure, lead, parse, parse_each, parse_one_of};
pub use origin::Origin;
pub use print::{format_apart, format_styled, format_value, rounded_plus_minus};
pub use quantity::Quantity;
pub use style::NumberStyle;
pub use tables::units_of;
pub use unit::{Trade, Unit, convert, unit};
