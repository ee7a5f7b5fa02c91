//! Checks of the whole crate against exact solutions and published figures; `tests/data/` holds
//! the tables, each with its own header.

mod balance;
mod merge;
mod riemann;
mod steady;
mod support;
mod waves;
