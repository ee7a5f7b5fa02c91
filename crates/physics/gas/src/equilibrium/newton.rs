//! One Newton step of the element potentials.

use super::NC;
use crate::species::{AR, CO, CO2, H, H2, H2O, N, N_SPECIES, N2, NO, O, O2, OH};

/// Returns the sums over species of `v` times their content of CO2, H2O, N2, O.
pub(super) fn components(v: &[f64; N_SPECIES]) -> [f64; NC] {
    [
        v[CO2] + v[CO],
        v[H2O] + v[H2] + 0.5 * (v[H] + v[OH]),
        v[N2] + 0.5 * (v[NO] + v[N]),
        2.0 * v[O2] + v[O] + v[NO] + 0.5 * (v[OH] - v[H]) - v[CO] - v[H2],
    ]
}

/// Returns the sum over all species but argon.
pub(super) fn sum_to_argon(v: &[f64; N_SPECIES]) -> f64 {
    v[..AR].iter().sum()
}

/// Multiplies moles by the exponential of a step of the potentials and ln of total moles.
pub(super) fn multiply(n: &mut [f64; N_SPECIES], step: &[f64; NC + 1]) {
    let total = step[NC].exp();
    let co2 = step[0].exp() * total;
    let root_h2o = (0.5 * step[1]).exp();
    let root_n2 = (0.5 * step[2]).exp();
    let root_o = (0.5 * step[3]).exp();
    let o = root_o * root_o;
    let (h2o, n2) = (root_h2o * root_h2o * total, root_n2 * root_n2 * total);
    n[CO2] *= co2;
    n[CO] *= co2 / o;
    n[H2O] *= h2o;
    n[H2] *= h2o / o;
    n[H] *= root_h2o * total / root_o;
    n[OH] *= root_h2o * total * root_o;
    n[N2] *= n2;
    n[NO] *= root_n2 * total * o;
    n[N] *= root_n2 * total;
    n[O2] *= o * o * total;
    n[O] *= o * total;
}

/// The linear system of a Newton step: symmetric, and CO2, H2O, N2 couple only to oxygen and the
/// total, so it reduces to two equations.
pub(super) struct System {
    /// Diagonal of CO2, H2O, N2 and their coupling to oxygen.
    diagonal: [f64; 3],
    coupling: [f64; 3],
    /// Column of the total: the components summed over the species.
    sum: [f64; NC + 1],
    /// Reduced equations: oxygen-oxygen, oxygen-total, total-total.
    reduced: [f64; 3],
}

impl System {
    pub fn new(n: &[f64; N_SPECIES], total: f64) -> System {
        let [co2, h2o, n2, o] = components(n);
        let sum = [co2, h2o, n2, o, sum_to_argon(n)];
        let diagonal = [co2, n[H2O] + n[H2] + 0.25 * (n[H] + n[OH]), n[N2] + 0.25 * (n[NO] + n[N])];
        let coupling = [-n[CO], 0.25 * (n[OH] - n[H]) - n[H2], 0.5 * n[NO]];
        // Oxygen-oxygen after elimination, as sums of positive products (Lagrange's identity):
        // the plain difference cancels when one species holds an element almost alone.
        let carbon = n[CO] * n[CO2];
        let hydrogen = n[H2O] * (n[H2] + 0.25 * (n[H] + n[OH])) + n[OH] * (n[H2] + 0.25 * n[H]);
        let nitrogen = n[NO] * (n[N2] + 0.25 * n[N]);
        let mut oxygen_total = sum[3];
        let mut total_total = sum[NC] - total;
        for k in 0..3 {
            oxygen_total -= coupling[k] * sum[k] / diagonal[k];
            total_total -= sum[k] * sum[k] / diagonal[k];
        }
        let oxygen_oxygen = 4.0 * n[O2]
            + n[O]
            + carbon / diagonal[0]
            + hydrogen / diagonal[1]
            + nitrogen / diagonal[2];
        System { diagonal, coupling, sum, reduced: [oxygen_oxygen, oxygen_total, total_total] }
    }

    pub fn residual(&self, amount: &[f64; NC], argon: f64, total: f64) -> [f64; NC + 1] {
        let mut r = [0.0; NC + 1];
        for k in 0..NC {
            r[k] = amount[k] - self.sum[k];
        }
        r[NC] = total - self.sum[NC] - argon;
        r
    }

    pub fn solve(&self, right: &[f64; NC + 1]) -> [f64; NC + 1] {
        let (mut r_o, mut r_n) = (right[3], right[NC]);
        for k in 0..3 {
            let share = right[k] / self.diagonal[k];
            r_o -= self.coupling[k] * share;
            r_n -= self.sum[k] * share;
        }
        let [oo, on, nn] = self.reduced;
        let ratio = on / nn;
        let oxygen = (r_o - ratio * r_n) / (oo - ratio * on);
        let total = (r_n - on * oxygen) / nn;
        let mut out = [0.0, 0.0, 0.0, oxygen, total];
        for k in 0..3 {
            out[k] =
                (right[k] - self.coupling[k] * oxygen - self.sum[k] * total) / self.diagonal[k];
        }
        out
    }
}
