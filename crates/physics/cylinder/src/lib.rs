//! The cylinder: mechanism, valves, combustion, wall heat, friction, knock.
//!
//! Crank angles are radians after firing dead centre. Pressures are absolute, energies absolute
//! (formation enthalpies included).

#![deny(missing_docs)]

pub mod blow_by;
pub mod closed;
pub mod discharge;
pub mod entrainment;
mod error;
pub mod flame;
pub mod friction;
pub mod knock;
pub mod lift;
pub mod mechanism;
mod monotone;
pub mod timing;
pub mod turbulence;
pub mod valve;
pub mod wall;
pub mod wiebe;
pub mod woschni;

pub use error::CylinderError;
