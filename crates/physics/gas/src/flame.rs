//! Adiabatic flame states: what a mixture becomes when it burns without losing heat.

use crate::constants::R_UNIVERSAL;
use crate::equilibrium::{self, Equilibrium};
use crate::error::{GasError, in_range};
use crate::frozen::FrozenGas;
use crate::mixture::{Elements, undissociated};

/// Least temperature of burned gas that is looked for, K.
const T_LOW: f64 = 300.0;
/// Greatest temperature of burned gas that is looked for, K.
const T_HIGH: f64 = 4800.0;
/// First temperature that is tried, K.
const T_START: f64 = 2500.0;
/// Steps after which a search is given up.
const MAX_STEPS: usize = 80;
/// Temperatures are found to this share.
const ACCURACY: f64 = 1e-11;

/// Returns the burned gas after combustion of `unburned` at constant pressure `p` (Pa) from `t` (K).
///
/// `elements` are those of the unburned gas.
///
/// # Errors
/// [`GasError::NotConverged`] when the flame would be outside 300 to 4800 K; those of
/// [`equilibrium::solve`].
pub fn constant_pressure(
    unburned: &FrozenGas,
    elements: &Elements,
    t: f64,
    p: f64,
) -> Result<Equilibrium, GasError> {
    let h = in_range("unburned enthalpy", unburned.h(t), -1e9, 1e9, "J/kg")?;
    search(|t| equilibrium::solve(elements, t, p), |e| (e.h - h, e.cp))
}

/// Returns the burned gas after combustion of `unburned` at constant volume from `t` (K), `p` (Pa).
///
/// # Errors
/// As [`constant_pressure`].
pub fn constant_volume(
    unburned: &FrozenGas,
    elements: &Elements,
    t: f64,
    p: f64,
) -> Result<Equilibrium, GasError> {
    let density = in_range("unburned density", p / (unburned.r * t), 1e-6, 1e6, "kg/m3")?;
    at_energy_and_density(elements, unburned.u(t), density)
}

/// Returns the equilibrium at internal energy `u` (J/kg) and `density` (kg/m3).
///
/// # Errors
/// As [`constant_pressure`].
pub fn at_energy_and_density(
    elements: &Elements,
    u: f64,
    density: f64,
) -> Result<Equilibrium, GasError> {
    search(|t| at_density(elements, t, density), |e| (e.u - u, e.cv))
}

/// Returns the equilibrium at entropy `s` (J/(kg K)) and `density` (kg/m3).
///
/// # Errors
/// As [`constant_pressure`].
pub fn at_entropy_and_density(
    elements: &Elements,
    s: f64,
    density: f64,
) -> Result<Equilibrium, GasError> {
    search(|t| at_density(elements, t, density), |e| (e.s - s, e.cv / e.t))
}

/// Returns the equilibrium at temperature `t` (K) and `density` (kg/m3): Newton in ln p for
/// p = density R(T, p) T.
fn at_density(elements: &Elements, t: f64, density: f64) -> Result<Equilibrium, GasError> {
    let density = in_range("density", density, 1e-3, 1e3, "kg/m3")?;
    let moles: f64 = undissociated(elements).iter().sum();
    let mut p = density * R_UNIVERSAL * moles * t;
    for _ in 0..MAX_STEPS {
        let e = equilibrium::solve(elements, t, p)?;
        let step = (density * e.r * t / p).ln() / (1.0 - e.r_lnp / e.r);
        if step.abs() < ACCURACY {
            return Ok(e);
        }
        p *= step.exp();
    }
    Err(GasError::NotConverged { what: "pressure at given density", temperature: t, pressure: p })
}

/// Searches the temperature at which `f` vanishes among the states of `state`; `f` also returns its
/// slope along them and increases.
fn search(
    state: impl Fn(f64) -> Result<Equilibrium, GasError>,
    f: impl Fn(&Equilibrium) -> (f64, f64),
) -> Result<Equilibrium, GasError> {
    let (mut lo, mut hi, mut t) = (T_LOW, T_HIGH, T_START);
    let mut pressure = f64::NAN;
    for _ in 0..MAX_STEPS {
        let e = state(t)?;
        pressure = e.p;
        let (value, slope) = f(&e);
        if value > 0.0 {
            hi = t
        } else {
            lo = t
        }
        let newton = t - value / slope;
        let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
        if (next - t).abs() <= ACCURACY * t {
            // A search driven into its end has found the end, not a root.
            if t - T_LOW < 1.0 || T_HIGH - t < 1.0 {
                break;
            }
            return Ok(e);
        }
        t = next;
    }
    Err(GasError::NotConverged { what: "burned state", temperature: t, pressure })
}
