//! Flow function of a nozzle or orifice without powers.
//!
//! Equation: `G^2 = rho0 dp K(delta)`, `delta = dp/p0`, G mass flow per effective area,
//! `K = 2 - c1 delta - c2 delta^2` below `s = 1 - b`, `psi*^2 / delta` above; b is the critical
//! pressure ratio and `psi*` the choked flow function of the isentropic nozzle (both exact for
//! the gas's ratio of specific heats). With `k = psi*^2/s`, `c2 = (2k-2)/s^2`,
//! `c1 = (2-k)/s - c2 s`, value and slope are exact at both ends.
//! Source: ellipse form of ISO 6358 (from memory), constants ours.
//! Range: gamma 1.1 to 1.7; within 0.07 % of the isentropic formula.

use shortblock_lanes::Lane;

/// Polynomials in `gamma - 1.35` for s, c1, c2, lowest power first; ours, interpolated at
/// Chebyshev points of 1.1 to 1.7 (s to 3e-8, c1 to 8e-6, c2 to 2e-5).
const S_FIT: [f64; 6] = [
    4.631487673e-1,
    1.744024904e-1,
    -6.139228816e-2,
    2.262655176e-2,
    -8.682364616e-3,
    3.001032223e-3,
];
const C1_FIT: [f64; 6] =
    [2.242727024, -1.739468385, 1.133379673, -8.182393922e-1, 6.267889050e-1, -3.785135031e-1];
const C2_FIT: [f64; 6] =
    [-1.203300826e-1, 1.378717767, -1.313081993, 1.240089304, -1.177753420, 8.136640592e-1];
const GAMMA_MIDDLE: f64 = 1.35;

/// The flow function of one gas.
#[derive(Clone, Copy, Debug)]
pub struct Nozzle<V> {
    s: V,
    c1: V,
    c2: V,
}

impl<V: Lane> Nozzle<V> {
    /// For a gas with ratio of specific heats `gamma` (1.1 to 1.7).
    #[inline(always)]
    pub fn new(gamma: V) -> Self {
        let x = gamma - V::splat(GAMMA_MIDDLE);
        Self { s: polynomial(&S_FIT, x), c1: polynomial(&C1_FIT, x), c2: polynomial(&C2_FIT, x) }
    }

    /// K at `delta`, the pressure drop over the upstream total pressure (0 to 1).
    #[inline(always)]
    pub fn k(&self, delta: V) -> V {
        let (top, bottom) = self.ratio(delta);
        top / bottom
    }

    /// K as numerator and denominator.
    #[inline(always)]
    pub(crate) fn ratio(&self, delta: V) -> (V, V) {
        let below = delta.min(self.s);
        let curve = V::splat(2.0) - below * (self.c1 + self.c2 * below);
        // Beyond the critical drop the flow stays, so K falls as 1 / delta.
        (curve * self.s, delta.max(self.s))
    }

    /// Whether the throat is sonic: 1 or 0 per lane.
    #[inline(always)]
    pub fn choked(&self, delta: V) -> V {
        V::select_lt(delta, self.s, V::splat(0.0), V::splat(1.0))
    }
}

#[inline(always)]
fn polynomial<V: Lane>(c: &[f64; 6], x: V) -> V {
    let mut sum = V::splat(c[5]);
    for k in (0..5).rev() {
        sum = sum.mul_add(x, V::splat(c[k]));
    }
    sum
}
