//! Whole-crate checks.

mod characteristics;
mod questions;
mod references;
mod simulate;
