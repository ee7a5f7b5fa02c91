//! Properties of both zones in lanes, each lane with its own mixture.

use super::numbers::{numbers, within};
use super::run::Lot;
use super::state::Gas;
use shortblock_gas::burned::{P_MAX, P_MIN, T_MAX, T_MIN};
use shortblock_gas::nasa::{Nasa7, T_BREAK};
use shortblock_lanes::Lane;

numbers! {
    /// Properties of both zones at a state; those of the burned one as in
    /// [`shortblock_gas::BurnedState`], zero while there is none.
    struct Properties {
        cp_u,
        h_u,
        u,
        r,
        u_t,
        u_p,
        r_t,
        r_p,
    }
}

/// Coefficients of enthalpy over temperature below and above the break, ascending powers: those of
/// cp over the power they get by integration.
pub(super) fn enthalpy_coefficients(gas: &Nasa7) -> [[f64; 6]; 2] {
    [&gas.low, &gas.high].map(|a| [a[5], a[0], a[1] / 2.0, a[2] / 3.0, a[3] / 4.0, a[4] / 5.0])
}

impl<V: Lane> Lot<'_, V> {
    /// Enthalpy of the unburned gas (J/kg) and its slope, the heat capacity (J/(kg K)).
    #[inline(always)]
    pub fn enthalpy(&self, t: V) -> [V; 2] {
        let (mut h, mut cp) = (V::splat(0.0), V::splat(0.0));
        for k in (0..6).rev() {
            let c = V::select_lt(t, V::splat(T_BREAK), self.k.cold[k], self.k.hot[k]);
            cp = cp.mul_add(t, h);
            h = h.mul_add(t, c);
        }
        [h, cp]
    }

    /// Properties of both zones at the temperatures and pressure of `s`, with its logarithm.
    #[inline(always)]
    pub fn properties(&self, s: &Gas<V>, ln_p: V, fired: bool) -> Properties<V> {
        let [h_u, cp_u] = self.enthalpy(s.t_u);
        let mut p =
            if fired { self.burned(s.t_b, s.pressure, ln_p) } else { Properties::default() };
        (p.h_u, p.cp_u) = (h_u, cp_u);
        p
    }

    /// Properties of the burned gas alone.
    #[inline(always)]
    pub fn burned(&self, t: V, pressure: V, ln_p: V) -> Properties<V> {
        let mut out: Properties<V> = Properties::default();
        for (i, table) in self.tables.iter().enumerate() {
            let b = table.state_with_ln(t.get(i), pressure.get(i), ln_p.get(i));
            out.u.set(i, b.u);
            out.r.set(i, b.r);
            out.u_t.set(i, b.u_t);
            out.u_p.set(i, b.u_p);
            out.r_t.set(i, b.r_t);
            out.r_p.set(i, b.r_p);
        }
        out
    }
}

/// 1 in lanes whose burned gas lies in its table, else 0.
#[inline(always)]
pub(super) fn in_table<V: Lane>(s: &Gas<V>) -> V {
    within(s.t_b, T_MIN, T_MAX) * within(s.pressure, P_MIN, P_MAX)
}
