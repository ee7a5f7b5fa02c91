//! Curves over engine speed, predicted or measured, never mixed up.
//!
//! A [`Curve`] holds brake torque and power over engine speed in coherent SI
//! (rad/s, N·m, W) with an optional ± at each point (coverage 95 %, "19 times
//! in 20"). Its kind is part of its type: [`Predicted`] comes from the model,
//! [`Measured`] from a dynamometer. A predicted curve cannot be handed over
//! where a measured one is wanted:
//!
//! ```compile_fail
//! use shortblock_curve::{Curve, Measured, Predicted};
//! fn print_dyno_sheet(_curve: &Curve<Measured>) {}
//! let predicted: Curve<Predicted> =
//!     Curve::from_torque("b2", vec![300.0, 400.0], vec![250.0, 260.0]).unwrap();
//! print_dyno_sheet(&predicted);
//! ```
//!
//! The two meet only in a function that says so, [`predicted_less_measured`].
//! Torque is the stored column and power is always torque times speed, so the
//! two can never disagree, between the points either.

#![deny(missing_docs)]

mod crossing;
mod curve;
mod difference;
mod error;
mod interpolate;
mod kind;
mod peak;
mod range;

pub use crossing::crossing_speed;
pub use curve::{Curve, Quantity};
pub use difference::{Difference, DifferencePoint, predicted_less_measured};
pub use error::CurveError;
pub use interpolate::MonotoneCubic;
pub use kind::{DifferenceKind, Kind, Measured, Mixed, Predicted};
pub use peak::Peak;
pub use range::{Average, SpeedRange};
