//! The cylinder: mechanism, valves, combustion, wall heat, friction, knock.
//!
//! Crank angles are radians after firing dead centre. Pressures are absolute, energies absolute
//! (formation enthalpies included).

#![deny(missing_docs)]

pub mod closed;
mod error;
pub mod flame;
pub mod mechanism;
pub mod turbulence;

pub use error::CylinderError;
