//! Chemical equilibrium of burned gas: twelve species at given temperature and pressure.
//!
//! Every species is written in four components, CO2, H2O, N2 and the oxygen atom, so that the
//! oxygen balance reads 2 O2 + O + OH/2 + NO - CO - H2 - H/2 = excess oxygen. No major species
//! enters it: the equilibrium of a stoichiometric mixture at 300 K, decided by mole fractions of
//! 1e-40, keeps full precision. Element potentials are then found by Newton's method (the reduced
//! form of Gordon & McBride 1994, NASA RP-1311), started from a one-dimensional solve for the oxygen
//! activity in which carbon, hydrogen and nitrogen are distributed in closed form.

use crate::constants::{P_STANDARD, R_UNIVERSAL};
use crate::error::{GasError, in_range};
use crate::linear;
use crate::mixture::Elements;
use crate::species::{AR, CO, CO2, H, H2, H2O, N, N_SPECIES, N2, NO, O, O2, OH, THERMO};

/// Temperatures accepted, K.
pub const T_RANGE: (f64, f64) = (250.0, 5000.0);
/// Pressures accepted, Pa.
pub const P_RANGE: (f64, f64) = (1.0e3, 1.0e8);

/// Number of components: CO2, H2O, N2, O.
const NC: usize = 4;
/// Components in each species; argon takes part in none.
const NU: [[f64; NC]; N_SPECIES] = [
    [0.0, 0.0, 1.0, 0.0],  // N2
    [0.0, 0.0, 0.0, 2.0],  // O2
    [1.0, 0.0, 0.0, 0.0],  // CO2
    [0.0, 1.0, 0.0, 0.0],  // H2O
    [1.0, 0.0, 0.0, -1.0], // CO
    [0.0, 1.0, 0.0, -1.0], // H2
    [0.0, 0.0, 0.0, 1.0],  // O
    [0.0, 0.5, 0.0, -0.5], // H
    [0.0, 0.5, 0.0, 0.5],  // OH
    [0.0, 0.0, 0.5, 1.0],  // NO
    [0.0, 0.0, 0.5, 0.0],  // N
    [0.0, 0.0, 0.0, 0.0],  // Ar
];
/// Balances must close to this share of their terms.
const BALANCE: f64 = 1e-13;
/// Accuracy of the oxygen activity's logarithm at which the start is good enough.
const START_ACCURACY: f64 = 0.02;
/// Greatest change of a potential in one Newton step.
const STEP_MAX: f64 = 4.0;
/// An absent element is given this amount, mol/kg, far below rounding, so that its potential exists.
const TRACE: f64 = 1e-25;
/// Iterations after which a solve is given up (5 to 8 are usual).
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
    /// Potentials of the components and ln of total moles: a warm start for a near state.
    start: Start,
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

/// Unknowns of the Newton solve: the potentials of the components over RT and ln of moles per kg.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Start {
    potential: [f64; NC],
    ln_moles: f64,
}

/// Returns the equilibrium of `elements` at temperature `t` (K) and pressure `p` (Pa).
///
/// # Errors
/// [`GasError::OutOfRange`] outside [`T_RANGE`], [`P_RANGE`]; [`GasError::TooRich`] when carbon
/// would be left over; [`GasError::NotConverged`] never seen in that range, but the loops end.
pub fn solve(elements: &Elements, t: f64, p: f64) -> Result<Equilibrium, GasError> {
    let problem = Problem::new(elements, t, p)?;
    let start = problem.cold_start();
    problem.solve(start)
}

/// Returns the equilibrium as [`solve`] does, started from the solution of a `near` state of the same
/// elements; falls back to a cold start.
///
/// # Errors
/// As [`solve`].
pub fn solve_near(
    elements: &Elements,
    t: f64,
    p: f64,
    near: &Equilibrium,
) -> Result<Equilibrium, GasError> {
    let problem = Problem::new(elements, t, p)?;
    // The activities at the old state, restated for the new temperature and pressure.
    let old = Standard::new(near.t, near.p);
    let mut start = near.start;
    for (k, j) in [CO2, H2O, N2, O].into_iter().enumerate() {
        start.potential[k] += problem.standard.g[j] - old.g[j];
    }
    problem.solve(start).or_else(|_| problem.solve(problem.cold_start()))
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

    /// Returns potentials good to a few per cent from the oxygen activity a: at given a, carbon,
    /// hydrogen and nitrogen split in closed form and the oxygen balance is monotone in ln a.
    fn cold_start(&self) -> Start {
        let g = &self.standard.g;
        let [c, w, n2, excess] = self.amount;
        let (k_co, k_h2) = ((g[CO2] - g[CO]).exp(), (g[H2O] - g[H2]).exp());
        let (k_oh, k_h) = ((0.5 * g[H2O] - g[OH]).exp(), (0.5 * g[H2O] - g[H]).exp());
        let (k_no, k_n) = ((0.5 * g[N2] - g[NO]).exp(), (0.5 * g[N2] - g[N]).exp());
        let (e_o2, e_o) = ((-g[O2]).exp(), (-g[O]).exp());

        let mut total = c + w + n2 + self.argon + (0.5 * excess).max(0.0);
        let mut y = self.first_oxygen_activity(k_co, k_h2, e_o2, total);
        let (mut lo, mut hi) = (-600.0, 200.0);
        let mut split = [c, w, n2];
        for _ in 0..MAX_ITERATIONS {
            let a = y.exp();
            let root_a = (0.5 * y).exp();
            let root_total = total.sqrt();
            let n_co2 = c / (1.0 + k_co / a);
            let n_co = c / (1.0 + a / k_co);
            let (b_oh, b_h) = (k_oh * root_a * root_total, k_h / root_a * root_total);
            let root_w = root_of_quadratic(1.0 + k_h2 / a, 0.5 * (b_oh + b_h), w);
            let (n_h2o, n_h2) = (root_w * root_w, root_w * root_w * k_h2 / a);
            let (b_no, b_n) = (k_no * a * root_total, k_n * root_total);
            let root_n = root_of_quadratic(1.0, 0.5 * (b_no + b_n), n2);
            let (n_o2, n_o) = (total * e_o2 * a * a, total * e_o * a);
            let (n_oh, n_h, n_no) = (b_oh * root_w, b_h * root_w, b_no * root_n);
            split = [n_co2, n_h2o, root_n * root_n];

            let plus = 2.0 * n_o2 + n_o + 0.5 * n_oh + n_no;
            let minus = n_co + n_h2 + 0.5 * n_h;
            let (left, right) = (plus + (-excess).max(0.0), minus + excess.max(0.0));
            let value = (left / right).ln();
            if value > 0.0 {
                hi = y
            } else {
                lo = y
            }
            let slope = (4.0 * n_o2 + n_o + 0.25 * n_oh + n_no) / left
                + (n_co * n_co2 / c + n_h2 * n_h2o / w + 0.25 * n_h) / right;
            let newton = y - value / slope;
            let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
            let moved = (next - y).abs();
            y = next;
            let sum = n_co2
                + n_co
                + n_h2o
                + n_h2
                + n_oh
                + n_h
                + n_o2
                + n_o
                + split[2]
                + n_no
                + b_n * root_n
                + self.argon;
            // The total moves the balance little; a wild one, far from the root, is not followed.
            total = sum.clamp(0.7 * total, 1.4 * total);
            if moved < START_ACCURACY {
                break;
            }
        }
        let ln_moles = total.ln();
        let potential = |n: f64, j: usize| n.ln() - ln_moles + g[j];
        Start {
            potential: [
                potential(split[0], CO2),
                potential(split[1], H2O),
                potential(split[2], N2),
                y,
            ],
            ln_moles,
        }
    }

    /// Returns a first guess of ln of the oxygen activity: excess oxygen as O2 when lean, missing
    /// oxygen from CO2 when rich, dissociation of CO2 and H2O in between.
    fn first_oxygen_activity(&self, k_co: f64, k_h2: f64, e_o2: f64, total: f64) -> f64 {
        let [c, w, _, excess] = self.amount;
        let freed = c * k_co + w * k_h2;
        let balanced = (freed / (2.0 * e_o2 * total)).ln() / 3.0;
        if excess > 0.0 {
            balanced.max(0.5 * (0.5 * excess / (e_o2 * total)).ln())
        } else if excess < 0.0 {
            balanced.min((freed / -excess).ln())
        } else {
            balanced
        }
    }

    /// Newton's method on potentials and ln of total moles.
    fn solve(&self, mut x: Start) -> Result<Equilibrium, GasError> {
        for _ in 0..MAX_ITERATIONS {
            let system = System::new(self, &x);
            if system.closed(self, &x) {
                return Ok(self.properties(&x, &system));
            }
            let step = system.solve(&system.residual(self, &x));
            let greatest = step.iter().fold(0.0_f64, |m, d| m.max(d.abs()));
            if !greatest.is_finite() {
                break;
            }
            let damping = (STEP_MAX / greatest).min(1.0);
            for k in 0..NC {
                x.potential[k] += damping * step[k];
            }
            x.ln_moles += damping * step[NC];
        }
        Err(GasError::NotConverged { what: "equilibrium", temperature: self.t, pressure: self.p })
    }

    /// Properties and their derivatives at a solution.
    fn properties(&self, x: &Start, system: &System) -> Equilibrium {
        let (t, n, h) = (self.t, &system.moles, &self.standard.h);
        let total: f64 = n.iter().sum();
        let r = R_UNIVERSAL * total;

        // Derivatives of the unknowns: the right-hand sides are those of d(balances)/dT, /d ln p.
        let mut right_t = [0.0; NC + 1];
        let mut right_p = [0.0; NC + 1];
        for j in 0..AR {
            let drive = n[j] * h[j] / (t * t);
            for k in 0..NC {
                right_t[k] -= NU[j][k] * drive;
                right_p[k] += NU[j][k] * n[j];
            }
            right_t[NC] -= drive;
            right_p[NC] += n[j];
        }
        let by_t = system.solve(&right_t);
        let by_p = system.solve(&right_p);

        let (mut enthalpy, mut cp_frozen, mut entropy) = (0.0, 0.0, 0.0);
        let (mut shift_t, mut shift_p) = (0.0, 0.0);
        for j in 0..N_SPECIES {
            enthalpy += n[j] * h[j];
            cp_frozen += n[j] * THERMO[j].cp(t);
            if n[j] > 0.0 {
                // s_j/R at its partial pressure = h/(R T) - mu/(R T).
                entropy += n[j] * (h[j] / t - self.standard.g[j] - (n[j] / total).ln());
            }
            if j < AR {
                let dot = |d: &[f64; NC + 1]| (0..NC).map(|k| NU[j][k] * d[k]).sum::<f64>() + d[NC];
                shift_t += n[j] * h[j] * (dot(&by_t) + h[j] / (t * t));
                shift_p += n[j] * h[j] * (dot(&by_p) - 1.0);
            }
        }
        let cp_frozen = R_UNIVERSAL * cp_frozen;
        let cp = cp_frozen + R_UNIVERSAL * shift_t;
        let (r_t, r_lnp) = (r * by_t[NC], r * by_p[NC]);
        // d ln v / d ln T at p and d ln v / d ln p at T.
        let (v_t, v_p) = (1.0 + t * by_t[NC], by_p[NC] - 1.0);
        let cv = cp + r * v_t * v_t / v_p;
        let enthalpy = R_UNIVERSAL * enthalpy;
        Equilibrium {
            t,
            p: self.p,
            moles: *n,
            r,
            u: enthalpy - r * t,
            h: enthalpy,
            s: R_UNIVERSAL * entropy,
            cp_frozen,
            cp,
            cv,
            gamma_s: -cp / (cv * v_p),
            u_t: cp - r - t * r_t,
            u_lnp: R_UNIVERSAL * shift_p - t * r_lnp,
            r_t,
            r_lnp,
            start: *x,
        }
    }
}

/// The linear system of one Newton step, scaled to a unit diagonal.
struct System {
    moles: [f64; N_SPECIES],
    matrix: [[f64; NC + 1]; NC + 1],
    scale: [f64; NC + 1],
    /// Sum of the components over the species.
    sum: [f64; NC + 1],
    /// Sum of the terms' magnitudes in each balance.
    terms: [f64; NC],
}

impl System {
    fn new(problem: &Problem, x: &Start) -> System {
        let mut s = System {
            moles: [0.0; N_SPECIES],
            matrix: [[0.0; NC + 1]; NC + 1],
            scale: [1.0; NC + 1],
            sum: [0.0; NC + 1],
            terms: [0.0; NC],
        };
        for j in 0..AR {
            let nu = &NU[j];
            let mut exponent = x.ln_moles - problem.standard.g[j];
            for k in 0..NC {
                exponent += nu[k] * x.potential[k];
            }
            let n = exponent.exp();
            s.moles[j] = n;
            for k in 0..NC {
                let part = nu[k] * n;
                s.sum[k] += part;
                s.terms[k] += part.abs();
                for l in 0..NC {
                    s.matrix[k][l] += part * nu[l];
                }
            }
            s.sum[NC] += n;
        }
        s.moles[AR] = problem.argon;
        let total = x.ln_moles.exp();
        for k in 0..NC {
            s.matrix[k][NC] = s.sum[k];
            s.matrix[NC][k] = s.sum[k];
            s.scale[k] = 1.0 / s.matrix[k][k].sqrt();
        }
        s.matrix[NC][NC] = s.sum[NC] - total;
        s.scale[NC] = 1.0 / total.sqrt();
        for k in 0..=NC {
            for l in 0..=NC {
                s.matrix[k][l] *= s.scale[k] * s.scale[l];
            }
        }
        s
    }

    fn residual(&self, problem: &Problem, x: &Start) -> [f64; NC + 1] {
        let mut r = [0.0; NC + 1];
        for k in 0..NC {
            r[k] = problem.amount[k] - self.sum[k];
        }
        r[NC] = x.ln_moles.exp() - self.sum[NC] - problem.argon;
        r
    }

    fn closed(&self, problem: &Problem, x: &Start) -> bool {
        let r = self.residual(problem, x);
        (0..NC).all(|k| r[k].abs() <= BALANCE * (self.terms[k] + problem.amount[k].abs()))
            && r[NC].abs() <= BALANCE * x.ln_moles.exp()
    }

    fn solve(&self, right: &[f64; NC + 1]) -> [f64; NC + 1] {
        let mut scaled = *right;
        for k in 0..=NC {
            scaled[k] *= self.scale[k];
        }
        let mut out = linear::solve(self.matrix, scaled);
        for k in 0..=NC {
            out[k] *= self.scale[k];
        }
        out
    }
}

/// Returns the positive root x of `a x^2 + b x = c`, for a, c > 0 and b >= 0.
fn root_of_quadratic(a: f64, b: f64, c: f64) -> f64 {
    2.0 * c / (b + (b * b + 4.0 * a * c).sqrt())
}
