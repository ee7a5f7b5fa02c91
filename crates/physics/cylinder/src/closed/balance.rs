//! The volume balance of both zones and the crevice.
//!
//! Zones u and b share the pressure p and fill the volume V:
//! `dT_u = (V_u dp - q_u + ...)/(m_u cp)`, `m_b dh_b = V_b dp - q_b + (h_u - h_b) dm_b`, and
//! `dV = dV_u + dV_b` is linear in dp, so dp follows without iteration. Crevice flow is linear in dp
//! as well, with another factor in than out.

use super::gases::Properties;
use super::rates::Span;
use super::run::Lot;
use super::state::{Gas, Ledger};
use crate::blow_by;
use shortblock_lanes::Lane;

/// The zones' properties while a rate is worked out.
pub(super) struct Zones<V> {
    /// Whether there is a burned zone.
    fired: bool,
    h_u: V,
    pub v_u: V,
    /// Volumes, m^3.
    pub space: [V; 2],
    /// One over pressure, unburned temperature, cp of the unburned gas, d(h_b)/dT.
    per_p: V,
    per_t_u: V,
    per_cp_u: V,
    per_h_t: V,
    h_b: V,
    v_b: V,
    /// d(ln V_b)/dT and d(ln V_b)/dp at constant mass.
    stretch_t: V,
    stretch_p: V,
    /// Derivative of h_b to p.
    h_p: V,
}

/// How the gas answers a change of pressure, before the crevice.
struct Answer<V> {
    /// Change of volume not explained by pressure, m^3/s, and explained by it, m^3/Pa.
    constant: V,
    slope: V,
    /// Temperature per energy, unburned and burned, K/J.
    heat: [V; 2],
}

impl<V: Lane> Zones<V> {
    /// The zones of `s` with its properties; `r_u` is the gas constant of the unburned one.
    #[inline(always)]
    pub fn new(r_u: V, s: &Gas<V>, p: &Properties<V>, fired: bool) -> Self {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        let per_p = one / s.pressure;
        let v_u = r_u * s.t_u * per_p;
        let unburned = Self {
            fired,
            h_u: p.h_u,
            v_u,
            per_p,
            per_t_u: one / s.t_u,
            per_cp_u: one / p.cp_u,
            per_h_t: zero,
            space: [s.volume, zero],
            h_b: zero,
            v_b: zero,
            stretch_t: zero,
            stretch_p: zero,
            h_p: zero,
        };
        if !fired {
            return unburned;
        }
        let v_b = p.r * s.t_b * per_p;
        let per_r = one / p.r;
        Self {
            per_h_t: one / (p.u_t + p.r + s.t_b * p.r_t),
            space: [s.mass_u * v_u, s.mass_b * v_b],
            h_b: p.u + p.r * s.t_b,
            v_b,
            stretch_t: one / s.t_b + p.r_t * per_r,
            stretch_p: p.r_p * per_r - per_p,
            h_p: p.u_p + s.t_b * p.r_p,
            ..unburned
        }
    }
}

impl<V: Lane> Lot<'_, V> {
    /// Solves the volume balance for dp and sets all rates that follow from it: `q` heat from both
    /// zones, W, `burn` mass burned, kg/s.
    #[inline(always)]
    pub fn balance(
        &self,
        s: &Gas<V>,
        z: &Zones<V>,
        span: &Span<V>,
        q: [V; 2],
        burn: V,
        r: &mut Gas<V>,
        ledger: &mut Ledger<V>,
    ) {
        let heat_u = z.per_cp_u / s.mass_u;
        let warm_u = -(q[0] * heat_u);
        let push_u = z.v_u * z.per_cp_u;
        let mut answer = Answer {
            constant: span.volume_rate - z.space[0] * warm_u * z.per_t_u,
            slope: z.space[0] * (push_u * z.per_t_u - z.per_p),
            heat: [heat_u, V::splat(0.0)],
        };
        let (mut warm_b, mut push_b) = (V::splat(0.0), V::splat(0.0));
        if z.fired {
            // Mixing is taken with the mass at the middle of the step in both stages, so that a
            // small zone that grows several-fold in one step goes to its limit instead of past it.
            let mass_b = if span.first { s.mass_b + burn * span.dt } else { s.mass_b };
            let heat_b = z.per_h_t / mass_b;
            warm_b = (z.h_u - z.h_b) * burn * heat_b - q[1] * z.per_h_t / s.mass_b;
            push_b = (z.v_b - z.h_p) * z.per_h_t;
            answer.heat[1] = heat_b;
            answer.constant -= burn * (z.v_b - z.v_u) + z.space[1] * z.stretch_t * warm_b;
            answer.slope += z.space[1] * (z.stretch_t * push_b + z.stretch_p);
        }
        r.mass_u = -burn;
        r.mass_b = burn;
        r.t_u = warm_u;
        r.t_b = warm_b;
        let crevice_enthalpy = self.crevice(s, z, &answer, r, ledger);
        r.t_u += push_u * r.pressure;
        r.t_b += push_b * r.pressure;
        let [head, piston, liner] = ledger.heat;
        ledger.energy = -(head + piston + liner + ledger.latent + crevice_enthalpy);
    }

    /// Sets the rate of pressure with what flows into the crevice or out of it, takes that flow from
    /// the zones and returns the enthalpy that leaves them with it, W.
    #[inline(always)]
    fn crevice(
        &self,
        s: &Gas<V>,
        z: &Zones<V>,
        answer: &Answer<V>,
        r: &mut Gas<V>,
        ledger: &mut Ledger<V>,
    ) -> V {
        let (k, zero, one) = (&self.k, V::splat(0.0), V::splat(1.0));
        let h = k.crevice_enthalpy;
        let held = (s.crevice[0] + s.crevice[1]).max(V::splat(f64::MIN_POSITIVE));
        let unburned = s.crevice[0] / held;
        let share = [unburned, one - unburned];
        let leak =
            blow_by::mass_flow(k.leak_area, s.pressure, k.crankcase_pressure, k.walls[2], k.r);
        let inside = share[0] * h[0] + share[1] * h[1];
        // Volume that leaves with 1 kg, or that 1 kg coming back takes, warmed as its zone is. What
        // comes back meets both zones by the room they take. Unburned gas stays so in its own zone and
        // burns in the other; all else joins the burned gas.
        let unburned = z.space[0] / s.volume;
        let mouth = [unburned, one - unburned];
        let leaving = mouth[0] * z.v_u + mouth[1] * z.v_b;
        let join = [share[0] * mouth[0], one - share[0] * mouth[0]];
        let brought = [join[0] * h[0], inside - join[0] * h[0]];
        let warm_u = (brought[0] - join[0] * z.h_u) * answer.heat[0];
        let warm_b = (brought[1] - join[1] * z.h_b) * answer.heat[1];
        let coming = join[0] * z.v_u
            + z.space[0] * z.per_t_u * warm_u
            + join[1] * z.v_b
            + z.space[1] * z.stretch_t * warm_b;
        // The flow without its own effect on dp has the right sign; `slope` is negative.
        let store = k.crevice_mass_per_pa;
        let outwards = store * answer.constant + leak * answer.slope;
        let per_kg = V::select_lt(outwards, zero, leaving, coming);
        // Flow into the crevice f = store dp + leak takes the volume per_kg f.
        r.pressure = (answer.constant + per_kg * leak) / (answer.slope - per_kg * store);
        let flow = store * r.pressure + leak;
        let (into, back) =
            (V::select_lt(outwards, zero, flow, zero), V::select_lt(outwards, zero, zero, flow));
        r.mass_u -= mouth[0] * into;
        r.mass_b -= mouth[1] * into;
        r.mass_u -= join[0] * back;
        r.mass_b -= join[1] * back;
        r.t_u -= back * warm_u;
        r.t_b -= back * warm_b;
        let entering = into * (mouth[0] * z.h_u + mouth[1] * z.h_b);
        ledger.crevice_heat = entering - into * (mouth[0] * h[0] + mouth[1] * h[1]);
        for i in 0..2 {
            ledger.leak[i] = share[i] * leak;
            r.crevice[i] = mouth[i] * into + share[i] * back - ledger.leak[i];
        }
        ledger.leak_enthalpy = leak * inside;
        entering + back * inside
    }
}
