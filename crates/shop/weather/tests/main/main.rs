//! The crate against tables worked out elsewhere at 50 digits, and properties of any air.

mod air;
mod applies;
mod factors;
mod properties;
mod table;
