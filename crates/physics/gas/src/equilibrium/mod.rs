//! Chemical equilibrium of burned gas: twelve species at given temperature and pressure.
//!
//! Every species is written in four components, CO2, H2O, N2 and the oxygen atom, so that the
//! oxygen balance reads 2 O2 + O + OH/2 + NO - CO - H2 - H/2 = excess oxygen. No major species
//! enters it: the equilibrium of a stoichiometric mixture at 300 K, decided by mole fractions of
//! 1e-40, keeps full precision. Element potentials are then found by Newton's method (the reduced
//! form of Gordon & McBride 1994, NASA RP-1311), started from a one-dimensional solve for the oxygen
//! activity in which carbon, hydrogen and nitrogen are distributed in closed form.

mod mass_action;
mod newton;

use crate::constants::{P_STANDARD, R_UNIVERSAL};
use crate::error::{GasError, in_range};
use crate::mixture::Elements;
use crate::species::{AR, CO, CO2, H, H2, H2O, N_SPECIES, N2, NO, O, O2, OH, THERMO};
use mass_action::MassAction;
use newton::{System, components, multiply, sum_to_argon};

/// Temperatures accepted, K.
pub const T_RANGE: (f64, f64) = (250.0, 5000.0);
/// Pressures accepted, Pa.
pub const P_RANGE: (f64, f64) = (1.0e3, 1.0e8);

/// Range of ln of the oxygen activity, beyond anything between 250 and 5000 K.
const LN_ACTIVITY_RANGE: (f64, f64) = (-600.0, 200.0);

/// Number of components: CO2, H2O, N2, O.
const NC: usize = 4;
/// Balances must close to this share of their terms.
const BALANCE: f64 = 1e-13;
/// Step of the oxygen activity's logarithm below which the start is good enough.
const START_ACCURACY: f64 = 0.05;
/// Greatest change of a potential in one Newton step.
const STEP_MAX: f64 = 4.0;
/// An absent element is given this amount, mol/kg, far below rounding, so that its potential exists.
const TRACE: f64 = 1e-25;
/// Iterations after which a solve is given up.
const MAX_ITERATIONS: usize = 80;

/// Equilibrium gas: composition, properties and their derivatives, per kilogram.
///
/// `shifting` means that the composition follows the equilibrium, `frozen` that it does not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equilibrium {
    /// Temperature, K.
    pub t: f64,
    /// Pressure, Pa.
    pub p: f64,
    /// Moles of the species, mol/kg, in the order of [`crate::species::NAMES`].
    pub moles: [f64; N_SPECIES],
    /// Specific gas constant, J/(kg K).
    pub r: f64,
    /// Absolute specific internal energy, J/kg.
    pub u: f64,
    /// Absolute specific enthalpy, J/kg.
    pub h: f64,
    /// Specific entropy, J/(kg K).
    pub s: f64,
    /// Specific heat at constant pressure, frozen, J/(kg K).
    pub cp_frozen: f64,
    /// Specific heat at constant pressure, shifting, J/(kg K).
    pub cp: f64,
    /// Specific heat at constant volume, shifting, J/(kg K).
    pub cv: f64,
    /// Isentropic exponent (d ln p / d ln rho) at constant entropy, shifting.
    pub gamma_s: f64,
    /// Derivative of `u` to T at constant p, J/(kg K).
    pub u_t: f64,
    /// Derivative of `u` to ln p at constant T, J/kg.
    pub u_lnp: f64,
    /// Derivative of `r` to T at constant p, J/(kg K2).
    pub r_t: f64,
    /// Derivative of `r` to ln p at constant T, J/(kg K).
    pub r_lnp: f64,
}

impl Equilibrium {
    /// Returns the molar mass, kg/mol.
    pub fn molar_mass(&self) -> f64 {
        R_UNIVERSAL / self.r
    }

    /// Returns the mole fractions of the species.
    pub fn mole_fractions(&self) -> [f64; N_SPECIES] {
        let total = self.r / R_UNIVERSAL;
        self.moles.map(|n| n / total)
    }

    /// Returns the frozen ratio of specific heats.
    pub fn gamma_frozen(&self) -> f64 {
        self.cp_frozen / (self.cp_frozen - self.r)
    }

    /// Returns the shifting speed of sound, m/s.
    pub fn sound_speed(&self) -> f64 {
        (self.gamma_s * self.r * self.t).sqrt()
    }

    /// Returns the density, kg/m3.
    pub fn density(&self) -> f64 {
        self.p / (self.r * self.t)
    }
}

/// Returns the equilibrium of `elements` at temperature `t` (K) and pressure `p` (Pa).
///
/// # Errors
/// [`GasError::OutOfRange`] outside [`T_RANGE`], [`P_RANGE`]; [`GasError::TooRich`] when carbon
/// would be left over; [`GasError::NotConverged`] never seen in that range, but the loops end.
pub fn solve(elements: &Elements, t: f64, p: f64) -> Result<Equilibrium, GasError> {
    Problem::new(elements, t, p)?.solve()
}

/// Standard Gibbs functions over RT with ln(p/p0) added, and enthalpies over R, of the species.
struct Standard {
    g: [f64; N_SPECIES],
    h: [f64; N_SPECIES],
}

impl Standard {
    fn new(t: f64, p: f64) -> Standard {
        let ln_t = t.ln();
        let ln_p = (p / P_STANDARD).ln();
        let mut out = Standard { g: [0.0; N_SPECIES], h: [0.0; N_SPECIES] };
        for j in 0..N_SPECIES {
            let h = THERMO[j].h(t);
            out.h[j] = h;
            out.g[j] = h / t - THERMO[j].s_with_ln(t, ln_t) + ln_p;
        }
        out
    }
}

/// One equilibrium to be found.
struct Problem {
    t: f64,
    p: f64,
    /// Amounts of the components, mol/kg.
    amount: [f64; NC],
    argon: f64,
    standard: Standard,
}

impl Problem {
    fn new(e: &Elements, t: f64, p: f64) -> Result<Problem, GasError> {
        let t = in_range("temperature", t, T_RANGE.0, T_RANGE.1, "K")?;
        let p = in_range("pressure", p, P_RANGE.0, P_RANGE.1, "Pa")?;
        for amount in [e.c, e.h, e.n, e.ar] {
            in_range("amount of an element", amount, 0.0, 1e3, "mol/kg")?;
        }
        in_range("excess oxygen", e.excess_o, -1e3, 1e3, "mol/kg")?;
        if e.o() <= e.c {
            return Err(GasError::TooRich { oxygen_per_carbon: e.o() / e.c });
        }
        let amount = [e.c.max(TRACE), (0.5 * e.h).max(TRACE), (0.5 * e.n).max(TRACE), e.excess_o];
        Ok(Problem { t, p, amount, argon: e.ar, standard: Standard::new(t, p) })
    }

    /// Returns moles that obey the law of mass action and balance carbon, hydrogen and nitrogen, with
    /// oxygen and the total good to a few per cent: at given oxygen activity a those elements split in
    /// closed form, and the oxygen balance is monotone in ln a. The second value is the total for which
    /// the law holds; it differs from the sum of the moles until Newton's method has closed both.
    fn start(&self) -> ([f64; N_SPECIES], f64) {
        let constants = MassAction::new(&self.standard.g);
        let [c, w, n2, excess] = self.amount;
        let mut total = c + w + n2 + self.argon + (0.5 * excess).max(0.0);
        let mut y = self.first_oxygen_activity(&constants, total);
        let (mut lo, mut hi) = LN_ACTIVITY_RANGE;
        for _ in 0..MAX_ITERATIONS {
            let n = constants.moles(&self.amount, self.argon, total, y);
            let plus = 2.0 * n[O2] + n[O] + 0.5 * n[OH] + n[NO];
            let minus = n[CO] + n[H2] + 0.5 * n[H];
            let (left, right) = (plus + (-excess).max(0.0), minus + excess.max(0.0));
            // In logarithms both sides are nearly straight, over a hundred decades.
            let value = (left / right).ln();
            if value > 0.0 {
                hi = y
            } else {
                lo = y
            }
            let slope = (4.0 * n[O2] + n[O] + 0.25 * n[OH] + n[NO]) / left
                + (n[CO] * n[CO2] / c + n[H2] * n[H2O] / w + 0.25 * n[H]) / right;
            let newton = y - value / slope;
            let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
            let moved = (next - y).abs();
            y = next;
            // A wild total, far from the root, is not followed.
            total = n.iter().sum::<f64>().clamp(0.7 * total, 1.4 * total);
            if moved < START_ACCURACY {
                break;
            }
        }
        (constants.moles(&self.amount, self.argon, total, y), total)
    }

    /// Returns a first guess of ln of the oxygen activity: excess oxygen as O2 when lean, missing
    /// oxygen from CO2 and H2O when rich, their dissociation in between.
    fn first_oxygen_activity(&self, k: &MassAction, total: f64) -> f64 {
        let [c, w, _, excess] = self.amount;
        let freed = c * k.co + w * k.h2;
        let balanced = (freed / (2.0 * k.o2 * total)).ln() / 3.0;
        if excess > 0.0 {
            balanced.max(0.5 * (0.5 * excess / (k.o2 * total)).ln())
        } else if excess < 0.0 {
            balanced.min((freed / -excess).ln())
        } else {
            balanced
        }
    }

    /// Newton's method on the potentials and ln of total moles; moles follow by multiplication, so
    /// that the law of mass action holds throughout.
    fn solve(&self) -> Result<Equilibrium, GasError> {
        let (mut n, mut total) = self.start();
        for _ in 0..MAX_ITERATIONS {
            let system = System::new(&n, total);
            let residual = system.residual(&self.amount, self.argon, total);
            if self.closed(&n, &residual, total) {
                return Ok(self.properties(&n, &system));
            }
            let mut step = system.solve(&residual);
            let greatest = step.iter().fold(0.0_f64, |m, d| m.max(d.abs()));
            if !greatest.is_finite() {
                break;
            }
            let damping = (STEP_MAX / greatest).min(1.0);
            step.iter_mut().for_each(|d| *d *= damping);
            multiply(&mut n, &step);
            total *= step[NC].exp();
        }
        Err(GasError::NotConverged { what: "equilibrium", temperature: self.t, pressure: self.p })
    }

    fn closed(&self, n: &[f64; N_SPECIES], residual: &[f64; NC + 1], total: f64) -> bool {
        // The oxygen balance is judged by its own terms, which may all be traces.
        let oxygen = 2.0 * n[O2] + n[O] + n[OH] + n[NO] + n[CO] + n[H2] + n[H];
        let [c, w, n2, excess] = self.amount;
        let scales = [c, w, n2, oxygen + excess.abs(), total];
        residual.iter().zip(scales).all(|(r, scale)| r.abs() <= BALANCE * scale)
    }

    /// Properties and their derivatives at a solution.
    fn properties(&self, n: &[f64; N_SPECIES], system: &System) -> Equilibrium {
        let (t, h, g) = (self.t, &self.standard.h, &self.standard.g);
        let total: f64 = n.iter().sum();
        let r = R_UNIVERSAL * total;
        let mut nh = [0.0; N_SPECIES];
        let (mut nhh, mut cp_frozen) = (0.0, 0.0);
        for j in 0..N_SPECIES {
            nh[j] = n[j] * h[j];
            cp_frozen += n[j] * THERMO[j].cp(t);
        }
        for j in 0..AR {
            nhh += nh[j] * h[j];
        }
        let (active_h, active_n) = (sum_to_argon(&nh), sum_to_argon(n));
        let (h_by_component, n_by_component) = (components(&nh), components(n));

        // The balances stay closed as T or ln p changes: that gives the change of the unknowns.
        let mut right_t = [0.0; NC + 1];
        let mut right_p = [0.0; NC + 1];
        for k in 0..NC {
            right_t[k] = -h_by_component[k] / (t * t);
            right_p[k] = n_by_component[k];
        }
        right_t[NC] = -active_h / (t * t);
        right_p[NC] = active_n;
        let by_t = system.solve(&right_t);
        let by_p = system.solve(&right_p);

        // Sum of n h d(ln n)/dT and /d(ln p).
        let mut shift_t = active_h * by_t[NC] + nhh / (t * t);
        let mut shift_p = active_h * (by_p[NC] - 1.0);
        for k in 0..NC {
            shift_t += h_by_component[k] * by_t[k];
            shift_p += h_by_component[k] * by_p[k];
        }
        // s/R = h/(R T) - sum of n mu/(R T), the latter through the components' potentials.
        let mu = |j: usize| g[j] + (n[j] / total).ln();
        let [c, w, n2, excess] = self.amount;
        let mut gibbs =
            c * mu(CO2) + w * mu(H2O) + n2 * mu(N2) + excess * self.oxygen_potential(n, total);
        if self.argon > 0.0 {
            gibbs += self.argon * mu(AR);
        }

        let enthalpy = R_UNIVERSAL * (active_h + nh[AR]);
        let cp_frozen = R_UNIVERSAL * cp_frozen;
        let cp = cp_frozen + R_UNIVERSAL * shift_t;
        let (r_t, r_lnp) = (r * by_t[NC], r * by_p[NC]);
        // d ln v / d ln T at p and d ln v / d ln p at T.
        let (v_t, v_p) = (1.0 + t * by_t[NC], by_p[NC] - 1.0);
        let cv = cp + r * v_t * v_t / v_p;
        Equilibrium {
            t,
            p: self.p,
            moles: *n,
            r,
            u: enthalpy - r * t,
            h: enthalpy,
            s: enthalpy / t - R_UNIVERSAL * gibbs,
            cp_frozen,
            cp,
            cv,
            gamma_s: -cp / (cv * v_p),
            u_t: cp - r - t * r_t,
            u_lnp: R_UNIVERSAL * shift_p - t * r_lnp,
            r_t,
            r_lnp,
        }
    }

    /// Potential of the oxygen atom over RT, from the more plentiful of O2 and CO.
    fn oxygen_potential(&self, n: &[f64; N_SPECIES], total: f64) -> f64 {
        let g = &self.standard.g;
        if n[O2] > n[CO] {
            0.5 * (g[O2] + (n[O2] / total).ln())
        } else {
            g[CO2] - g[CO] + (n[CO2] / n[CO]).ln()
        }
    }
}
