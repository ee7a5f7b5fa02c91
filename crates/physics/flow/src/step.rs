//! The force of a sudden step of area on the gas of its cell.
//!
//! A cell's own pressure force, `(p_left - p_right) push`, has the area-weighted mean of its two
//! faces' pressures on the wall. On a sudden step acts instead:
//! - flow into the larger area: the upstream face's pressure (Borda, Carnot), which fades to the
//!   mean as the smaller face becomes sonic, where the pressure on the step follows from what is
//!   downstream;
//! - flow faster than sound in the cell: the cell's own pressure. A shock at the downstream face
//!   cannot push on a wall ahead of it. If it did, the cell would be driven ever faster through a
//!   standing shock until no internal energy is left.
//!
//! Source: Shapiro 1953 ch. 6 for the first (from memory); the rest ours.

use crate::Primitive;
use crate::geometry::STEP_RATIO;
use crate::riemann::FaceFlux;
use shortblock_lanes::Lane;

/// Squared Mach number at the faces up to which the step feels the full upstream pressure, and
/// from which it does not. Ours.
const SONIC_BLEND: (f64, f64) = (0.85, 1.05);
/// Squared Mach number in the cell up to which the step feels its faces' pressures, and from which
/// its own. Ours.
const SUPERSONIC_BLEND: (f64, f64) = (1.0, 2.0);

/// Force in N on the gas of a cell between faces of the areas `a` and `b` (m2) with the fluxes
/// `l` and `r`, beyond `(p_left - p_right) push`; `q` is the cell's state.
#[inline(always)]
pub(crate) fn step_force<V: Lane, const S: usize>(
    [a, b]: [V; 2],
    [l, r]: [&FaceFlux<V, S>; 2],
    q: &Primitive<V, S>,
    push: V,
) -> V {
    let zero = V::splat(0.0);
    let rightward = enlargement_force([a, b], [l, r], q.gamma);
    let leftward = enlargement_force([b, a], [r, l], q.gamma);
    // Both need flow out of the smaller face: the sign of the mean mass flow.
    let m = l.mass + r.mass;
    let slow = V::select_lt(zero, m, rightward, V::select_lt(m, zero, -leftward, zero));
    let fast = l.p * (a - push) + q.p * (b - a) + r.p * (push - b);
    let mach2 = q.u * q.u / (q.gamma * q.p * q.v);
    slow + between(SUPERSONIC_BLEND, mach2) * (fast - slow)
}

/// The same where gas flows slower than sound from `up` at area `a` to `down` at area `b`, if the
/// step is an enlargement; positive in the direction of the flow.
#[inline(always)]
fn enlargement_force<V: Lane, const S: usize>(
    [a, b]: [V; 2],
    [up, down]: [&FaceFlux<V, S>; 2],
    gamma: V,
) -> V {
    let (zero, one) = (V::splat(0.0), V::splat(1.0));
    let mach2 = (up.momentum / (a * gamma * up.p)).max(down.momentum / (b * gamma * down.p));
    let share = one - between(SONIC_BLEND, mach2);
    let force = (up.p - down.p) * (b - V::splat(2.0) * a * b / (a + b)) * share;
    V::select_lt(V::splat(STEP_RATIO) * a, b, force, zero)
}

/// 0 up to the first bound, 1 from the second, linear between.
#[inline(always)]
fn between<V: Lane>((low, high): (f64, f64), x: V) -> V {
    ((x - V::splat(low)) * V::splat(1.0 / (high - low))).clamp(V::splat(0.0), V::splat(1.0))
}
