//! Tables, and a duct between two reservoirs.

use shortblock_flow::{
    Duct, DuctGeometry, End, EndFlux, EndState, Gas, GasSet, Opening, Reservoir, Scratch,
};
use shortblock_lanes::Lane;

/// The rows of a table whose first column is `name` (all rows for ""), numbers only.
pub fn rows(table: &str, name: &str) -> Vec<Vec<f64>> {
    let number = |field: &str| field.parse().unwrap_or(f64::NAN);
    table
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect::<Vec<_>>())
        .filter(|fields| name.is_empty() || fields[0] == name)
        .map(|fields| fields.iter().map(|f| number(f)).collect())
        .collect()
}

/// One compiled copy of the kernel for each lane type; inlined into every test they would take
/// minutes to compile.
#[inline(never)]
pub fn sweep<V: Lane, const S: usize>(
    duct: &mut Duct<V, S>,
    gases: &GasSet<V, S>,
    dt: V,
    left: &EndFlux<V, S>,
    right: &EndFlux<V, S>,
    scratch: &mut Scratch<V, S>,
) {
    duct.sweep(gases, dt, left, right, scratch);
}

/// As [`sweep`].
#[inline(never)]
pub fn end_flux<V: Lane, const S: usize>(
    gases: &GasSet<V, S>,
    reservoir: &Reservoir<V, S>,
    state: &EndState<V, S>,
    opening: &Opening<V>,
    u_previous: V,
) -> EndFlux<V, S> {
    shortblock_flow::end_flux(gases, reservoir, state, opening, u_previous)
}

/// As [`sweep`].
#[inline(never)]
pub fn end_state<V: Lane, const S: usize>(
    duct: &mut Duct<V, S>,
    gases: &GasSet<V, S>,
    end: End,
    dt: V,
) -> EndState<V, S> {
    duct.end_state(gases, end, dt)
}

/// Gas constant of the reference tables' air, J/(kg K).
pub const R_AIR: f64 = 287.0;

/// One gas with a constant ratio of specific heats.
pub fn constant(gamma: f64) -> GasSet<f64, 0> {
    GasSet::new(&Gas::constant_gamma(R_AIR, gamma), &[])
}

/// A duct with a reservoir and an opening at each end.
pub struct Rig {
    pub gases: GasSet<f64, 0>,
    pub duct: Duct<f64, 0>,
    pub reservoirs: [Reservoir<f64, 0>; 2],
    pub openings: [Opening<f64>; 2],
    pub flux: [EndFlux<f64, 0>; 2],
    pub time: f64,
    scratch: Scratch<f64, 0>,
}

impl Rig {
    /// Still gas at the mean of the two pressures and temperatures; ends wide open.
    pub fn new(gamma: f64, geometry: DuctGeometry, left: [f64; 2], right: [f64; 2]) -> Rig {
        let gases = constant(gamma);
        let mut duct = Duct::new(&gases, std::slice::from_ref(&geometry)).unwrap();
        duct.fill(&gases, 0.5 * (left[0] + right[0]), 0.0, 0.5 * (left[1] + right[1]), &[]);
        let still = EndFlux { mass: 0.0, p: 0.0, u: 0.0, energy: 0.0, scalars: [] };
        Rig {
            reservoirs: [left, right].map(|[p, t]| Reservoir::new(&gases, p, t, &[])),
            openings: [End::Left, End::Right].map(|e| Opening::both_ways(duct.end_area(e))),
            scratch: Scratch::new(duct.cell_count()),
            flux: [still; 2],
            time: 0.0,
            gases,
            duct,
        }
    }

    pub fn step(&mut self, dt: f64) {
        for (i, end) in [End::Left, End::Right].into_iter().enumerate() {
            let state = end_state(&mut self.duct, &self.gases, end, dt);
            let (r, o) = (&self.reservoirs[i], &self.openings[i]);
            self.flux[i] = end_flux(&self.gases, r, &state, o, self.flux[i].u);
        }
        sweep(&mut self.duct, &self.gases, dt, &self.flux[0], &self.flux[1], &mut self.scratch);
        self.time += dt;
    }

    /// Runs for `duration` seconds with the given Courant number; the step never exceeds
    /// `dt_max`.
    pub fn run(&mut self, duration: f64, courant: f64) {
        let end = self.time + duration;
        while self.time < end * (1.0 - 1e-12) {
            let dt = (courant / self.duct.signal_rate()).min(end - self.time);
            self.step(dt);
        }
    }

    /// Mass flow in cell `i` by its own density, speed and area, kg/s.
    pub fn cell_mass_flow(&self, i: usize) -> f64 {
        let q = self.duct.cell(i);
        q.u / q.v * self.duct.cell_area(i)
    }
}
