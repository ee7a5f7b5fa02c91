//! Whole-crate checks of the cylinder.

mod bench;
mod identities;
mod physical;
mod properties;
mod reference;
mod sane;
