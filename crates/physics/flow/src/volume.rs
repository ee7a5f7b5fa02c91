//! A well-stirred volume: plenum, collector, silencer chamber, air box, sump.
//!
//! Its state at the half step is extrapolated from the last step's rates, so that the fluxes of
//! a step, taken once, see the volume in the middle of the step: second order in time.

use crate::{Flow, GasSet, Reservoir};
use shortblock_lanes::{Lane, lanewise};

/// The half-step contents stay above this fraction of the present ones. Ours.
const HALF_STEP_FLOOR: f64 = 0.2;

/// What a volume holds.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct Volume<V, const S: usize> {
    /// Mass, kg.
    pub mass: V,
    /// Sensible internal energy, J.
    pub energy: V,
    /// Masses of the transported gases, kg.
    pub scalars: [V; S],
    /// Volume, m3.
    pub volume: V,
    /// Rates of the last step: net flows, work of the moving wall included.
    pub rate: Flow<V, S>,
    /// How often the half-step contents were held above a fraction of the present ones.
    pub floors: V,
}

lanewise!(Volume, S { mass, energy, scalars, volume, rate, floors });

impl<V: Lane, const S: usize> Volume<V, S> {
    /// A volume (m3) at pressure `p` (Pa), temperature `t` (K), fractions `y`.
    pub fn new(gases: &GasSet<V, S>, volume: V, p: V, t: V, y: &[V; S]) -> Self {
        let mixture = gases.mix(y);
        let mass = p * volume / (mixture.r * t);
        let mut scalars = *y;
        for s in 0..S {
            scalars[s] = mass * y[s];
        }
        Self {
            mass,
            energy: mass * mixture.energy_for(t),
            scalars,
            volume,
            rate: Flow::zero(),
            floors: V::splat(0.0),
        }
    }

    /// The present state.
    #[inline(always)]
    pub fn reservoir(&self, gases: &GasSet<V, S>) -> Reservoir<V, S> {
        contents(gases, self.mass, self.energy, &self.scalars, self.volume)
    }

    /// The state half a step `dt` (s) on, where the volume will be `volume_half` (m3).
    #[inline(always)]
    pub fn reservoir_at_half(
        &mut self,
        gases: &GasSet<V, S>,
        dt: V,
        volume_half: V,
    ) -> Reservoir<V, S> {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        let half = V::splat(0.5) * dt;
        let floor = V::splat(HALF_STEP_FLOOR);
        let mass = self.mass + half * self.rate.mass;
        let energy = self.energy + half * self.rate.energy;
        let (mass_floor, energy_floor) = (floor * self.mass, floor * self.energy);
        let short = V::select_lt(energy, energy_floor, one, zero);
        self.floors += V::select_lt(mass, mass_floor, one, short);
        let mut scalars = self.scalars;
        for s in 0..S {
            scalars[s] = (scalars[s] + half * self.rate.scalars[s]).max(zero);
        }
        contents(gases, mass.max(mass_floor), energy.max(energy_floor), &scalars, volume_half)
    }

    /// Takes in the step's net flow (into the volume, heat included in its energy) and moves
    /// the wall to `volume_after` (m3) against the half-step pressure `p_half` (Pa).
    #[inline(always)]
    pub fn apply(&mut self, net: &Flow<V, S>, dt: V, p_half: V, volume_after: V) {
        let work = p_half * (volume_after - self.volume);
        self.rate = *net;
        self.rate.energy = net.energy - work / dt;
        self.mass += dt * net.mass;
        self.energy += dt * net.energy - work;
        for s in 0..S {
            self.scalars[s] += dt * net.scalars[s];
        }
        self.volume = volume_after;
    }
}

#[inline(always)]
fn contents<V: Lane, const S: usize>(
    gases: &GasSet<V, S>,
    mass: V,
    energy: V,
    scalars: &[V; S],
    volume: V,
) -> Reservoir<V, S> {
    let inverse = V::splat(1.0) / mass;
    let mut y = *scalars;
    for s in 0..S {
        y[s] = scalars[s] * inverse;
    }
    let mixture = gases.mix(&y);
    let (t, gamma, _) = mixture.temperature(energy * inverse);
    let rho = mass / volume;
    let r = mixture.r;
    Reservoir { p: rho * r * t, t, y, rho, r, gamma, h: mixture.enthalpy(t) }
}
