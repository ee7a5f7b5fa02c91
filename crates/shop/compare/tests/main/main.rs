//! Whole-crate checks.

mod characteristics;
mod modes;
mod questions;
mod references;
mod simulate;
mod tables;
