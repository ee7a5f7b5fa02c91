//! Whole-crate checks.

mod characteristics;
mod modes;
mod questions;
mod references;
mod simulate;
mod sources;
mod tables;
