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
/// temperature `t` (K), specific heat `cp` (J/(kg K)) and `inverse_diameter` (1/m).
#[inline(always)]
pub fn heat_transfer_coefficient<V: Lane>(mass_velocity: V, t: V, cp: V, inverse_diameter: V) -> V {
    let ratio = t * V::splat(1.0 / T_REF_K);
    let root = ratio.sqrt();
    let quarter = root.sqrt();
    // (T/Tref)^0.6875 = ^0.5 ^0.125 ^0.0625
    let eighth = quarter.sqrt();
    let mu = V::splat(MU_REF) * root * eighth * eighth.sqrt();
    // Re^0.75 mu / D, D out of Re
    let power = mass_velocity * mass_velocity * mass_velocity * mu * inverse_diameter;
    V::splat(NUSSELT / PRANDTL) * power.sqrt().sqrt() * cp
}

impl<V: Lane, const S: usize> Duct<V, S> {
    /// Exchanges heat with the walls over `dt` (s); may be called every few sweeps with their
    /// summed step. Returns the heat given to the gas.
    pub fn exchange_heat(&mut self, gases: &GasSet<V, S>, dt: V) -> WallHeat<V> {
        let heat = self.take_heat(dt);
        let mut events = self.events;
        for (cell, primitive) in self.cells.iter().zip(&mut self.primitives) {
            *primitive = cell.primitive_counted(gases, &mut events);
        }
        self.events = events;
        heat
    }

    /// As [`Duct::exchange_heat`] just before a sweep, whose half step does not feel the heat yet.
    #[inline(always)]
    pub fn take_heat(&mut self, dt: V) -> WallHeat<V> {
        let one = V::splat(1.0);
        let mut power = V::splat(0.0);
        for i in 0..self.cells.len() {
            let (q, wall) = (&self.primitives[i], &self.walls[i]);
            // rho cv, J/(m3 K)
            let capacity = q.p / (q.t * (q.gamma - one));
            let mass_velocity = self.cells[i].momentum.abs();
            let cp = q.gamma * capacity * q.v;
            let h = heat_transfer_coefficient(mass_velocity, q.t, cp, wall.inverse_diameter);
            let rate = dt * V::splat(4.0) * h * wall.heat_factor * wall.inverse_diameter;
            // Implicit in the temperature difference: a long step cannot overshoot the wall's.
            let heat = (wall.temperature - q.t) * capacity * rate / (capacity + rate);
            self.cells[i].energy += heat;
            power += heat / self.shape[i].inverse_volume;
        }
        WallHeat { power: power / dt }
    }
}
