//! Burned gas of one mixture as a table: u and R over temperature and ln p.
//!
//! Filled at run start by the equilibrium solver. Above [`T_FREEZE`] the gas is in equilibrium, below it
//! the composition of ([`T_FREEZE`], p) is frozen. Each half is bicubic (Hermite, with the exact
//! derivatives at the nodes), so u and R are continuous everywhere and their derivatives
//! everywhere but across [`T_FREEZE`], where chemistry stops.

use crate::air::HumidAir;
use crate::equilibrium;
use crate::error::GasError;
use crate::frozen::{FrozenGas, increasing_root};
use crate::fuel::Fuel;
use crate::mixture::Elements;

/// Temperature below which the composition is frozen, K.
pub const T_FREEZE: f64 = 1700.0;

/// Properties of burned gas at one state, per kilogram.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BurnedState {
    /// Absolute specific internal energy, J/kg.
    pub u: f64,
    /// Specific gas constant, J/(kg K).
    pub r: f64,
    /// Derivative of `u` to T at constant p, J/(kg K).
    pub u_t: f64,
    /// Derivative of `u` to p at constant T, J/(kg Pa).
    pub u_p: f64,
    /// Derivative of `r` to T at constant p, J/(kg K2).
    pub r_t: f64,
    /// Derivative of `r` to p at constant T, J/(kg K Pa).
    pub r_p: f64,
}

/// Table of one mixture's burned gas.
#[derive(Debug, Clone, PartialEq)]
pub struct BurnedTable {
    elements: Elements,
    nodes: Vec<Node>,
    ln_p_min: f64,
    per_ln_p_step: f64,
}

/// u and R side by side, so that one instruction works on both.
type Pair = [f64; 2];

/// (u, R) and their changes per step of T, of ln p and of both, at one node: one cache line.
#[derive(Debug, Clone, Copy, PartialEq)]
#[repr(align(64))]
struct Node([Pair; 4]);

/// Least temperature of the table, K.
pub const T_MIN: f64 = 200.0;
/// Greatest temperature of the table, K.
pub const T_MAX: f64 = 3500.0;
/// Least pressure of the table, Pa.
pub const P_MIN: f64 = 1.0e4;
/// Greatest pressure of the table, Pa.
pub const P_MAX: f64 = 3.0e7;
/// Nodes over temperature below [`T_FREEZE`].
const N_COLD: usize = 11;
/// Nodes over temperature from [`T_FREEZE`] up.
const N_HOT: usize = 25;
/// Nodes over ln p.
const N_P: usize = 13;
/// Spacing of the nodes below [`T_FREEZE`], K.
const STEP_COLD: f64 = (T_FREEZE - T_MIN) / (N_COLD - 1) as f64;
/// Spacing of the nodes from [`T_FREEZE`] up, K.
const STEP_HOT: f64 = (T_MAX - T_FREEZE) / (N_HOT - 1) as f64;
/// Places in a node.
const VALUE: usize = 0;
const BY_T: usize = 1;
const BY_P: usize = 2;
const BY_BOTH: usize = 3;
/// Nodes of one column of constant pressure: the cold half, then the hot half.
const N_COLUMN: usize = N_COLD + N_HOT;

impl BurnedTable {
    /// Returns the table for `fuel` and `air` at equivalence ratio `phi`.
    ///
    /// # Errors
    /// As [`Elements::new`] and [`equilibrium::solve`].
    pub fn new(fuel: &Fuel, phi: f64, air: &HumidAir) -> Result<BurnedTable, GasError> {
        Self::from_elements(&Elements::new(fuel, phi, air)?)
    }

    /// Returns the table for a mixture given by its elements.
    ///
    /// # Errors
    /// As [`equilibrium::solve`].
    pub fn from_elements(elements: &Elements) -> Result<BurnedTable, GasError> {
        let ln_p_min = P_MIN.ln();
        let ln_p_step = (P_MAX.ln() - ln_p_min) / (N_P - 1) as f64;
        let mut nodes = vec![Node([[0.0; 2]; 4]); N_P * N_COLUMN];
        for (i, column) in nodes.chunks_exact_mut(N_COLUMN).enumerate() {
            fill_column(elements, (ln_p_min + i as f64 * ln_p_step).exp(), ln_p_step, column)?;
        }
        let mut table =
            BurnedTable { elements: *elements, nodes, ln_p_min, per_ln_p_step: 1.0 / ln_p_step };
        table.fill_slopes_over_pressure();
        Ok(table)
    }

    /// Returns the elements of the mixture.
    pub fn elements(&self) -> &Elements {
        &self.elements
    }

    /// Returns whether the table holds at `t` (K) and `p` (Pa).
    pub fn contains(&self, t: f64, p: f64) -> bool {
        (T_MIN..=T_MAX).contains(&t) && (P_MIN..=P_MAX).contains(&p)
    }

    /// Returns the state at `t` (K) and `p` (Pa).
    ///
    /// Outside the table ([`BurnedTable::contains`]) u goes on along its slope in T; R, and u over p,
    /// keep their value at the edge. So all stays finite and continuous; the caller counts it.
    #[inline]
    pub fn state(&self, t: f64, p: f64) -> BurnedState {
        let mut s = self.state_at_ln_p(t, p.ln());
        let per_p = 1.0 / p;
        s.u_p *= per_p;
        s.r_p *= per_p;
        s
    }

    /// Returns the temperature (K) at which the internal energy is `u` (J/kg) at pressure `p` (Pa);
    /// `guess` (K) is a temperature near it. Above or below the table it follows the extension.
    pub fn temperature_from_u(&self, u: f64, p: f64, guess: f64) -> f64 {
        let ln_p = p.ln();
        let f = |t: f64| {
            let s = self.state_at_ln_p(t, ln_p);
            (s.u - u, s.u_t)
        };
        increasing_root(f, 1.0, 10.0 * T_MAX, guess)
    }

    /// Slopes over ln p that the columns do not know themselves, by five-point differences.
    fn fill_slopes_over_pressure(&mut self) {
        for row in 0..N_COLUMN {
            for (from, to) in [(VALUE, BY_P), (BY_T, BY_BOTH)] {
                // At T_FREEZE and above the slope over ln p is the solver's, so that both halves meet.
                if to == BY_P && row >= N_COLD - 1 {
                    continue;
                }
                for k in 0..2 {
                    let mut line = [0.0; N_P];
                    for (i, value) in line.iter_mut().enumerate() {
                        *value = self.nodes[i * N_COLUMN + row].0[from][k];
                    }
                    for i in 0..N_P {
                        self.nodes[i * N_COLUMN + row].0[to][k] = slope(&line, i);
                    }
                }
            }
        }
    }

    /// As [`BurnedTable::state`], with derivatives to ln p in place of p.
    #[inline]
    fn state_at_ln_p(&self, t: f64, ln_p: f64) -> BurnedState {
        // NaN passes the clamps, lands in the first cell and comes out as NaN.
        let tc = t.clamp(T_MIN, T_MAX);
        let (first, count, origin, per_step) = if t < T_FREEZE {
            (0, N_COLD, T_MIN, 1.0 / STEP_COLD)
        } else {
            (N_COLD, N_HOT, T_FREEZE, 1.0 / STEP_HOT)
        };
        let x = (tc - origin) * per_step;
        let y_asked = (ln_p - self.ln_p_min) * self.per_ln_p_step;
        let y = y_asked.clamp(0.0, (N_P - 1) as f64);
        let i = (x as usize).min(count - 2);
        let j = (y as usize).min(N_P - 2);
        let at = j * N_COLUMN + first + i;
        let cell = &self.nodes[at..at + N_COLUMN + 2];
        let corners = [&cell[0].0, &cell[1].0, &cell[N_COLUMN].0, &cell[N_COLUMN + 1].0];
        let [[u, r], [u_x, r_x], [u_y, r_y]] =
            bicubic(corners, &hermite(x - i as f64), &hermite(y - j as f64));
        let (u_t, mut r_t) = (u_x * per_step, r_x * per_step);
        let (mut u_p, mut r_p) = (u_y * self.per_ln_p_step, r_y * self.per_ln_p_step);
        let beyond = t - tc;
        if beyond != 0.0 {
            r_t = 0.0;
        }
        if y != y_asked {
            (u_p, r_p) = (0.0, 0.0);
        }
        BurnedState { u: u + beyond * u_t, r, u_t, u_p, r_t, r_p }
    }
}

/// Fills one column at pressure `p`: values and slopes over T, and over ln p where the solver knows.
fn fill_column(
    elements: &Elements,
    p: f64,
    ln_p_step: f64,
    column: &mut [Node],
) -> Result<(), GasError> {
    let state = equilibrium::solve(elements, T_FREEZE, p)?;
    let frozen = FrozenGas::from_moles(&state.moles);
    for i in 0..N_COLD {
        let t = T_MIN + i as f64 * STEP_COLD;
        column[i].0[VALUE] = [frozen.u(t), frozen.r];
        column[i].0[BY_T] = [frozen.cv(t) * STEP_COLD, 0.0];
    }
    column[N_COLD - 1].0[BY_P] = [state.u_lnp * ln_p_step, state.r_lnp * ln_p_step];
    for i in 0..N_HOT {
        let t = T_FREEZE + i as f64 * STEP_HOT;
        let state = equilibrium::solve(elements, t, p)?;
        column[N_COLD + i].0 = [
            [state.u, state.r],
            [state.u_t * STEP_HOT, state.r_t * STEP_HOT],
            [state.u_lnp * ln_p_step, state.r_lnp * ln_p_step],
            [0.0; 2],
        ];
    }
    Ok(())
}

/// Weights of the five-point derivative at each of its points, times 12.
const FIVE_POINT: [[f64; 5]; 5] = [
    [-25.0, 48.0, -36.0, 16.0, -3.0],
    [-3.0, -10.0, 18.0, -6.0, 1.0],
    [1.0, -8.0, 0.0, 8.0, -1.0],
    [-1.0, 6.0, -18.0, 10.0, 3.0],
    [3.0, -16.0, 36.0, -48.0, 25.0],
];

/// Returns the change per step at point `i` of values at equal steps.
fn slope(values: &[f64; N_P], i: usize) -> f64 {
    let first = i.saturating_sub(2).min(N_P - 5);
    let sum: f64 = FIVE_POINT[i - first].iter().zip(&values[first..]).map(|(w, v)| w * v).sum();
    sum / 12.0
}

/// Returns the cubic Hermite weights of (value, slope) at both ends of a cell of unit length, and
/// their derivatives.
#[inline(always)]
fn hermite(z: f64) -> ([f64; 4], [f64; 4]) {
    let w = 1.0 - z;
    let value = [w * w * (1.0 + 2.0 * z), z * w * w, z * z * (3.0 - 2.0 * z), -z * z * w];
    let hump = 6.0 * z * w;
    let derivative = [-hump, w * (1.0 - 3.0 * z), hump, z * (3.0 * z - 2.0)];
    (value, derivative)
}

/// Returns the sum of four pairs with weights.
#[inline(always)]
fn weighted(w: &[f64; 4], v: [Pair; 4]) -> Pair {
    let sum = |k: usize| (w[0] * v[0][k] + w[1] * v[1][k]) + (w[2] * v[2][k] + w[3] * v[3][k]);
    [sum(0), sum(1)]
}

/// Returns value, T derivative and ln p derivative of both numbers from the four corners of a cell.
#[inline(always)]
fn bicubic(
    [a, b, c, d]: [&[Pair; 4]; 4],
    (bx, dx): &([f64; 4], [f64; 4]),
    (by, dy): &([f64; 4], [f64; 4]),
) -> [Pair; 3] {
    // Along T first: value and ln p slope at the lower and upper pressure of the cell.
    let along = |w: &[f64; 4], lo: &[Pair; 4], hi: &[Pair; 4], k: usize| {
        weighted(w, [lo[k], lo[k + 1], hi[k], hi[k + 1]])
    };
    let edges = |w: &[f64; 4]| {
        [along(w, a, b, VALUE), along(w, a, b, BY_P), along(w, c, d, VALUE), along(w, c, d, BY_P)]
    };
    let values = edges(bx);
    [weighted(by, values), weighted(by, edges(dx)), weighted(dy, values)]
}
