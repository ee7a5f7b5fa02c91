//! The flux between two states: HLLC with pressure-based wave speeds.
//!
//! Source: Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, ch. 10 (from memory).
//! Written with wave impedances `Z = rho |S - u|`, which leaves two roots and two divisions:
//! `Z^2 = rho (gamma p + (gamma+1)/2 max(p* - p, 0))`,
//! `S* = (pL - pR + ZL uL + ZR uR) / (ZL + ZR)`; only the side of the contact that the face lies
//! in is evaluated. No fused product touches both sides, so that a mirrored duct gives the
//! mirrored result to the bit.

use crate::GasSet;
use shortblock_lanes::Lane;

/// A state on one side of a face.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub(crate) struct Side<V, const S: usize> {
    pub p: V,
    pub u: V,
    pub t: V,
    pub rho: V,
    pub y: [V; S],
}

/// What passes a face in the positive direction; pressure apart from convection.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub(crate) struct FaceFlux<V, const S: usize> {
    /// kg/s.
    pub mass: V,
    /// Pa.
    pub p: V,
    /// Convected momentum, N.
    pub momentum: V,
    /// W.
    pub energy: V,
    /// kg/s.
    pub scalars: [V; S],
}

impl<V: Lane, const S: usize> Side<V, S> {
    pub(crate) fn zero() -> Self {
        let zero = V::splat(0.0);
        Self { p: zero, u: zero, t: zero, rho: zero, y: [zero; S] }
    }
}

impl<V: Lane, const S: usize> FaceFlux<V, S> {
    pub(crate) fn zero() -> Self {
        let zero = V::splat(0.0);
        Self { mass: zero, p: zero, momentum: zero, energy: zero, scalars: [zero; S] }
    }
}

/// The gas behind a side: ratio of specific heats and acoustic impedance of its cell.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub(crate) struct Acoustic<V> {
    pub gamma: V,
    /// `rho c`, Pa s/m.
    pub z: V,
}

/// Speed of the contact and impedances of the two outer waves of a face.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub(crate) struct Waves<V> {
    pub contact: V,
    pub zl: V,
    pub zr: V,
}

impl<V: Lane> Waves<V> {
    pub(crate) fn zero() -> Self {
        let zero = V::splat(0.0);
        Self { contact: zero, zl: zero, zr: zero }
    }

    /// The waves between the states `l` and `r`.
    #[inline(always)]
    pub(crate) fn between<const S: usize>(
        l: &Side<V, S>,
        la: &Acoustic<V>,
        r: &Side<V, S>,
        ra: &Acoustic<V>,
    ) -> Self {
        let zero = V::splat(0.0);
        let half = V::splat(0.5);
        let estimate = half * (l.p + r.p) + V::splat(0.25) * ((la.z + ra.z) * (l.u - r.u));
        let impedance = |side: &Side<V, S>, gamma: V| {
            let rise = (estimate - side.p).max(zero);
            let half_gamma_plus = half.mul_add(gamma, half);
            (side.rho * half_gamma_plus.mul_add(rise, gamma * side.p)).sqrt()
        };
        let (zl, zr) = (impedance(l, la.gamma), impedance(r, ra.gamma));
        Self { contact: ((l.p - r.p) + (zl * l.u + zr * r.u)) / (zl + zr), zl, zr }
    }
}

/// The flux through `area` between the states `l` and `r` with their `waves`.
#[inline(always)]
pub(crate) fn hllc<V: Lane, const S: usize>(
    gases: &GasSet<V, S>,
    l: &Side<V, S>,
    r: &Side<V, S>,
    waves: &Waves<V>,
    area: V,
) -> FaceFlux<V, S> {
    let zero = V::splat(0.0);
    let half = V::splat(0.5);
    let Waves { contact, zl, zr } = *waves;

    let pick = |a: V, b: V| V::select_lt(zero, contact, a, b);
    let (p, u, t, rho) = (pick(l.p, r.p), pick(l.u, r.u), pick(l.t, r.t), pick(l.rho, r.rho));
    let z = pick(zl, zr);
    let sign = pick(V::splat(1.0), V::splat(-1.0));
    let mut y = l.y;
    for s in 0..S {
        y[s] = pick(l.y[s], r.y[s]);
    }

    // Between the outer wave and the contact (star), or ahead of the outer wave (supersonic).
    let jump = contact - u;
    let signed_rho = sign * rho;
    let gap = signed_rho.mul_add(jump, z);
    let inverse = V::splat(1.0) / (z * gap);
    let rho_star = (rho * z) * (z * inverse);
    let signed_z = sign * z;
    let p_star = (-signed_z).mul_add(jump, p);
    let work = jump * (contact - sign * ((p * gap) * inverse));
    let supersonic = |ahead: V, star: V| V::select_lt(z, signed_rho * u, ahead, star);
    let u_face = supersonic(u, contact);
    let p_face = supersonic(p, p_star);
    let mass = area * (supersonic(rho, rho_star) * u_face);
    let e = gases.energy(&y, t);
    let total = (half * u).mul_add(u, e) + supersonic(zero, work);
    for s in 0..S {
        y[s] = mass * y[s];
    }
    FaceFlux {
        mass,
        p: p_face,
        momentum: mass * u_face,
        energy: mass.mul_add(total, area * (p_face * u_face)),
        scalars: y,
    }
}
