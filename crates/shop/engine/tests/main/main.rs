//! Checks of the whole crate.

mod arithmetic;
mod cams;
mod change;
mod demo;
mod expressible;
mod faulty;
mod fuzz;
mod layers;
mod shop;
mod survive;
