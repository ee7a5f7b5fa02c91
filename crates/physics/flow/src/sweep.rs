//! One time step of a duct: MUSCL-Hancock in short passes over a scratch.
//!
//! Source: van Leer 1979, J. Comput. Phys. 32:101; Toro ch. 13-14 (from memory). Pressure,
//! velocity, temperature and mass fractions are reconstructed with limiters, advanced half a step in
//! primitive form with the area term, and given to [`crate::riemann`]. The wall
//! pressure of a tapering cell is the area-weighted mean of its two faces' pressures, so the
//! net pressure force is `(p_left - p_right) * push` and a gas at rest stays at rest.

use crate::duct::{AreaStep, CellShape};
use crate::riemann::{Acoustic, FaceFlux, Side, Waves, hllc};
use crate::step::step_force;
use crate::{Conserved, Duct, End, EndFlux, EndState, GasSet, Primitive, Scratch};
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

/// Half the change over a cell of each reconstructed quantity, or a difference between cells.
#[derive(Clone, Copy)]
struct Slope<V, const S: usize> {
    p: V,
    u: V,
    t: V,
    y: [V; S],
}

impl<V: Lane, const S: usize> Slope<V, S> {
    #[inline(always)]
    fn between(a: &Primitive<V, S>, b: &Primitive<V, S>) -> Self {
        let mut y = a.y;
        for s in 0..S {
            y[s] = b.y[s] - a.y[s];
        }
        Self { p: b.p - a.p, u: b.u - a.u, t: b.t - a.t, y }
    }

    /// `yes` in lanes where `mask` is above zero, else `no`.
    #[inline(always)]
    fn pick(mask: V, yes: &Self, no: &Self) -> Self {
        let pick = |a: V, b: V| V::select_lt(V::splat(0.0), mask, a, b);
        let mut y = yes.y;
        for s in 0..S {
            y[s] = pick(yes.y[s], no.y[s]);
        }
        Self { p: pick(yes.p, no.p), u: pick(yes.u, no.u), t: pick(yes.t, no.t), y }
    }

    /// Next to a cell with a sudden step an end has no neighbour of its own kind, so nothing is
    /// known of its slope.
    #[inline(always)]
    fn flat() -> Self {
        let zero = V::splat(0.0);
        Self { p: zero, u: zero, t: zero, y: [zero; S] }
    }

    /// In a cell with a sudden step the speeds at its faces are in the inverse ratio of their
    /// areas. With limited slopes the cell would sink to a pressure below both neighbours' to
    /// join them, down to nothing near the speed of sound.
    #[inline(always)]
    fn across_step(q: &Primitive<V, S>, shape: &CellShape<V>) -> Self {
        Self { u: -(q.u * shape.half_taper), ..Self::flat() }
    }

    /// The half slopes of cell `q` from two differences: `wave` limits pressure and velocity,
    /// `drift` what rides along. Temperature is split into the part that goes with the pressure
    /// at constant entropy and the rest, so that each wave is limited alone.
    #[inline(always)]
    fn limited(
        q: &Primitive<V, S>,
        a: &Self,
        b: &Self,
        wave: impl Fn(V, V) -> V,
        drift: impl Fn(V, V) -> V,
    ) -> Self {
        let mut y = q.y;
        for s in 0..S {
            y[s] = drift(a.y[s], b.y[s]);
        }
        let k = -q.isentropic;
        let p = wave(a.p, b.p);
        let rest = drift(k.mul_add(a.p, a.t), k.mul_add(b.p, b.t));
        Self { p, u: wave(a.u, b.u), t: q.isentropic.mul_add(p, rest), y }
    }

    /// Holds the fractions at the faces of cell `q` between 0 and 1: no cell beyond an end holds
    /// back a slope that runs out of the duct.
    #[inline(always)]
    fn within(mut self, q: &Primitive<V, S>) -> Self {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        for s in 0..S {
            let room = q.y[s].min(one - q.y[s]).max(zero);
            self.y[s] = self.y[s].max(-room).min(room);
        }
        self
    }
}

/// Half the monotonised central difference (van Leer 1977) of the differences to both neighbours.
#[inline(always)]
fn central<V: Lane>(a: V, b: V) -> V {
    let zero = V::splat(0.0);
    // Same signs: between 0 and the smaller one. Opposite signs: both bounds are 0.
    let (low, high) = (a.max(b).min(zero), a.min(b).max(zero));
    (V::splat(0.25) * (a + b)).max(low).min(high)
}

/// Half of superbee (Roe 1985, from memory): the steepest slope that keeps order, for waves that
/// only drift (entropy, composition) and would otherwise smear for ever.
#[inline(always)]
fn steepened<V: Lane>(a: V, b: V) -> V {
    let (zero, half) = (V::splat(0.0), V::splat(0.5));
    let (low, high) = (a.min(b), a.max(b));
    let rising = low.min(half * high).max(zero);
    let falling = high.max(half * low).min(zero);
    rising + falling
}

/// Half the one-sided difference at an end, `near` next to the face, held back by the next one.
#[inline(always)]
fn one_sided<V: Lane>(near: V, far: V) -> V {
    let zero = V::splat(0.0);
    (V::splat(0.5) * near).max(far.min(zero)).min(far.max(zero))
}

/// How far the lowest face pressure and temperature of a sweep lay above their floors, relative
/// to nothing: only the signs count.
#[derive(Clone, Copy)]
struct Margin<V> {
    p: V,
    t: V,
}

impl<V: Lane> Margin<V> {
    #[inline(always)]
    fn wide() -> Self {
        Self { p: V::splat(1.0), t: V::splat(1.0) }
    }

    /// 1 where a floor was reached, else 0.
    #[inline(always)]
    fn reached(&self) -> V {
        let (zero, one) = (V::splat(0.0), V::splat(1.0));
        V::select_lt(self.p.min(self.t), zero, one, zero)
    }
}

/// The two faces of a cell from its state and half slopes; `lambda` is `dt / dx`.
#[inline(always)]
fn half_step<V: Lane, const S: usize>(
    gases: &GasSet<V, S>,
    q: &Primitive<V, S>,
    rho: V,
    d: &Slope<V, S>,
    shape: &CellShape<V>,
    lambda: V,
    margin: &mut Margin<V>,
) -> CellFaces<V, S> {
    let one = V::splat(1.0);
    let stretch = q.u.mul_add(shape.half_taper, d.u);
    let gamma_p = q.gamma * q.p;
    let back = -lambda;
    let p = back.mul_add(q.u.mul_add(d.p, gamma_p * stretch), q.p);
    // (gamma - 1) T = (gamma p) / (rho cp)
    let t = back.mul_add(q.u.mul_add(d.t, gamma_p * q.isentropic * stretch), q.t);
    let pull = shape.half_friction.mul_add(q.u.abs(), d.u);
    let u = back.mul_add(q.u.mul_add(pull, q.v * d.p), q.u);
    let drift = back * q.u;

    let floor = V::splat(HALF_STEP_FLOOR);
    let (p_floor, t_floor) = (floor * q.p, floor * q.t);
    let (pl, pr) = (p - d.p, p + d.p);
    let (tl, tr) = (t - d.t, t + d.t);
    margin.p = margin.p.min(pl.min(pr) - p_floor);
    margin.t = margin.t.min(tl.min(tr) - t_floor);
    let (pl, pr) = (pl.max(p_floor), pr.max(p_floor));
    let (tl, tr) = (tl.max(t_floor), tr.max(t_floor));

    let (mut yl, mut yr) = (q.y, q.y);
    for s in 0..S {
        let centre = drift.mul_add(d.y[s], q.y[s]);
        yl[s] = centre - d.y[s];
        yr[s] = centre + d.y[s];
    }
    let (rtl, rtr) = (gases.gas_constant(&yl) * tl, gases.gas_constant(&yr) * tr);
    let inverse = one / (rtl * rtr);
    CellFaces {
        left: Side { p: pl, u: u - d.u, t: tl, rho: pl * (rtr * inverse), y: yl },
        right: Side { p: pr, u: u + d.u, t: tr, rho: pr * (rtl * inverse), y: yr },
        acoustic: Acoustic { gamma: q.gamma, z: (gamma_p * rho).sqrt() },
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
    let rate = dt * shape.inverse_volume;
    let drag = shape.half_friction * (l.mass + r.mass) * u.abs();
    let force = (l.p - r.p).mul_add(shape.push, l.momentum - r.momentum) - drag;
    cell.rho = rate.mul_add(l.mass - r.mass, cell.rho);
    cell.momentum = rate.mul_add(force, cell.momentum);
    cell.energy = rate.mul_add(l.energy - r.energy, cell.energy);
    for s in 0..S {
        cell.scalars[s] = rate.mul_add(l.scalars[s] - r.scalars[s], cell.scalars[s]);
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
    /// The gas at an end, extrapolated to the face and advanced half of the step `dt` (s). The
    /// next [`Duct::sweep`] must have the same `dt`.
    #[inline(always)]
    pub fn end_state(&mut self, gases: &GasSet<V, S>, end: End, dt: V) -> EndState<V, S> {
        let mut margin = Margin::wide();
        let faces = self.end_faces(gases, end, dt * self.inverse_length, &mut margin);
        self.events.half_step_floors += margin.reached();
        let (side, direction, i) = match end {
            End::Left => (faces.left, V::splat(1.0), 0),
            End::Right => (faces.right, V::splat(-1.0), 1),
        };
        self.ends[i] = Some(faces);
        let gamma = faces.acoustic.gamma;
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
        &self,
        gases: &GasSet<V, S>,
        end: End,
        lambda: V,
        margin: &mut Margin<V>,
    ) -> CellFaces<V, S> {
        let n = self.cells.len();
        let q = &self.primitives;
        let (i, next, near, far) = match end {
            End::Left => (0, 1, Slope::between(&q[0], &q[1]), Slope::between(&q[1], &q[2])),
            End::Right => {
                let near = Slope::between(&q[n - 2], &q[n - 1]);
                (n - 1, n - 2, near, Slope::between(&q[n - 3], &q[n - 2]))
            }
        };
        let mut slope = Slope::limited(&q[i], &near, &far, one_sided, one_sided).within(&q[i]);
        for step in &self.steps {
            let stepped = match step.cell {
                cell if cell == i => Slope::across_step(&q[i], &self.shape[i]),
                cell if cell == next => Slope::flat(),
                _ => continue,
            };
            slope = Slope::pick(step.here, &stepped, &slope);
        }
        half_step(gases, &q[i], self.cells[i].rho, &slope, &self.shape[i], lambda, margin)
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
        let lambda = dt * self.inverse_length;
        let n = self.cells.len();
        let mut margin = Margin::wide();
        for (end, i, k) in [(End::Left, 0, 0), (End::Right, n - 1, 1)] {
            scratch.faces[i] = match self.ends[k].take() {
                Some(faces) => faces,
                None => self.end_faces(gases, end, lambda, &mut margin),
            };
        }
        let (q, shape, cells) = (&self.primitives[..n], &self.shape[..n], &self.cells[..n]);
        let faces = &mut scratch.faces[..n];
        let mut below = Slope::between(&q[0], &q[1]);
        for i in 1..n - 1 {
            let above = Slope::between(&q[i], &q[i + 1]);
            let slope = Slope::limited(&q[i], &below, &above, central, steepened);
            faces[i] =
                half_step(gases, &q[i], cells[i].rho, &slope, &shape[i], lambda, &mut margin);
            below = above;
        }
        for &AreaStep { cell: i, here } in &self.steps {
            if i == 0 || i == n - 1 {
                continue;
            }
            let (below, above) =
                (Slope::between(&q[i - 1], &q[i]), Slope::between(&q[i], &q[i + 1]));
            let smooth = Slope::limited(&q[i], &below, &above, central, steepened);
            let slope = Slope::pick(here, &Slope::across_step(&q[i], &shape[i]), &smooth);
            faces[i] =
                half_step(gases, &q[i], cells[i].rho, &slope, &shape[i], lambda, &mut margin);
        }
        self.events.half_step_floors += margin.reached();
    }

    #[inline(always)]
    fn fluxes(&self, gases: &GasSet<V, S>, scratch: &mut Scratch<V, S>) {
        let n = self.cells.len();
        let (faces, areas) = (&scratch.faces[..n], &self.face_areas[..n]);
        let fluxes = &mut scratch.fluxes[..n];
        let waves = &mut scratch.waves[..n];
        for i in 1..n {
            let (l, r) = (&faces[i - 1], &faces[i]);
            waves[i] = Waves::between(&l.right, &l.acoustic, &r.left, &r.acoustic);
        }
        for i in 1..n {
            let (l, r) = (&faces[i - 1].right, &faces[i].left);
            fluxes[i] = hllc(gases, l, r, &waves[i], areas[i]);
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
        for &AreaStep { cell: i, .. } in &self.steps {
            let areas = [self.face_areas[i], self.face_areas[i + 1]];
            let passed = [&fluxes[i], &fluxes[i + 1]];
            let force = step_force(areas, passed, &primitives[i], shape[i].push);
            cells[i].momentum += dt * shape[i].inverse_volume * force;
        }
        for i in 0..n {
            primitives[i] = cells[i].primitive_counted(gases, &mut events);
        }
        self.events = events;
    }
}
