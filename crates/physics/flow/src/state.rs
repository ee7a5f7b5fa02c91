//! The state of one cell: what is conserved, and what is worked with.

use crate::{Events, GasSet};
use shortblock_lanes::{Lane, lanewise};

/// The internal energy is held above this share of the total or kinetic
/// energy. Ours: Mach 100 and more.
const ENERGY_FLOOR: f64 = 1e-4;

/// Conserved quantities per volume.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(C)]
pub struct Conserved<V, const S: usize> {
    /// Density, kg/m3.
    pub rho: V,
    /// Momentum, kg/(m2 s).
    pub momentum: V,
    /// Sensible internal plus kinetic energy, J/m3.
    pub energy: V,
    /// Densities of the transported gases, kg/m3.
    pub scalars: [V; S],
}

/// The same state in the quantities that are reconstructed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(C)]
pub struct Primitive<V, const S: usize> {
    /// Pressure, Pa.
    pub p: V,
    /// Velocity, m/s.
    pub u: V,
    /// Temperature, K.
    pub t: V,
    /// Mass fractions of the transported gases.
    pub y: [V; S],
    /// Ratio of specific heats.
    pub gamma: V,
    /// Specific volume, m3/kg.
    pub v: V,
    /// Temperature change per pressure change at constant entropy, `1 / (rho cp)`, K/Pa.
    pub isentropic: V,
}

lanewise!(Conserved, S { rho, momentum, energy, scalars });
lanewise!(Primitive, S { p, u, t, y, gamma, v, isentropic });

/// Mass fractions up to this one do not travel. Numbers that decay without end become subnormal,
/// and processors take a hundred times as long over those; the mass itself stays in its cell.
const TRACE: f64 = 1e-12;

impl<V: Lane, const S: usize> Conserved<V, S> {
    /// The state with pressure `p` (Pa), velocity `u` (m/s), temperature `t` (K), fractions `y`.
    pub fn from_primitive(gases: &GasSet<V, S>, p: V, u: V, t: V, y: &[V; S]) -> Self {
        let mixture = gases.mix(y);
        let rho = p / (mixture.r * t);
        let energy = rho * (mixture.energy_for(t) + V::splat(0.5) * u * u);
        let mut scalars = *y;
        for s in 0..S {
            scalars[s] = rho * y[s];
        }
        Self { rho, momentum: rho * u, energy, scalars }
    }

    /// The primitive state.
    #[inline(always)]
    pub fn primitive(&self, gases: &GasSet<V, S>) -> Primitive<V, S> {
        let zero = V::splat(0.0);
        let mut events = Events { half_step_floors: zero, energy_floors: zero };
        self.primitive_counted(gases, &mut events)
    }

    /// The primitive state; counts where the internal energy had to be held above zero.
    #[inline(always)]
    pub(crate) fn primitive_counted(
        &self,
        gases: &GasSet<V, S>,
        events: &mut Events<V>,
    ) -> Primitive<V, S> {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        let kinetic = V::splat(0.5) * (self.momentum * self.momentum);
        let total = self.rho * self.energy;
        let floor = V::splat(ENERGY_FLOOR) * total.max(kinetic);
        let k = total - kinetic;
        events.energy_floors += V::select_lt(k, floor, one, zero);
        let mixture = gases.weigh(self.rho, &self.scalars);
        let inverted = mixture.invert(self.rho, k.max(floor));
        let (t, v) = (inverted.t, inverted.v);
        let mut y = self.scalars;
        for s in 0..S {
            let fraction = self.scalars[s] * v;
            y[s] = V::select_lt(V::splat(TRACE), fraction, fraction, zero);
        }
        Primitive {
            p: mixture.r * t,
            u: self.momentum * v,
            t,
            y,
            gamma: inverted.gamma,
            v,
            isentropic: inverted.inverse_heat_capacity,
        }
    }
}
