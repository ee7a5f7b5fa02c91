//! The ideal fuel-air Otto cycle: the ceiling of what a spark-ignition engine can do.
//!
//! Fresh vapour mixture and residual are compressed at constant entropy and frozen composition,
//! burn at constant volume to equilibrium and expand at constant entropy in shifting equilibrium.
//! No heat loss, no burn time, no exchange work. Described in Heywood 1988, section 5.5.

use crate::air::HumidAir;
use crate::constants::{R_UNIVERSAL, T_REFERENCE};
use crate::equilibrium;
use crate::error::{GasError, in_range};
use crate::flame;
use crate::frozen::FrozenGas;
use crate::fuel::Fuel;
use crate::mixture::Elements;
use crate::species::{CO2, H2O, THERMO};

/// State at which the residual's composition is frozen: 1400 K, 1 bar (that of the reference tables).
const RESIDUAL_STATE: (f64, f64) = (1400.0, 1.0e5);
/// Compression ratios accepted.
const COMPRESSION_RANGE: (f64, f64) = (1.5, 40.0);

/// What goes into the cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// Equivalence ratio.
    pub phi: f64,
    /// Mass fraction of residual gas.
    pub residual_fraction: f64,
    /// Temperature at the start of compression, K.
    pub temperature: f64,
    /// Pressure at the start of compression, Pa.
    pub pressure: f64,
}

/// Corner states and work of the cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuelAirCycle {
    /// Temperatures: start of compression, end, burned, end of expansion, K.
    pub temperature: [f64; 4],
    /// Pressures at the same corners, Pa.
    pub pressure: [f64; 4],
    /// Work per mass of charge (residual included), J/kg.
    pub work: f64,
    /// Work over the lower heating value of the fuel vapour.
    pub efficiency: f64,
    /// Work over displaced volume, Pa.
    pub mean_effective_pressure: f64,
}

/// Returns the cycle of `fuel` and `air` at `compression_ratio`.
///
/// # Errors
/// [`GasError::OutOfRange`] outside compression ratios 1.5 to 40 or physical charges, and those of the
/// equilibrium solver.
pub fn fuel_air_cycle(
    fuel: &Fuel,
    air: &HumidAir,
    charge: &Charge,
    compression_ratio: f64,
) -> Result<FuelAirCycle, GasError> {
    let (lo, hi) = COMPRESSION_RANGE;
    let rc = in_range("compression ratio", compression_ratio, lo, hi, "")?;
    let (t1, p1) = (charge.temperature, charge.pressure);
    let elements = Elements::new(fuel, charge.phi, air)?;
    let residual = equilibrium::solve(&elements, RESIDUAL_STATE.0, RESIDUAL_STATE.1)?;
    let residual = FrozenGas::from_moles(&residual.moles);
    let gas = FrozenGas::unburned(fuel, charge.phi, air, &residual, charge.residual_fraction)?;

    let v1 = gas.r * t1 / p1;
    let t2 = gas.isentropic_temperature(t1, rc)?;
    let burned = flame::at_energy_and_density(&elements, gas.u(t2), rc / v1)?;
    let expanded = flame::at_entropy_and_density(&elements, burned.s, 1.0 / v1)?;
    let work = gas.u(t1) - expanded.u;
    let fuel_fraction = gas.fuel_moles * fuel.molar_mass;
    Ok(FuelAirCycle {
        temperature: [t1, t2, burned.t, expanded.t],
        pressure: [p1, p1 * rc * t2 / t1, burned.p, expanded.p],
        work,
        efficiency: work / (fuel_fraction * vapour_heating_value(fuel)),
        mean_effective_pressure: work / (v1 * (1.0 - 1.0 / rc)),
    })
}

/// Returns the lower heating value of the fuel's vapour at 298.15 K, J/kg.
fn vapour_heating_value(fuel: &Fuel) -> f64 {
    let h = |k: usize| R_UNIVERSAL * THERMO[k].h(T_REFERENCE);
    let products = fuel.c * h(CO2) + fuel.h / 2.0 * h(H2O);
    fuel.vapour_enthalpy(T_REFERENCE) - products / fuel.molar_mass
}
