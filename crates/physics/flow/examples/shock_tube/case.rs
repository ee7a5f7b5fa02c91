//! Riemann problems with exact solutions: read, sampled, run.
//!
//! The star states are data (see the header of `tests/data/riemann_star.csv`); the sampling of
//! the fan is Toro ch. 4 (from memory), checked against tabulated profiles in the tests.

use shortblock_flow::{Conserved, Duct, DuctGeometry, EndFlux, Gas, GasSet, Scratch};

/// The table of cases.
pub const TABLE: &str = include_str!("../../tests/data/riemann_star.csv");

/// One row: two states with their gases, and the star region between them.
#[derive(Clone, Copy, Debug)]
pub struct Case {
    left: [f64; 3],
    right: [f64; 3],
    gamma: [f64; 2],
    x0: f64,
    t: f64,
    p_star: f64,
    u_star: f64,
    rho_star: [f64; 2],
}

impl Case {
    /// The case called `name`.
    pub fn find(name: &str) -> Option<Case> {
        let row = TABLE.lines().find(|line| line.split(',').next() == Some(name))?;
        let v: Vec<f64> = row.split(',').skip(1).map_while(|f| f.parse().ok()).collect();
        Some(Case {
            left: [*v.first()?, v[1], v[2]],
            right: [v[3], v[4], v[5]],
            gamma: [v[6], v[7]],
            x0: v[8],
            t: v[9],
            p_star: v[10],
            u_star: v[11],
            rho_star: [v[12], *v.get(13)?],
        })
    }

    /// Exact (rho, u, p) at `x` and the case's time.
    pub fn exact(&self, x: f64) -> [f64; 3] {
        let xi = (x - self.x0) / self.t;
        if xi <= self.u_star {
            self.side(self.left, self.gamma[0], self.rho_star[0], xi, 1.0)
        } else {
            self.side(self.right, self.gamma[1], self.rho_star[1], xi, -1.0)
        }
    }

    /// The side whose outer wave runs against `sign` (1: left).
    fn side(&self, q: [f64; 3], g: f64, rho_star: f64, xi: f64, sign: f64) -> [f64; 3] {
        let [rho, u, p] = q;
        let c = (g * p / rho).sqrt();
        let star = [rho_star, self.u_star, self.p_star];
        if self.p_star > p {
            let strength = (g + 1.0) / (2.0 * g) * self.p_star / p + (g - 1.0) / (2.0 * g);
            let shock = u - sign * c * strength.sqrt();
            return if sign * (xi - shock) < 0.0 { q } else { star };
        }
        let c_star = (g * self.p_star / rho_star).sqrt();
        if sign * (xi - (u - sign * c)) < 0.0 {
            return q;
        }
        if sign * (xi - (self.u_star - sign * c_star)) > 0.0 {
            return star;
        }
        let k = 2.0 / (g + 1.0) + sign * (g - 1.0) / ((g + 1.0) * c) * (u - xi);
        [
            rho * k.powf(2.0 / (g - 1.0)),
            2.0 / (g + 1.0) * (sign * c + (g - 1.0) / 2.0 * u + xi),
            p * k.powf(2.0 * g / (g - 1.0)),
        ]
    }

    /// Density, velocity and pressure in `n` cells at the case's time, with the Courant number
    /// `courant` (a fifth of it for the first five steps).
    pub fn run(&self, n: usize, courant: f64) -> Vec<[f64; 3]> {
        // With a gas constant of 1 or of air the temperature is only a name for p / rho.
        let r = if self.left[2] > 1e4 { 287.0 } else { 1.0 };
        let gas = self.gamma.map(|g| Gas::constant_gamma(r, g));
        let gases = GasSet::<f64, 1>::new(&gas[0], &[gas[1]]);
        let mut duct = Duct::new(&gases, &[DuctGeometry::from_area(1.0, n, |_| 1.0)])
            .expect("a plain duct is valid");
        let state = |i: usize| {
            let left = (i as f64 + 0.5) / (n as f64) < self.x0;
            let [rho, u, p] = if left { self.left } else { self.right };
            (p, u, p / (rho * r), [if left { 0.0 } else { 1.0 }])
        };
        for i in 0..n {
            let (p, u, t, y) = state(i);
            duct.set_cell(&gases, i, p, u, t, &y);
        }
        let end = |i: usize, direction: f64| {
            let (p, u, t, y) = state(i);
            undisturbed(&gases, p, direction * u, t, &y)
        };
        let (left, right) = (end(0, 1.0), end(n - 1, -1.0));
        let mut scratch = Scratch::new(n);
        let (mut time, mut step) = (0.0, 0);
        while time < self.t {
            let limit = if step < 5 { 0.2 * courant } else { courant };
            let dt = (limit / duct.signal_rate()).min(self.t - time);
            duct.sweep(&gases, dt, &left, &right, &mut scratch);
            time += dt;
            step += 1;
        }
        (0..n).map(|i| (1.0 / duct.cell(i).v, duct.cell(i))).map(|(r, q)| [r, q.u, q.p]).collect()
    }

    /// Mean absolute errors of density, velocity and pressure in `n` cells.
    pub fn error(&self, profile: &[[f64; 3]]) -> [f64; 3] {
        let n = profile.len() as f64;
        let mut sum = [0.0; 3];
        for (i, q) in profile.iter().enumerate() {
            let exact = self.exact((i as f64 + 0.5) / n);
            for k in 0..3 {
                sum[k] += (q[k] - exact[k]).abs() / n;
            }
        }
        sum
    }
}

/// The flux of an end beyond which the state goes on unchanged; `u` into the duct, area 1 m2.
pub fn undisturbed(
    gases: &GasSet<f64, 1>,
    p: f64,
    u: f64,
    t: f64,
    y: &[f64; 1],
) -> EndFlux<f64, 1> {
    let q = Conserved::from_primitive(gases, p, u, t, y);
    let mass = q.rho * u;
    EndFlux { mass, p, u, energy: u * (q.energy + p), scalars: [mass * y[0]] }
}
