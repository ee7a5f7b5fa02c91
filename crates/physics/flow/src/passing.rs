//! The solution of one end in passes, so that the passes of many ends can be worked on side by side:
//! each is a chain of divisions and roots that wait for one another.

use crate::end::{FACE_FLOOR, Face, blows_free, compression};
use crate::{EndFlux, EndState, GasSet, Nozzle, Opening, Reservoir};
use shortblock_lanes::Lane;

/// One end on its way to its flux: [`end_flux`](crate::end_flux) is this with two passes.
#[derive(Clone, Copy, Debug)]
pub struct Passing<V, const S: usize> {
    state: EndState<V, S>,
    passage: Passage<V>,
    /// The last three estimates of the velocity at the face, m/s, the newest last.
    estimates: [V; 3],
}

impl<V: Lane, const S: usize> Passing<V, S> {
    /// Begins at the `u` of the last step's flux, m/s (0 at the start).
    #[inline(always)]
    pub fn new(
        reservoir: &Reservoir<V, S>,
        state: &EndState<V, S>,
        opening: &Opening<V>,
        u_previous: V,
    ) -> Self {
        let passage = Passage::new(reservoir, state, opening, u_previous);
        Self { state: *state, passage, estimates: [u_previous; 3] }
    }

    /// One pass: a better estimate of the velocity.
    #[inline(always)]
    pub fn pass(&mut self) {
        let [_, before, last] = self.estimates;
        self.estimates = [before, last, self.passage.velocity(&self.state, last)];
    }

    /// The flux that two passes come to; `reservoir` and `opening` as in the beginning.
    #[inline(always)]
    pub fn flux(
        &self,
        gases: &GasSet<V, S>,
        reservoir: &Reservoir<V, S>,
        opening: &Opening<V>,
    ) -> EndFlux<V, S> {
        let (state, passage) = (&self.state, &self.passage);
        let [start, first, second] = self.estimates;
        let u = between(start, first, second);
        let face = state.face(u);
        let density = passage.density(state, &face, u);
        let free = blows_free(reservoir, state, opening);
        let keep = |own: V, solved: V| V::select_lt(V::splat(0.0), free, own, solved);
        let (u, p, rho) = (keep(state.u, u), keep(state.p, face.p), keep(state.rho, density));

        let (mass, u, p) = passage.no_faster_than_sound(state, state.area * u * rho, u, p);
        let inflow = |x: V, y: V| V::select_lt(V::splat(0.0), u, x, y);
        // Used on outflow only, where p / rho = r T of the duct's gas.
        let t = p * state.rho * state.t / (rho * state.p);
        let h = p / rho + gases.energy(&state.y, t) + V::splat(0.5) * u * u;
        let mut scalars = state.y;
        for s in 0..S {
            scalars[s] = mass * inflow(reservoir.y[s], state.y[s]);
        }
        EndFlux { mass, p, u, energy: mass * inflow(reservoir.h, h), scalars }
    }
}

/// The fixed point that two passes have come to. Near the speed of sound they swing about it: then
/// it lies where the secant through both says (Aitken 1926, from memory).
#[inline(always)]
fn between<V: Lane>(start: V, first: V, second: V) -> V {
    let (zero, one) = (V::splat(0.0), V::splat(1.0));
    let (a, b) = (first - start, second - first);
    let swings = V::select_lt(a * b, zero, one, zero);
    let spread = V::select_lt(zero, swings, b - a, one);
    V::select_lt(zero, swings, start - a * a / spread, second)
}

/// One end's flow law with its direction chosen: 1 into the duct, -1 out of it.
#[derive(Clone, Copy, Debug)]
struct Passage<V> {
    direction: V,
    /// Reservoir's pressure, Pa, and density, kg/m3.
    p_outside: V,
    rho_outside: V,
    /// Gas constant of the reservoir's gas, J/(kg K), times temperature, and times `1 / (2 cp)`.
    rt: V,
    r_over_two_cp: V,
    /// Opening over end area.
    share: V,
    entry_loss: V,
    nozzle: Nozzle<V>,
}

impl<V: Lane> Passage<V> {
    #[inline(always)]
    fn new<const S: usize>(
        reservoir: &Reservoir<V, S>,
        state: &EndState<V, S>,
        opening: &Opening<V>,
        estimate: V,
    ) -> Self {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        let drive = reservoir.p - state.p + state.face(estimate).z * state.u;
        let inflow = |x: V, y: V| V::select_lt(zero, drive, x, y);
        let gamma = reservoir.gamma;
        Self {
            direction: inflow(one, -one),
            p_outside: reservoir.p,
            rho_outside: reservoir.rho,
            rt: reservoir.r * reservoir.t,
            r_over_two_cp: V::splat(0.5) * (gamma - one) / gamma,
            share: (inflow(opening.inflow_area, opening.outflow_area) / state.area).min(one),
            entry_loss: opening.entry_loss,
            nozzle: Nozzle::new(inflow(gamma, state.gamma)),
        }
    }

    #[inline(always)]
    fn pick(&self, inflow: V, outflow: V) -> V {
        V::select_lt(V::splat(0.0), self.direction, inflow, outflow)
    }

    /// Density in kg/m3 of the gas at the face: the reservoir's with its total enthalpy kept, or
    /// the duct's behind its own wave.
    #[inline(always)]
    fn density<const S: usize>(&self, state: &EndState<V, S>, face: &Face<V>, u: V) -> V {
        let rt = self.rt - self.r_over_two_cp * u * u;
        let rt = rt.max(V::splat(FACE_FLOOR) * self.rt);
        let (top, bottom) = compression(state.gamma, face.p, state.p);
        self.pick(face.p, state.rho * top) / self.pick(rt, bottom)
    }

    /// Mass flow, velocity and pressure of an inflow that would pass the end face faster than
    /// sound: a nearly full opening with a low pressure behind it. The opening then is choked, its
    /// mass passes the face at the speed of sound, and no wave from the duct reaches it.
    #[inline(always)]
    fn no_faster_than_sound<const S: usize>(
        &self,
        state: &EndState<V, S>,
        mass: V,
        u: V,
        p: V,
    ) -> (V, V, V) {
        let one = V::splat(1.0);
        // r / (2 cp) = (gamma - 1) / (2 gamma)
        let gamma = one / (one - self.r_over_two_cp - self.r_over_two_cp);
        let critical = V::splat(2.0) / (gamma + one) * self.rt;
        let sound = (gamma * critical).sqrt();
        let (top, bottom) = self.nozzle.ratio(one);
        let most = (self.rho_outside * self.p_outside * top / bottom).sqrt();
        let choked = state.area * self.share * most;
        let sonic = |x: V, y: V| V::select_lt(sound, u, x, y);
        (sonic(choked, mass), u.min(sound), sonic(choked * critical / (state.area * sound), p))
    }

    /// One pass: the velocity at the face in m/s from an estimate of it.
    #[inline(always)]
    fn velocity<const S: usize>(&self, state: &EndState<V, S>, estimate: V) -> V {
        let (zero, one, half) = (V::splat(0.0), V::splat(1.0), V::splat(0.5));
        let face = state.face(estimate);
        let drive = self.direction * (self.p_outside - state.p + face.z * state.u);
        // Against the chosen direction there is no flow in this step.
        let size = drive.max(zero);

        let rho = self.density(state, &face, estimate);
        let head = half * rho * estimate * estimate;
        // M^2 = 2 head / (gamma p); outflow: total state of the duct's gas at the face.
        let quarter_mach2 = half * head / (state.gamma * face.p);
        let p0_duct = quarter_mach2.mul_add(head, face.p + head);
        let (top, bottom) = compression(state.gamma, p0_duct, face.p);

        let p0 = self.pick(self.p_outside, p0_duct);
        let delta = ((p0 - self.pick(face.p, self.p_outside)) / p0).max(zero);
        let (k_top, k_bottom) = self.nozzle.ratio(delta);
        // alpha (A_t/A)^2; share 0 gives exactly 0, share 1 outflow the reservoir's pressure.
        let nozzle =
            rho * (self.pick(rho, bottom) * k_bottom) / (self.pick(self.rho_outside, top) * k_top);
        let per_head = self.pick(self.entry_loss, -(one + quarter_mach2));
        let alpha = (nozzle + half * self.share * self.share * per_head * rho).max(zero);
        let zs = face.z * self.share;
        let root = (zs * zs + V::splat(4.0) * alpha * size).sqrt();
        let speed = (size + size) * self.share / (zs + root);
        // No drive through a closed end would be 0/0.
        self.direction * V::select_lt(zero, size * self.share, speed, zero)
    }
}
