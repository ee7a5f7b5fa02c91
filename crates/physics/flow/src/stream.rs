//! The stream through a volume in which pipes meet: a momentum balance along its axis.
//!
//! A volume alone stops every jet that enters it. Where pipes run together into one, much of their
//! momentum goes on along the axis of the pipe that leaves:
//! `dM/dt = sum cos(angle) (m u + p A) + p_v (A_axis - sum cos(angle) A) - (m u + p A)_axis`,
//! sums over the arriving ends, p_v the pressure in the volume, which acts on its walls. The pipe
//! on the axis draws from the stagnation state of the stream, the others see its static state. In
//! steady flow this is the momentum balance of Borda and Carnot for a sudden enlargement (Idelchik,
//! Handbook of Hydraulic Resistance, section IV; from memory), and for pipes that meet at an angle
//! the same balance along the axis (Bassett, Winterbone & Pearson 2001, from memory).
//! Range: subsonic streams; the stagnation state is taken to second order in the Mach number.

use crate::{EndFlux, Reservoir, Volume};
use shortblock_lanes::{Lane, lanewise};

/// Momentum of the gas in a volume along its axis.
#[derive(Clone, Copy, Debug)]
pub struct Stream<V> {
    /// Momentum, kg m/s, towards the pipe on the axis; never negative.
    pub momentum: V,
    /// Force of the last step, N.
    pub force: V,
    /// Cosine of the angle between arriving pipes and axis; 0 where nothing goes on.
    pub cosine: V,
}

lanewise!(Stream { momentum, force, cosine });

/// Momentum of `mass` (kg) with this much energy (J) at the speed of sound.
#[inline(always)]
fn fastest<V: Lane>(mass: V, energy: V) -> V {
    (V::splat(2.0 * SONIC_SHARE) * mass * energy).max(V::splat(0.0)).sqrt()
}

/// Share of the energy of a stream at the speed of sound that is kinetic: `x/(1+x)` with
/// `x = gamma (gamma-1)/2`, 0.22 for air, 0.18 for exhaust gas.
const SONIC_SHARE: f64 = 0.18;

impl<V: Lane> Stream<V> {
    /// Gas at rest whose arriving pipes stand at `cosine` to the axis.
    pub fn still(cosine: V) -> Self {
        Self { momentum: V::splat(0.0), force: V::splat(0.0), cosine }
    }

    /// Speed along the axis half a step `dt` (s) on, m/s, and the gas at rest that the volume would
    /// be: less the stream's kinetic energy.
    #[inline(always)]
    pub fn at_half<const S: usize>(&self, volume: &Volume<V, S>, dt: V) -> (V, Volume<V, S>) {
        let half = V::splat(0.5) * dt;
        let mass = half.mul_add(volume.rate.mass, volume.mass);
        let most = fastest(mass, half.mul_add(volume.rate.energy, volume.energy));
        let momentum = half.mul_add(self.force, self.momentum).max(V::splat(0.0)).min(most);
        let speed = momentum / mass;
        let energy = volume.energy - V::splat(0.5) * momentum * speed;
        (speed, Volume { energy, ..*volume })
    }

    /// Takes up the step's force, N, after the volume has taken up its flows. The wall behind the
    /// pipes stops what would stream back into it, and holds against the pull of a pipe narrower than
    /// those that arrive. No stream is faster than sound: a jet that would drive it so shocks in the
    /// volume and is counted with its floors.
    #[inline(always)]
    pub fn apply<const S: usize>(&mut self, force: V, dt: V, volume: &mut Volume<V, S>) {
        let (zero, before) = (V::splat(0.0), self.momentum);
        let most = fastest(volume.mass, volume.energy);
        let wanted = dt.mul_add(force, before).max(zero);
        volume.floors += V::select_lt(most, wanted, V::splat(1.0), zero);
        self.momentum = wanted.min(most);
        self.force = (self.momentum - before) / dt;
    }

    /// Stagnation state of a stream of `speed` (m/s, at least 0) through gas of this static state.
    #[inline(always)]
    pub fn stagnation<const S: usize>(still: &Reservoir<V, S>, speed: V) -> Reservoir<V, S> {
        let one = V::splat(1.0);
        let head = V::splat(0.5) * speed * speed;
        let mach2 = V::splat(2.0) * head / (still.gamma * still.r * still.t);
        let p = (head * still.rho).mul_add(one + V::splat(0.25) * mach2, still.p);
        let t = head.mul_add((still.gamma - one) / (still.gamma * still.r), still.t);
        Reservoir { p, t, rho: p / (still.r * t), h: still.h + head, ..*still }
    }

    /// Force on the volume's gas by an arriving end of `area` (m²), less that of the wall which it
    /// leaves out at the volume's pressure `p` (Pa).
    #[inline(always)]
    pub fn arriving<const S: usize>(&self, flux: &EndFlux<V, S>, area: V, p: V) -> V {
        self.cosine * (flux.momentum(area) - p * area)
    }

    /// What the end on the axis takes of the force, as [`arriving`](Self::arriving).
    #[inline(always)]
    pub fn leaving<const S: usize>(flux: &EndFlux<V, S>, area: V, p: V) -> V {
        flux.momentum(area) - p * area
    }
}
