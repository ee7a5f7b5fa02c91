//! One time step of a duct: MUSCL-Hancock in short passes over a scratch.
//!
//! Source: van Leer 1979, J. Comput. Phys. 32:101; Toro ch. 13-14 (from memory). Pressure,
//! velocity, temperature and mass fractions are reconstructed with limiters, advanced half a step in
//! primitive form with the area term, and given to [`crate::riemann`]. The wall
//! pressure of a tapering cell is the area-weighted mean of its two faces' pressures, so the
//! net pressure force is `(p_left - p_right) * push` and a gas at rest stays at rest.

use crate::duct::CellShape;
use crate::riemann::{Acoustic, FaceFlux, Side, hllc};
use crate::{Conserved, Duct, End, EndFlux, EndState, Events, GasSet, Primitive, Scratch};
use shortblock_lanes::Lane;

/// The half-step pressure and temperature stay above this fraction of the cell's own. Ours: a
/// smooth flow never comes near it.
const HALF_STEP_FLOOR: f64 = 0.1;

/// A cell's two face states after the half step.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub(crate) struct CellFaces<V, const S: usize> {
    pub left: Side<V, S>,
    pub right: Side<V, S>,
    pub acoustic: Acoustic<V>,
    /// Velocity at the centre after the half step, m/s.
    pub u: V,
}

impl<V: Lane, const S: usize> CellFaces<V, S> {
    pub(crate) fn zero() -> Self {
        let zero = V::splat(0.0);
        Self {
            left: Side::zero(),
            right: Side::zero(),
            acoustic: Acoustic { gamma: zero, z: zero },
            u: zero,
        }
    }
}

/// Change over a cell of each reconstructed quantity.
#[derive(Clone, Copy)]
struct Slope<V, const S: usize> {
    p: V,
    u: V,
    t: V,
    y: [V; S],
}

/// Monotonised central difference (van Leer 1977) of the differences to both neighbours.
#[inline(always)]
fn limited<V: Lane>(below: V, above: V) -> V {
    let zero = V::splat(0.0);
    let least = below.abs().min(above.abs());
    let bound = V::select_lt(zero, below * above, least + least, zero);
    (V::splat(0.5) * (below + above)).max(-bound).min(bound)
}

/// One-sided difference at an end, `near` next to the face, held back by the next one.
#[inline(always)]
fn one_sided<V: Lane>(near: V, far: V) -> V {
    let zero = V::splat(0.0);
    let twice = far.abs() + far.abs();
    let bound = V::select_lt(zero, near * far, twice, zero);
    near.max(-bound).min(bound)
}

/// Superbee (Roe 1985, from memory): the steepest slope that keeps order, for waves that only
/// drift (entropy, composition) and would otherwise smear for ever.
#[inline(always)]
fn steepened<V: Lane>(below: V, above: V) -> V {
    let zero = V::splat(0.0);
    let (a, b) = (below.abs(), above.abs());
    let size = (a + a).min(b).max(a.min(b + b));
    let bound = V::select_lt(zero, below * above, size, zero);
    V::select_lt(below, zero, -bound, bound)
}

/// Slopes of cell `q` from the differences `$b - $a` and `$d - $c` with limiters `$wave` for
/// pressure and velocity, `$drift` for what rides along. Temperature is split into the part that
/// goes with the pressure at constant entropy and the rest, so that each wave is limited alone.
macro_rules! slope {
    ($wave:ident, $drift:ident, $q:expr, $a:expr, $b:expr, $c:expr, $d:expr) => {{
        let mut y = $q.y;
        for s in 0..S {
            y[s] = $drift($b.y[s] - $a.y[s], $d.y[s] - $c.y[s]);
        }
        let (p1, p2) = ($b.p - $a.p, $d.p - $c.p);
        let p = $wave(p1, p2);
        let k = $q.isentropic;
        let rest = $drift(($b.t - $a.t) - k * p1, ($d.t - $c.t) - k * p2);
        Slope { p, u: $wave($b.u - $a.u, $d.u - $c.u), t: rest + k * p, y }
    }};
}

/// The two faces of a cell from its state and slopes; `lambda` is `dt / (2 dx)`.
#[inline(always)]
fn half_step<V: Lane, const S: usize>(
    gases: &GasSet<V, S>,
    q: &Primitive<V, S>,
    d: &Slope<V, S>,
    shape: &CellShape<V>,
    lambda: V,
    events: &mut Events<V>,
) -> CellFaces<V, S> {
    let (zero, one, half) = (V::splat(0.0), V::splat(1.0), V::splat(0.5));
    let stretch = q.u.mul_add(shape.taper, d.u);
    let gamma_p = q.gamma * q.p;
    let p = q.p - lambda * (q.u * d.p + gamma_p * stretch);
    let t = q.t - lambda * (q.u * d.t + (q.gamma - one) * q.t * stretch);
    let drag = shape.friction * q.u * q.u.abs();
    let u = q.u - lambda * (q.u * d.u + q.v * d.p + drag);

    let floor = V::splat(HALF_STEP_FLOOR);
    let (p_floor, t_floor) = (floor * q.p, floor * q.t);
    // The faces lie half a slope to either side.
    let (hp, hu, ht) = (half * d.p, half * d.u, half * d.t);
    let lowest_p = p - hp.abs();
    let lowest_t = t - ht.abs();
    let held = V::select_lt(lowest_p, p_floor, one, V::select_lt(lowest_t, t_floor, one, zero));
    events.half_step_floors += held;

    let (mut yl, mut yr) = (q.y, q.y);
    for s in 0..S {
        let hy = half * d.y[s];
        let centre = q.y[s] - lambda * q.u * d.y[s];
        yl[s] = centre - hy;
        yr[s] = centre + hy;
    }
    let (pl, pr) = ((p - hp).max(p_floor), (p + hp).max(p_floor));
    let (tl, tr) = ((t - ht).max(t_floor), (t + ht).max(t_floor));
    let (rtl, rtr) = (gases.gas_constant(&yl) * tl, gases.gas_constant(&yr) * tr);
    let inverse = one / (rtl * rtr);
    CellFaces {
        left: Side { p: pl, u: u - hu, t: tl, rho: pl * rtr * inverse, y: yl },
        right: Side { p: pr, u: u + hu, t: tr, rho: pr * rtl * inverse, y: yr },
        acoustic: Acoustic { gamma: q.gamma, z: (gamma_p / q.v).sqrt() },
        u,
    }
}

/// Advances one cell by the fluxes through its faces.
#[inline(always)]
fn advance<V: Lane, const S: usize>(
    cell: &mut Conserved<V, S>,
    shape: &CellShape<V>,
    l: &FaceFlux<V, S>,
    r: &FaceFlux<V, S>,
    u: V,
    dt: V,
) {
    let (zero, half) = (V::splat(0.0), V::splat(0.5));
    let rate = dt * shape.inverse_volume;
    let [forward, backward] = shape.push;
    let resting = half * (forward + backward);
    let push = V::select_lt(zero, u, forward, V::select_lt(u, zero, backward, resting));
    let drag = shape.friction * (half * (l.mass + r.mass)) * u.abs();
    cell.rho += rate * (l.mass - r.mass);
    cell.momentum += rate * ((l.momentum - r.momentum) + (l.p - r.p) * push - drag);
    cell.energy += rate * (l.energy - r.energy);
    for s in 0..S {
        cell.scalars[s] += rate * (l.scalars[s] - r.scalars[s]);
    }
}

impl<V: Lane, const S: usize> EndFlux<V, S> {
    /// As a face flux: `direction` is 1 at the left end, -1 at the right end.
    #[inline(always)]
    fn at_face(&self, direction: V) -> FaceFlux<V, S> {
        let mut scalars = self.scalars;
        for s in 0..S {
            scalars[s] = direction * self.scalars[s];
        }
        FaceFlux {
            mass: direction * self.mass,
            p: self.p,
            momentum: self.mass * self.u,
            energy: direction * self.energy,
            scalars,
        }
    }
}

impl<V: Lane, const S: usize> Duct<V, S> {
    /// The gas at an end, extrapolated to the face and advanced half of the step `dt` (s).
    #[inline(always)]
    pub fn end_state(&mut self, gases: &GasSet<V, S>, end: End, dt: V) -> EndState<V, S> {
        let lambda = V::splat(0.5) * dt * self.inverse_length;
        let faces = self.end_faces(gases, end, lambda, true);
        let n = self.cells.len();
        let (side, direction, i) = match end {
            End::Left => (faces.left, V::splat(1.0), 0),
            End::Right => (faces.right, V::splat(-1.0), n - 1),
        };
        let gamma = self.primitives[i].gamma;
        EndState {
            area: self.end_area(end),
            p: side.p,
            u: direction * side.u,
            t: side.t,
            y: side.y,
            rho: side.rho,
            c: (gamma * side.p / side.rho).sqrt(),
            gamma,
        }
    }

    #[inline(always)]
    fn end_faces(
        &mut self,
        gases: &GasSet<V, S>,
        end: End,
        lambda: V,
        count: bool,
    ) -> CellFaces<V, S> {
        let n = self.cells.len();
        let q = &self.primitives;
        let (i, slope): (usize, Slope<V, S>) = match end {
            End::Left => (0, slope!(one_sided, one_sided, q[0], q[0], q[1], q[1], q[2])),
            End::Right => (
                n - 1,
                slope!(one_sided, one_sided, q[n - 1], q[n - 2], q[n - 1], q[n - 3], q[n - 2]),
            ),
        };
        let before = self.events;
        let faces =
            half_step(gases, &self.primitives[i], &slope, &self.shape[i], lambda, &mut self.events);
        if !count {
            self.events = before;
        }
        faces
    }

    /// Advances the duct by `dt` (s) from the fluxes at its ends. `scratch` must have room for
    /// the duct's cells (it grows if not).
    #[inline(always)]
    pub fn sweep(
        &mut self,
        gases: &GasSet<V, S>,
        dt: V,
        left: &EndFlux<V, S>,
        right: &EndFlux<V, S>,
        scratch: &mut Scratch<V, S>,
    ) {
        scratch.reserve(self.cells.len());
        self.reconstruct(gases, dt, scratch);
        let n = self.cells.len();
        scratch.fluxes[0] = left.at_face(V::splat(1.0));
        scratch.fluxes[n] = right.at_face(V::splat(-1.0));
        self.fluxes(gases, scratch);
        self.update(gases, dt, scratch);
    }

    #[inline(always)]
    fn reconstruct(&mut self, gases: &GasSet<V, S>, dt: V, scratch: &mut Scratch<V, S>) {
        let lambda = V::splat(0.5) * dt * self.inverse_length;
        let n = self.cells.len();
        // The ends' safeguards are counted in `end_state`.
        scratch.faces[0] = self.end_faces(gases, End::Left, lambda, false);
        scratch.faces[n - 1] = self.end_faces(gases, End::Right, lambda, false);
        let mut events = self.events;
        let (q, shape) = (&self.primitives[..n], &self.shape[..n]);
        let faces = &mut scratch.faces[..n];
        for i in 1..n - 1 {
            let (a, b, c) = (&q[i - 1], &q[i], &q[i + 1]);
            let slope = slope!(limited, steepened, b, a, b, b, c);
            faces[i] = half_step(gases, b, &slope, &shape[i], lambda, &mut events);
        }
        self.events = events;
    }

    #[inline(always)]
    fn fluxes(&self, gases: &GasSet<V, S>, scratch: &mut Scratch<V, S>) {
        let n = self.cells.len();
        let (faces, areas) = (&scratch.faces[..n], &self.face_areas[..n]);
        let fluxes = &mut scratch.fluxes[..n];
        for i in 1..n {
            let (l, r) = (&faces[i - 1], &faces[i]);
            fluxes[i] = hllc(gases, &l.right, &l.acoustic, &r.left, &r.acoustic, areas[i]);
        }
    }

    #[inline(always)]
    fn update(&mut self, gases: &GasSet<V, S>, dt: V, scratch: &Scratch<V, S>) {
        let n = self.cells.len();
        let (cells, shape) = (&mut self.cells[..n], &self.shape[..n]);
        let primitives = &mut self.primitives[..n];
        let (faces, fluxes) = (&scratch.faces[..n], &scratch.fluxes[..n + 1]);
        let mut events = self.events;
        for i in 0..n {
            advance(&mut cells[i], &shape[i], &fluxes[i], &fluxes[i + 1], faces[i].u, dt);
        }
        for i in 0..n {
            primitives[i] = cells[i].primitive_counted(gases, &mut events);
        }
        self.events = events;
    }
}
