//! Fuels, humid air, unburned and burned gas: the thermochemistry of an engine's working gas.
//!
//! All energies are absolute: zero is the elements in their standard state at 298.15 K, so a
//! reaction needs no separate heat release. The standard-state pressure of the NASA polynomials
//! is taken as 101325 Pa ([`constants::P_STANDARD`]). All gases are ideal.
//!
//! Where to start: [`fuel::find`], [`HumidAir`], then [`DuctGas`] for pipes, [`FrozenGas`] for the
//! unburned zone and [`BurnedTable`] for the burned zone of a cylinder.

#![deny(missing_docs)]

pub mod air;
pub mod burned;
pub mod constants;
pub mod duct;
pub mod equilibrium;
mod error;
pub mod flame;
pub mod flame_speed;
pub mod frozen;
pub mod fuel;
mod fuel_data;
mod linear;
pub mod mixture;
pub mod nasa;
pub mod otto;
pub mod saturation;
pub mod species;

pub use air::HumidAir;
pub use burned::{BurnedState, BurnedTable};
pub use duct::DuctGas;
pub use error::GasError;
pub use frozen::FrozenGas;
pub use fuel::Fuel;
pub use mixture::Elements;
