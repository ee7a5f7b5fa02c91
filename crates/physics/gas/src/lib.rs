//! Fuels, humid air, unburned and burned gas: the thermochemistry of an engine's working gas.
//!
//! All energies are absolute: zero is the elements in their standard state at 298.15 K, so a
//! reaction needs no separate heat release. The standard-state pressure of the NASA polynomials
//! is 101325 Pa ([`constants::P_STANDARD`]). All gases are ideal.
//!
//! Where to start: [`fuel::find`], [`HumidAir`], then [`DuctGas`] for pipes, [`FrozenGas`] for the
//! unburned zone and [`BurnedTable`] for the burned zone of a cylinder.
//!
//! ```
//! use shortblock_gas::{BurnedTable, DuctGas, FrozenGas, GasError, HumidAir, fuel};
//!
//! let fuel = fuel::find("E10")?;
//! let air = HumidAir::new(99_000.0, 303.15, 0.5)?; // Pa, K, relative humidity
//! let phi = fuel.stoichiometric_afr_with(&air) / 12.6; // air-fuel ratio 12.6
//! let in_pipe = DuctGas::air(&air);
//! let residual = FrozenGas::burned(&fuel, phi, &air)?;
//! let unburned = FrozenGas::unburned(&fuel, phi, &air, &residual, 0.06)?;
//! let burned = BurnedTable::new(&fuel, phi, &air)?.state(2600.0, 60e5);
//! assert!(in_pipe.sound_speed(300.0) > 340.0 && burned.u_t > unburned.cv(700.0));
//! # Ok::<(), GasError>(())
//! ```

#![deny(missing_docs)]

pub mod air;
pub mod atmosphere;
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
pub mod vapour_pressure;

pub use air::HumidAir;
pub use burned::{BurnedState, BurnedTable};
pub use duct::DuctGas;
pub use error::GasError;
pub use frozen::FrozenGas;
pub use fuel::Fuel;
pub use mixture::Elements;
