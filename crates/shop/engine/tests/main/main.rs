//! Checks of the whole crate.

mod demo;
mod shop;
