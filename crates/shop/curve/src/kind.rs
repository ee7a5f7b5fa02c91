//! What a curve is: predicted by the model or measured on a dynamometer.

use std::fmt::Debug;

mod sealed {
    pub trait Sealed {}
}

/// Kind of a difference between two curves: that of both, or [`Mixed`].
pub trait DifferenceKind: sealed::Sealed + Copy + Debug + PartialEq {
    /// The word for this kind in files and on paper: `predicted`, `measured` or `mixed`.
    const WORD: &'static str;
}

/// Kind of a curve: [`Predicted`] or [`Measured`]; no other exists.
pub trait Kind: DifferenceKind {}

/// Worked out by the model; no engine has run it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Predicted;

/// Read from instruments while the engine ran.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured;

/// A difference between a predicted and a measured curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mixed;

impl sealed::Sealed for Predicted {}
impl sealed::Sealed for Measured {}
impl sealed::Sealed for Mixed {}

impl DifferenceKind for Predicted {
    const WORD: &'static str = "predicted";
}
impl DifferenceKind for Measured {
    const WORD: &'static str = "measured";
}
impl DifferenceKind for Mixed {
    const WORD: &'static str = "mixed";
}

impl Kind for Predicted {}
impl Kind for Measured {}
