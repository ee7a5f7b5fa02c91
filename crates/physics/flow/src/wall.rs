//! Heat transfer between a duct's wall and its gas.
//!
//! Equation: `Nu = 0.0694 Re^0.75`, `h = Nu k / D`, Re with the local velocity and diameter.
//! Source: Depcik & Assanis 2002, SAE 2002-01-0372 (from memory). Higher than the Reynolds analogy,
//! so heat does not follow from friction.
//! Range: intake and exhaust pipes of engines, to which it was fitted (from memory).
//! Viscosity `mu = MU_REF sqrt(T/T_REF)^1.375`, conductivity `mu cp / Pr`: ours, air.

use crate::{Duct, GasSet};
use shortblock_lanes::Lane;

/// Factor of the Nusselt relation. Source above.
const NUSSELT: f64 = 0.0694;
/// Viscosity of air at [`T_REF_K`], Pa s. U.S. Standard Atmosphere 1976 (from memory).
const MU_REF: f64 = 1.846e-5;
/// Temperature of that viscosity, K.
const T_REF_K: f64 = 300.0;
/// Prandtl number of air and burned gas (common practice, no source).
const PRANDTL: f64 = 0.71;

/// Heat given to the gas by a duct's walls.
#[derive(Clone, Copy, Debug)]
pub struct WallHeat<V> {
    /// Sum over the cells, W.
    pub power: V,
}

/// Heat transfer coefficient in W/(m2 K) from density times speed `mass_velocity` (kg/(m2 s)),
/// temperature `t` (K), specific heat `cp` (J/(kg K)) and `diameter` (m).
#[inline(always)]
pub fn heat_transfer_coefficient<V: Lane>(mass_velocity: V, t: V, cp: V, diameter: V) -> V {
    let ratio = t * V::splat(1.0 / T_REF_K);
    let root = ratio.sqrt();
    let quarter = root.sqrt();
    // (T/Tref)^0.6875 = ^0.5 ^0.125 ^0.0625
    let eighth = quarter.sqrt();
    let mu = V::splat(MU_REF) * root * eighth * eighth.sqrt();
    let re = mass_velocity * diameter / mu;
    let re_root = re.sqrt();
    let nusselt = V::splat(NUSSELT) * re_root * re_root.sqrt();
    nusselt * mu * cp / (V::splat(PRANDTL) * diameter)
}

impl<V: Lane, const S: usize> Duct<V, S> {
    /// Exchanges heat with the walls over `dt` (s); may be called every few sweeps with their
    /// summed step. Returns the heat given to the gas.
    #[inline(always)]
    pub fn exchange_heat(&mut self, gases: &GasSet<V, S>, dt: V) -> WallHeat<V> {
        let one = V::splat(1.0);
        let mut power = V::splat(0.0);
        let mut events = self.events;
        for i in 0..self.cells.len() {
            let (q, wall) = (&self.primitives[i], &self.walls[i]);
            let rho = self.cells[i].rho;
            let cv = q.p * q.v / (q.t * (q.gamma - one));
            let mass_velocity = self.cells[i].momentum.abs();
            let h = heat_transfer_coefficient(mass_velocity, q.t, q.gamma * cv, wall.diameter);
            // Implicit in the temperature difference: a long step cannot overshoot the wall's.
            let rate = V::splat(4.0) * h * wall.heat_factor / (wall.diameter * rho * cv);
            let rise = (wall.temperature - q.t) * rate / (one + dt * rate);
            let heat = rho * cv * rise;
            self.cells[i].energy += dt * heat;
            power += heat / self.shape[i].inverse_volume;
            self.primitives[i] = self.cells[i].primitive_counted(gases, &mut events);
        }
        self.events = events;
        WallHeat { power }
    }
}
