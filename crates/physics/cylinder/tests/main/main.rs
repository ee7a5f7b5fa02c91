//! Whole-crate checks of the cylinder.

mod reference;
