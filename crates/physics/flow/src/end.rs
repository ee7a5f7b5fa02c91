//! Every end of a duct (valve, throttle, plenum, open air, wall): one closed form.

use crate::passing::Passing;
use crate::{Flow, GasSet};
use shortblock_lanes::{Lane, lanewise};

/// A state at rest that a duct's end looks into.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct Reservoir<V, const S: usize> {
    /// Pressure, Pa.
    pub p: V,
    /// Temperature, K.
    pub t: V,
    /// Mass fractions of the transported gases.
    pub y: [V; S],
    /// Density, kg/m3.
    pub rho: V,
    /// Gas constant, J/(kg K).
    pub r: V,
    /// Ratio of specific heats.
    pub gamma: V,
    /// Sensible enthalpy, J/kg.
    pub h: V,
}

lanewise!(Reservoir, S { p, t, y, rho, r, gamma, h });

impl<V: Lane, const S: usize> Reservoir<V, S> {
    /// From pressure (Pa), temperature (K) and fractions.
    #[inline(always)]
    pub fn new(gases: &GasSet<V, S>, p: V, t: V, y: &[V; S]) -> Self {
        let mixture = gases.mix(y);
        let r = mixture.r;
        let gamma = mixture.gamma(t);
        Self { p, t, y: *y, rho: p / (r * t), r, gamma, h: mixture.enthalpy(t) }
    }
}

/// The gas of a duct at its end, extrapolated to the face and advanced half a step.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct EndState<V, const S: usize> {
    /// Area of the end face, m2.
    pub area: V,
    /// Pressure, Pa.
    pub p: V,
    /// Velocity, m/s, positive **into** the duct.
    pub u: V,
    /// Temperature, K.
    pub t: V,
    /// Mass fractions of the transported gases.
    pub y: [V; S],
    /// Density, kg/m3.
    pub rho: V,
    /// Sound speed, m/s.
    pub c: V,
    /// Ratio of specific heats.
    pub gamma: V,
}

/// The opening between a reservoir and a duct's end.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct Opening<V> {
    /// Effective area for flow into the duct, m2; 0 is a wall, more than the end's area acts
    /// like the end's area.
    pub inflow_area: V,
    /// Effective area for flow out of the duct, m2.
    pub outflow_area: V,
    /// Loss of total pressure on inflow in dynamic heads of the duct.
    pub entry_loss: V,
}

impl<V: Lane> Opening<V> {
    /// The same effective area in m2 both ways, no entry loss.
    #[inline(always)]
    pub fn both_ways(area: V) -> Self {
        Self { inflow_area: area, outflow_area: area, entry_loss: V::splat(0.0) }
    }
}

/// What passes a duct's end during one step; signs are positive **into** the duct.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub struct EndFlux<V, const S: usize> {
    /// Mass flow, kg/s.
    pub mass: V,
    /// Pressure on the end face, Pa.
    pub p: V,
    /// Velocity at the end face, m/s: the caller keeps it for the next step's `end_flux`.
    pub u: V,
    /// Flow of total enthalpy, W.
    pub energy: V,
    /// Flows of the transported gases, kg/s.
    pub scalars: [V; S],
}

lanewise!(EndFlux, S { mass, p, u, energy, scalars });

impl<V: Lane, const S: usize> EndFlux<V, S> {
    /// Momentum flow with the face's pressure, N.
    #[inline(always)]
    pub fn momentum(&self, area: V) -> V {
        self.mass * self.u + self.p * area
    }

    /// What the duct gains and the reservoir loses.
    #[inline(always)]
    pub fn flow(&self) -> Flow<V, S> {
        Flow { mass: self.mass, energy: self.energy, scalars: self.scalars }
    }
}

/// Impedance and pressure on the end face stay above this share of the acoustic impedance and of
/// the duct's pressure. Ours: reached only where the face nears vacuum.
pub(crate) const FACE_FLOOR: f64 = 0.05;
/// Effective over face area from which the opening counts as the whole end. Ours.
const WHOLE_END: f64 = 0.99;

/// What the duct's own wave says about its face when the gas there moves with `u`.
#[derive(Clone, Copy)]
pub(crate) struct Face<V> {
    /// Impedance of the wave, Pa s/m.
    pub z: V,
    pub p: V,
}

impl<V: Lane, const S: usize> EndState<V, S> {
    /// Weak-shock characteristic `p_b = p_c + Z (u_b - u_c)`,
    /// `Z = rho (c + (gamma+1)/4 (u_b - u_c))`.
    #[inline(always)]
    pub(crate) fn face(&self, u: V) -> Face<V> {
        let one = V::splat(1.0);
        let du = u - self.u;
        let quarter = (self.gamma + one) * V::splat(0.25);
        let floor = V::splat(FACE_FLOOR);
        let z = (self.rho * (self.c + quarter * du)).max(floor * self.rho * self.c);
        let p = (self.p + z * du).max(floor * self.p);
        Face { z, p }
    }
}

/// Density ratio that goes with the pressures `p` over `p0` as numerator and denominator
/// (Hugoniot; equal to the isentropic ratio up to the third power of the pressure change, and no
/// power function).
#[inline(always)]
pub(crate) fn compression<V: Lane>(gamma: V, p: V, p0: V) -> (V, V) {
    let one = V::splat(1.0);
    let (plus, minus) = (gamma + one, gamma - one);
    (plus * p + minus * p0, minus * p + plus * p0)
}

/// The flux through the end of a duct that opens into `reservoir`.
///
/// `u_previous` is the `u` of the last step's flux (0 at the start). With no effective area the
/// end is a wall, exactly.
///
/// With u positive into the duct and `P = p_reservoir - (p_c - Z u_c)`, the nozzle law
/// `G^2 = rho0 dp K(dp/p0)` and the characteristic give `|P| = Z |u| + alpha u^2`,
/// `alpha = rho_b^2 / ((A_t/A)^2 rho0 K)`, less `rho_b (1 + M^2/4) / 2` on outflow, where the
/// duct's dynamic head drives the nozzle and is lost behind it. The direction is the sign of P.
/// The root is taken in a form that is never singular. Two passes from `u_previous`, and the
/// secant through them where they swing.
/// Inflow passes the face no faster than sound (see `no_faster_than_sound`).
/// A duct that blows out faster than sound through its whole end is left alone as long as the
/// reservoir's pressure is below that behind a normal shock.
#[inline(always)]
pub fn end_flux<V: Lane, const S: usize>(
    gases: &GasSet<V, S>,
    reservoir: &Reservoir<V, S>,
    state: &EndState<V, S>,
    opening: &Opening<V>,
    u_previous: V,
) -> EndFlux<V, S> {
    let mut passing = Passing::new(reservoir, state, opening, u_previous);
    passing.pass();
    passing.pass();
    passing.flux(gases, reservoir, opening)
}

/// 1 where the duct blows out faster than sound whatever the reservoir does, else 0.
#[inline(always)]
pub(crate) fn blows_free<V: Lane, const S: usize>(
    reservoir: &Reservoir<V, S>,
    state: &EndState<V, S>,
    opening: &Opening<V>,
) -> V {
    let (zero, one) = (V::splat(0.0), V::splat(1.0));
    let mach2 = state.u * state.u / (state.c * state.c);
    let shock = V::splat(2.0) * state.gamma / (state.gamma + one) * (mach2 - one);
    let weak = V::select_lt(reservoir.p, state.p * (one + shock), one, zero);
    let whole = V::select_lt(opening.outflow_area, V::splat(WHOLE_END) * state.area, zero, weak);
    V::select_lt(state.u, -state.c, whole, zero)
}

/// The flux at a closed end.
#[inline(always)]
pub fn wall_flux<V: Lane, const S: usize>(state: &EndState<V, S>) -> EndFlux<V, S> {
    let zero = V::splat(0.0);
    EndFlux { mass: zero, p: state.face(zero).p, u: zero, energy: zero, scalars: [zero; S] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Gas;

    /// A nearly full opening into a duct whose gas already runs close to sound: the nozzle is
    /// choked, so the mass is that of the isentropic choked nozzle whatever the duct does
    /// (Heywood 1988 eq. C.9, from memory), within the 0.07 % of the ellipse and what two passes
    /// leave. Without the secant the passes swing here.
    #[test]
    fn a_choked_valve_passes_its_mass_into_a_duct_near_sound() {
        let gases: GasSet<f64, 1> =
            GasSet::new(&Gas::constant_gamma(287.0, 1.33), &[Gas::constant_gamma(287.0, 1.33)]);
        let (gamma, r) = (1.33_f64, 287.0);
        let (p0, t0) = (1.74e5, 1186.0);
        let reservoir = Reservoir::new(&gases, p0, t0, &[0.0]);
        let area = 9.47e-4;
        for share in [0.6, 0.76, 0.9] {
            for (p, u) in [(0.60e5, 512.0), (0.68e5, 540.0), (0.80e5, 560.0), (0.57e5, 446.0)] {
                let t = 1010.0;
                let rho = p / (r * t);
                let c = (gamma * r * t).sqrt();
                let state = EndState { area, p, u, t, y: [0.0], rho, c, gamma };
                let opening = Opening::both_ways(share * area);
                // The run of steps that led here keeps its velocity from step to step.
                let mut kept = u;
                let mut flux = wall_flux(&state);
                for _ in 0..4 {
                    flux = end_flux(&gases, &reservoir, &state, &opening, kept);
                    kept = flux.u;
                }
                let power = (gamma + 1.0) / (2.0 * (gamma - 1.0));
                let choked = share
                    * area
                    * p0
                    * (gamma / (r * t0)).sqrt()
                    * (2.0 / (gamma + 1.0_f64)).powf(power);
                let critical = p0 * (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0));
                assert!(flux.p < critical, "not choked: {flux:?}");
                let ratio = flux.mass / choked;
                assert!((ratio - 1.0).abs() < 0.02, "share {share}, p {p}, u {u}: {ratio}");
                let sound = (2.0 * gamma / (gamma + 1.0) * r * t0).sqrt();
                assert!(flux.u <= sound * 1.000_001);
            }
        }
    }
}
