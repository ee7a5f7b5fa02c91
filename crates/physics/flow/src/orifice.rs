//! Flow between two volumes through an opening: throttle, carburettor, restrictor, crossover.

use crate::{Nozzle, Reservoir};
use shortblock_lanes::{Lane, lanewise};
use std::ops::{Add, AddAssign, Neg, Sub};

/// Share of the upstream pressure below which the flow falls linearly with the pressure drop
/// instead of with its root, whose slope at zero is infinite. Ours: 5e-5 of the flow at a drop
/// of one thousandth.
const LAMINAR_DROP: f64 = 1e-7;

/// Mass, energy and scalars carried per second.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(C)]
pub struct Flow<V, const S: usize> {
    /// Mass flow, kg/s.
    pub mass: V,
    /// Flow of total enthalpy, W.
    pub energy: V,
    /// Flows of the transported gases, kg/s.
    pub scalars: [V; S],
}

lanewise!(Flow, S { mass, energy, scalars });

impl<V: Lane, const S: usize> Flow<V, S> {
    /// No flow.
    #[inline(always)]
    pub fn zero() -> Self {
        let zero = V::splat(0.0);
        Self { mass: zero, energy: zero, scalars: [zero; S] }
    }
}

impl<V: Lane, const S: usize> Add for Flow<V, S> {
    type Output = Self;
    #[inline(always)]
    fn add(mut self, b: Self) -> Self {
        self += b;
        self
    }
}

impl<V: Lane, const S: usize> AddAssign for Flow<V, S> {
    #[inline(always)]
    fn add_assign(&mut self, b: Self) {
        self.mass += b.mass;
        self.energy += b.energy;
        for s in 0..S {
            self.scalars[s] += b.scalars[s];
        }
    }
}

impl<V: Lane, const S: usize> Neg for Flow<V, S> {
    type Output = Self;
    #[inline(always)]
    fn neg(mut self) -> Self {
        self.mass = -self.mass;
        self.energy = -self.energy;
        for s in 0..S {
            self.scalars[s] = -self.scalars[s];
        }
        self
    }
}

impl<V: Lane, const S: usize> Sub for Flow<V, S> {
    type Output = Self;
    #[inline(always)]
    fn sub(self, b: Self) -> Self {
        self + -b
    }
}

/// How an opening's pressure difference gives way to its own flow.
#[derive(Clone, Copy, Debug)]
pub struct Yielding<V> {
    /// Fall of the difference for each kg/s in one step, Pa s/kg; 0 between endless rooms.
    pub slope: V,
    /// The flow of the last step, kg/s, positive from `a` to `b`: with it the states were carried
    /// on to the half step.
    pub last: V,
}

/// The flow from `a` to `b` through `effective_area` (m2); negative when `b` has the higher
/// pressure. The drop's kinetic energy is lost in the volume downstream.
#[inline(always)]
pub fn orifice<V: Lane, const S: usize>(
    a: &Reservoir<V, S>,
    b: &Reservoir<V, S>,
    effective_area: V,
) -> Flow<V, S> {
    let zero = V::splat(0.0);
    yielding_orifice(a, b, effective_area, &Yielding { slope: zero, last: zero })
}

/// As [`orifice`] between volumes so small that the opening may level them out within a step: with
/// the pressure difference that this step's flow leaves, `dp - slope (m - last)`, in
/// `m^2 = A^2 rho0 K dp`. Exact for a steady flow; the change of the flow from step to step is of
/// second order in the step.
#[inline(always)]
pub fn yielding_orifice<V: Lane, const S: usize>(
    a: &Reservoir<V, S>,
    b: &Reservoir<V, S>,
    effective_area: V,
    yielding: &Yielding<V>,
) -> Flow<V, S> {
    let (zero, four) = (V::splat(0.0), V::splat(4.0));
    let drop = a.p - b.p;
    let drive = yielding.slope.mul_add(yielding.last, drop);
    let pick = |x: V, y: V| V::select_lt(zero, drive, x, y);
    let p0 = pick(a.p, b.p);
    let delta = pick(drop, -drop).max(zero) / p0;
    let k = pick(a.rho, b.rho) * Nozzle::new(pick(a.gamma, b.gamma)).k(delta);
    let held = effective_area * k * yielding.slope;
    let smoothed = drive.abs() + V::splat(LAMINAR_DROP) * p0;
    let root = (held * held + four * k * smoothed).sqrt();
    let mass = effective_area * drive * (k + k) / (held + root);
    let mut scalars = a.y;
    for s in 0..S {
        scalars[s] = mass * pick(a.y[s], b.y[s]);
    }
    Flow { mass, energy: mass * pick(a.h, b.h), scalars }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Gas, GasSet, Volume};

    /// Two small volumes joined by an opening that could empty either in a third of a step: they
    /// come to one pressure, that of both together (first law, adiabatic mixing of one gas).
    #[test]
    fn volumes_smaller_than_a_step_come_to_one_pressure() {
        let gas = Gas::constant_gamma(287.0, 1.4);
        let gases: GasSet<f64, 0> = GasSet::new(&gas, &[]);
        let (size, dt) = (1e-4, 1e-4);
        let mut rooms = [2e5, 1e5].map(|p| Volume::new(&gases, size, p, 300.0, &[]));
        let mut last = 0.0;
        for _ in 0..60 {
            let [a, b] = [0, 1].map(|i| rooms[i].reservoir_at_half(&gases, dt, size));
            let stiffness = |r: &Reservoir<f64, 0>| r.gamma * r.r * r.t / size;
            let slope = 0.75 * dt * (stiffness(&a) + stiffness(&b));
            let flow = yielding_orifice(&a, &b, 1e-2, &Yielding { slope, last });
            last = flow.mass;
            rooms[0].apply(&-flow, dt, a.p, size);
            rooms[1].apply(&flow, dt, b.p, size);
            assert!(rooms.iter().all(|room| room.mass > 0.0 && room.energy > 0.0));
        }
        for room in &rooms {
            assert!((room.reservoir(&gases).p / 1.5e5 - 1.0).abs() < 1e-3, "{rooms:?}");
        }
    }
}
