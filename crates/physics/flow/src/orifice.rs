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

/// The flow from `a` to `b` through `effective_area` (m2); negative when `b` has the higher
/// pressure. The drop's kinetic energy is lost in the volume downstream.
#[inline(always)]
pub fn orifice<V: Lane, const S: usize>(
    a: &Reservoir<V, S>,
    b: &Reservoir<V, S>,
    effective_area: V,
) -> Flow<V, S> {
    let drop = a.p - b.p;
    let pick = |x: V, y: V| V::select_lt(V::splat(0.0), drop, x, y);
    let p0 = pick(a.p, b.p);
    let k = Nozzle::new(pick(a.gamma, b.gamma)).k(drop.abs() / p0);
    let smoothed = drop.abs() + V::splat(LAMINAR_DROP) * p0;
    let mass = effective_area * drop * (pick(a.rho, b.rho) * k / smoothed).sqrt();
    let mut scalars = a.y;
    for s in 0..S {
        scalars[s] = mass * pick(a.y[s], b.y[s]);
    }
    Flow { mass, energy: mass * pick(a.h, b.h), scalars }
}
