//! Law of mass action: species from components at a given oxygen activity.

use super::NC;
use crate::species::{AR, CO, CO2, H, H2, H2O, N, N_SPECIES, N2, NO, O, O2, OH};

/// Law of mass action: constants of each species' formation from the components.
pub(super) struct MassAction {
    pub co: f64,
    pub h2: f64,
    oh: f64,
    h: f64,
    no: f64,
    n: f64,
    pub o2: f64,
    o: f64,
}

impl MassAction {
    pub fn new(g: &[f64; N_SPECIES]) -> MassAction {
        MassAction {
            co: (g[CO2] - g[CO]).exp(),
            h2: (g[H2O] - g[H2]).exp(),
            oh: (0.5 * g[H2O] - g[OH]).exp(),
            h: (0.5 * g[H2O] - g[H]).exp(),
            no: (0.5 * g[N2] - g[NO]).exp(),
            n: (0.5 * g[N2] - g[N]).exp(),
            o2: (-g[O2]).exp(),
            o: (-g[O]).exp(),
        }
    }

    /// Returns the moles at `total` moles and ln of oxygen activity `y` that balance carbon, hydrogen,
    /// nitrogen: `n_OH / sqrt(n_H2O total) = K_OH sqrt(a)` and the like.
    pub fn moles(
        &self,
        &[c, w, n2, _]: &[f64; NC],
        argon: f64,
        total: f64,
        y: f64,
    ) -> [f64; N_SPECIES] {
        let root_a = (0.5 * y).exp();
        let (a, root_total) = (root_a * root_a, total.sqrt());
        let mut n = [0.0; N_SPECIES];
        let co_per_co2 = self.co / a;
        n[CO2] = c / (1.0 + co_per_co2);
        n[CO] = c / (1.0 + 1.0 / co_per_co2);

        let (oh, h) = (self.oh * root_a * root_total, self.h / root_a * root_total);
        let h2_per_h2o = self.h2 / a;
        let root = root_of_quadratic(1.0 + h2_per_h2o, 0.5 * (oh + h), w);
        n[H2O] = root * root;
        n[H2] = n[H2O] * h2_per_h2o;
        (n[OH], n[H]) = (oh * root, h * root);

        let (no, nitrogen) = (self.no * a * root_total, self.n * root_total);
        let root = root_of_quadratic(1.0, 0.5 * (no + nitrogen), n2);
        n[N2] = root * root;
        (n[NO], n[N]) = (no * root, nitrogen * root);

        n[O2] = total * self.o2 * a * a;
        n[O] = total * self.o * a;
        n[AR] = argon;
        n
    }
}

/// Returns the positive root x of `a x^2 + b x = c`, for a, c > 0 and b >= 0.
fn root_of_quadratic(a: f64, b: f64, c: f64) -> f64 {
    2.0 * c / (b + (b * b + 4.0 * a * c).sqrt())
}
