//! What the integrator carries from step to step.

use super::gases::Properties;
use super::numbers::{below, numbers, pick, within};
use super::rates::Closures;
use super::run::Lot;
use crate::CylinderError;
use shortblock_lanes::Lane;

numbers! {
    /// Gas in the cylinder at one moment, or its rates of change per second.
    struct Gas {
        /// Time since the spark, s.
        time,
        volume,
        pressure,
        mass_u,
        mass_b,
        t_u,
        t_b,
        /// Entrained but not yet burned, part of `mass_u`, kg.
        burning,
        /// Fuel still liquid, kg (counted as vapour but for its latent heat).
        liquid,
        /// Kinetic energies of the flow, J/kg: see [`crate::turbulence::Turbulence`].
        mean_energy,
        turbulent_energy,
        /// Pressure without combustion, Pa.
        motored,
        ;
        /// Unburned and burned gas in the crevice, kg.
        crevice: 2,
    }
}

numbers! {
    /// What has passed the bounds of the gas since intake closing, or its rates per second.
    struct Ledger {
        /// Internal energy of the gas outside the crevice, J, that the zones obey.
        energy,
        /// Knock integral.
        knock,
        work,
        /// Heat taken by the crevice walls, J.
        crevice_heat,
        latent,
        leak_enthalpy,
        ;
        /// To head, piston, liner, J.
        heat: 3,
        /// Unburned and burned gas lost past the rings, kg.
        leak: 2,
    }
}

/// The gas at one angle, with what has passed its bounds since intake closing.
#[derive(Clone, Copy, Debug)]
pub(super) struct State<V> {
    /// rad after firing dead centre.
    pub theta: V,
    /// Sine and cosine of it, turned on with every step.
    pub turn: [V; 2],
    pub gas: Gas<V>,
    pub ledger: Ledger<V>,
    /// Properties at this state.
    pub properties: Properties<V>,
    /// Closures in the middle of the step that led here; at the start of a phase those of the state.
    pub closures: Closures<V>,
}

impl<V: Lane> Gas<V> {
    /// The gas a time `dt` later at the gas volume `volume`, by constant rates.
    #[inline(always)]
    pub fn moved(&self, rates: &Self, dt: V, volume: V) -> Self {
        let zero = V::splat(0.0);
        let mut gas = self.after(rates, dt);
        gas.volume = volume;
        for x in
            [&mut gas.burning, &mut gas.liquid, &mut gas.mean_energy, &mut gas.turbulent_energy]
        {
            *x = x.max(zero);
        }
        gas
    }

    /// Temperature of both zones weighted by mass, K.
    #[inline(always)]
    pub fn mean_temperature(&self) -> V {
        self.t_u + self.burned() * (self.t_b - self.t_u)
    }

    /// Mass fraction burned of the gas in the cylinder.
    #[inline(always)]
    pub fn burned(&self) -> V {
        self.mass_b / (self.mass_u + self.mass_b)
    }
}

/// Logarithm of `a/b`, positive and within a fifth of 1 to 1e-10: `2 atanh((a - b)/(a + b))` by its
/// series. On the way from state to state it takes half the time of a logarithm; nothing adds up, as
/// the logarithm in the middle of a step is always a new one.
#[inline(always)]
fn ln_ratio<V: Lane>(a: V, b: V) -> V {
    let z = (a - b) / (a + b);
    let x = z * z;
    let mut sum = V::splat(0.0);
    for c in [1.0 / 9.0, 1.0 / 7.0, 1.0 / 5.0, 1.0 / 3.0, 1.0] {
        sum = sum.mul_add(x, V::splat(c));
    }
    (z + z) * sum
}

impl<V: Lane> State<V> {
    /// In each lane `self` where `mask` is above 0, else `other`.
    #[inline(always)]
    pub fn or(&self, other: &Self, mask: V) -> Self {
        Self {
            theta: pick(mask, self.theta, other.theta),
            turn: [
                pick(mask, self.turn[0], other.turn[0]),
                pick(mask, self.turn[1], other.turn[1]),
            ],
            gas: self.gas.or(&other.gas, mask),
            ledger: self.ledger.or(&other.ledger, mask),
            properties: self.properties.or(&other.properties, mask),
            closures: self.closures.or(&other.closures, mask),
        }
    }

    /// Logarithm of the pressure from that of the closures.
    #[inline(always)]
    pub fn ln_pressure(&self) -> V {
        self.closures.ln_p + ln_ratio(self.gas.pressure, self.closures.pressure)
    }

    /// Brings both zones by the same small temperature change onto the energy ledger, sets the
    /// pressure that fills the volume and keeps the properties found. The first-order correction is
    /// enough: what is corrected is one step's truncation error.
    #[inline(always)]
    pub fn close(&mut self, lot: &Lot<V>, ln_p: V, fired: bool) {
        let (r_u, g) = (lot.k.r, &mut self.gas);
        let mut p = lot.properties(g, ln_p, fired);
        let (cv, u_u) = (p.cp_u - r_u, p.h_u - r_u * g.t_u);
        // Without a burned zone its mass and properties are zero.
        let sum = g.mass_u * u_u + g.mass_b * p.u;
        let slope = g.mass_u * cv + g.mass_b * p.u_t;
        let dt = (self.ledger.energy - sum) / slope;
        g.t_u += dt;
        g.t_b += dt;
        p.h_u += p.cp_u * dt;
        p.u += p.u_t * dt;
        p.r += p.r_t * dt;
        let filled = g.mass_u * r_u * g.t_u + g.mass_b * p.r * g.t_b;
        g.pressure = filled / g.volume;
        self.properties = p;
    }

    /// 1 in lanes whose state the gas properties can describe, else 0 (NaN included).
    #[inline(always)]
    pub fn is_sane(&self, fired: bool) -> V {
        let g = &self.gas;
        let sane = within(g.pressure, PRESSURES.0, PRESSURES.1)
            * within(g.t_u, UNBURNED.0, UNBURNED.1)
            * below(V::splat(0.0), g.mass_u);
        if fired { sane * within(g.t_b, BURNED.0, BURNED.1) } else { sane }
    }
}

/// Pressures (Pa) and temperatures (K) of both zones between which a state is believed.
const PRESSURES: (f64, f64) = (500.0, 8e7);
const UNBURNED: (f64, f64) = (150.0, 2500.0);
const BURNED: (f64, f64) = (250.0, 5000.0);

/// Says what is wrong with a state that is not sane, naming the pressure and both temperatures of
/// the last good one.
pub(super) fn fault(theta: f64, gas: &Gas<f64>, good: &Gas<f64>) -> CylinderError {
    let out = |x: f64, range: (f64, f64)| !(range.0..=range.1).contains(&x);
    let (what, value) = if out(gas.pressure, PRESSURES) {
        ("pressure (Pa)", gas.pressure)
    } else if out(gas.t_u, UNBURNED) {
        ("unburned temperature (K)", gas.t_u)
    } else if gas.mass_b > 0.0 && out(gas.t_b, BURNED) {
        ("burned temperature (K)", gas.t_b)
    } else {
        ("unburned mass (kg)", gas.mass_u)
    };
    CylinderError::State {
        what,
        value,
        angle_deg: theta.to_degrees(),
        pressure: good.pressure,
        unburned_temperature: good.t_u,
        burned_temperature: good.t_b,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn logarithm_of_a_ratio_is_the_librarys() {
        for i in -20..=20 {
            let ratio = 1.0 + 0.01 * f64::from(i);
            assert!((ln_ratio(3e6 * ratio, 3e6) - ratio.ln()).abs() < 1e-10, "{ratio}");
        }
    }
}
