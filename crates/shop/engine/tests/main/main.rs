//! Checks of the whole crate.

mod demo;
mod faulty;
mod shop;
