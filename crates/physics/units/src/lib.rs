//! Quantities and units of the trade: parsing, printing, origin of a value.

#![deny(missing_docs)]
