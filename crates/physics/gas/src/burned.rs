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
    cells: Vec<Cell>,
    ln_p_min: f64,
    per_ln_p_step: f64,
}

/// u and R side by side, so that one instruction works on both.
type Pair = [f64; 2];

/// (u, R) and their changes per step of T, of ln p and of both, at one node.
type Node = [Pair; 4];

/// Coefficients of one power of x: (u, R) for each power of y, worked on together.
type Row = [f64; 8];

/// A cell as a polynomial: a row for each power of x, where x and y run from 0 to 1 over it.
#[derive(Debug, Clone, Copy, PartialEq)]
#[repr(align(64))]
struct Cell([Row; 4]);

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
/// Cells between two columns.
const N_CELLS: usize = N_COLUMN - 2;

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
        let mut nodes = vec![[[0.0; 2]; 4]; N_P * N_COLUMN];
        for (i, column) in nodes.chunks_exact_mut(N_COLUMN).enumerate() {
            fill_column(elements, (ln_p_min + i as f64 * ln_p_step).exp(), ln_p_step, column)?;
        }
        fill_slopes_over_pressure(&mut nodes);
        let (elements, per_ln_p_step) = (*elements, 1.0 / ln_p_step);
        Ok(BurnedTable { elements, cells: cells(&nodes), ln_p_min, per_ln_p_step })
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
        self.state_with_ln(t, p, p.ln())
    }

    /// As [`BurnedTable::state`], with `ln_p` = ln(p / Pa) already known.
    #[inline(always)]
    pub fn state_with_ln(&self, t: f64, p: f64, ln_p: f64) -> BurnedState {
        let mut s = self.state_at_ln_p(t, ln_p);
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

    /// As [`BurnedTable::state`], with derivatives to ln p in place of p.
    #[inline(always)]
    fn state_at_ln_p(&self, t: f64, ln_p: f64) -> BurnedState {
        // NaN passes the clamps, lands in the first cell and comes out as NaN.
        let tc = t.clamp(T_MIN, T_MAX);
        let (first, count, origin, per_step) = if t < T_FREEZE {
            (0, N_COLD - 1, T_MIN, 1.0 / STEP_COLD)
        } else {
            (N_COLD - 1, N_HOT - 1, T_FREEZE, 1.0 / STEP_HOT)
        };
        let x = (tc - origin) * per_step;
        let y_asked = (ln_p - self.ln_p_min) * self.per_ln_p_step;
        let y = y_asked.clamp(0.0, (N_P - 1) as f64);
        let i = (x as u32 as usize).min(count - 1);
        let j = (y as u32 as usize).min(N_P - 2);
        let cell = &self.cells[j * N_CELLS + first + i];
        let [[u, r], [u_x, r_x], [u_y, r_y]] = cell.at(x - i as f64, y - j as f64);
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

/// Slopes over ln p that the columns do not know themselves, by five-point differences.
fn fill_slopes_over_pressure(nodes: &mut [Node]) {
    for row in 0..N_COLUMN {
        for (from, to) in [(VALUE, BY_P), (BY_T, BY_BOTH)] {
            // At T_FREEZE and above the slope over ln p is the solver's, so that both halves meet.
            if to == BY_P && row >= N_COLD - 1 {
                continue;
            }
            for k in 0..2 {
                let mut line = [0.0; N_P];
                for (i, value) in line.iter_mut().enumerate() {
                    *value = nodes[i * N_COLUMN + row][from][k];
                }
                for i in 0..N_P {
                    nodes[i * N_COLUMN + row][to][k] = slope(&line, i);
                }
            }
        }
    }
}

/// Returns the cells between the nodes, column by column; none spans the doubled row at T_FREEZE.
fn cells(nodes: &[Node]) -> Vec<Cell> {
    let mut out = Vec::with_capacity((N_P - 1) * N_CELLS);
    for pair in nodes.windows(N_COLUMN * 2).step_by(N_COLUMN) {
        let (low, high) = pair.split_at(N_COLUMN);
        for i in (0..N_COLUMN - 1).filter(|i| *i != N_COLD - 1) {
            out.push(Cell::new([&low[i], &low[i + 1], &high[i], &high[i + 1]]));
        }
    }
    out
}

/// Coefficients of the cubic from (value, slope) at 0 and (value, slope) at 1.
const HERMITE: [[f64; 4]; 4] =
    [[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [-3.0, -2.0, 3.0, -1.0], [2.0, 1.0, -2.0, 1.0]];

impl Cell {
    /// From the nodes at (x, y) = (0, 0), (1, 0), (0, 1), (1, 1).
    fn new(corners: [&Node; 4]) -> Cell {
        // Row of the Hermite data over y, column over x: value and slope at both ends.
        let data = |m: usize, k: usize| corners[m / 2 * 2 + k / 2][m % 2 * BY_P + k % 2 * BY_T];
        let mut out = [[0.0; 8]; 4];
        for (k, row) in out.iter_mut().enumerate() {
            for (m, c) in row.chunks_exact_mut(2).enumerate() {
                for (a, b) in (0..4).flat_map(|a| (0..4).map(move |b| (a, b))) {
                    let weight = HERMITE[m][a] * HERMITE[k][b];
                    let d = data(a, b);
                    c[0] += weight * d[0];
                    c[1] += weight * d[1];
                }
            }
        }
        Cell(out)
    }

    /// Returns value, x derivative and y derivative at `x`, `y`.
    #[inline(always)]
    fn at(&self, x: f64, y: f64) -> [Pair; 3] {
        let (over_y, slopes) = cubic(&self.0, x);
        let (value, by_y) = cubic(&powers(over_y), y);
        let (by_x, _) = cubic(&powers(slopes), y);
        [value, by_x, by_y]
    }
}

/// The coefficients over y as pairs.
#[inline(always)]
fn powers([a, b, c, d, e, f, g, h]: Row) -> [Pair; 4] {
    [[a, b], [c, d], [e, f], [g, h]]
}

/// Returns a cubic and its derivative by Horner's rule, several side by side.
#[inline(always)]
fn cubic<const N: usize>(c: &[[f64; N]; 4], x: f64) -> ([f64; N], [f64; N]) {
    let step = |a: [f64; N], b: [f64; N]| {
        let mut out = b;
        for i in 0..N {
            out[i] += a[i] * x;
        }
        out
    };
    let slope = c[3];
    let value = step(c[3], c[2]);
    let slope = step(slope, value);
    let value = step(value, c[1]);
    let slope = step(slope, value);
    (step(value, c[0]), slope)
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
        column[i][VALUE] = [frozen.u(t), frozen.r];
        column[i][BY_T] = [frozen.cv(t) * STEP_COLD, 0.0];
    }
    column[N_COLD - 1][BY_P] = [state.u_lnp * ln_p_step, state.r_lnp * ln_p_step];
    for i in 0..N_HOT {
        let t = T_FREEZE + i as f64 * STEP_HOT;
        let state = equilibrium::solve(elements, t, p)?;
        column[N_COLD + i] = [
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
