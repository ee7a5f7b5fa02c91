//! One second-order midpoint step of the closed part.

use super::numbers::below;
use super::rates::{KNOCK_END, Span, Spark};
use super::run::Lot;
use super::state::State;
use crate::mechanism::pin_height;
use shortblock_lanes::Lane;

impl<V: Lane> Lot<'_, V> {
    /// The state a step of `dtheta` (rad, above 0) later; `limited` counts burning rates that were
    /// cut.
    #[inline(always)]
    pub fn step(
        &self,
        s: &State<V>,
        dtheta: V,
        spark: Option<&Spark<V>>,
        limited: &mut V,
    ) -> State<V> {
        let (before, part) = (&s.gas, V::splat(0.5));
        let dt = dtheta / self.k.speed;
        let half = part * dt;
        let turn_mid = turned(s.turn, part * dtheta);
        let turn = turned(turn_mid, part * dtheta);
        let (v_mid, v_end) = (self.volume(turn_mid), self.volume(turn));
        let to_middle = Span {
            dt: half,
            volume_rate: (v_mid - before.volume) / half,
            end: s.theta + part * dtheta,
            knocking: below(before.burned(), V::splat(KNOCK_END)),
            burned_before: before.mass_b + before.crevice[1] + s.ledger.leak[1],
            first: true,
        };
        let whole = Span {
            dt,
            volume_rate: (v_end - before.volume) / dt,
            end: s.theta + dtheta,
            first: false,
            ..to_middle
        };
        let (first, _) = self.first_rates(s, &to_middle, spark);
        let mut middle = before.moved(&first, half, v_mid);
        let (rates, flows, closures) = self.middle_rates(&mut middle, &whole, spark, limited);
        let work = step_work(
            before.pressure,
            half * first.pressure,
            before.pressure + dt * rates.pressure,
            [before.volume, v_mid, v_end],
        );
        let mut next = State {
            theta: s.theta + dtheta,
            turn,
            gas: before.moved(&rates, dt, v_end),
            ledger: s.ledger.after(&flows, dt),
            properties: s.properties,
            closures,
        };
        next.ledger.work += work;
        next.ledger.energy -= work;
        let ln_p = next.ln_pressure();
        next.close(self, ln_p, spark.is_some());
        if spark.is_none() {
            next.gas.motored = next.gas.pressure;
        }
        next
    }

    /// Gas volume, m^3, from sine and cosine of the crank angle.
    #[inline(always)]
    pub fn volume(&self, turn: [V; 2]) -> V {
        let k = &self.k;
        let height = pin_height(k.crank_radius, k.rod_length, k.pin_offset, turn);
        k.clearance + k.bore_area * (k.highest - height)
    }
}

/// Sine and cosine after turning on by a small angle (at most a tenth of a rad, to rounding).
#[inline(always)]
fn turned<V: Lane>([sin, cos]: [V; 2], angle: V) -> [V; 2] {
    /// 1/(n (n + 1)) from the highest term of the series down.
    const SINE: [f64; 4] = [1.0 / 72.0, 1.0 / 42.0, 1.0 / 20.0, 1.0 / 6.0];
    const COSINE: [f64; 4] = [1.0 / 56.0, 1.0 / 30.0, 1.0 / 12.0, 1.0 / 2.0];
    let less = -(angle * angle);
    let (s, c) = (angle * series(SINE, less), series(COSINE, less));
    [sin * c + cos * s, cos * c - sin * s]
}

/// `1 + x t1 (1 + x t2 (...))` with the terms from the last to the first.
#[inline(always)]
fn series<V: Lane>(terms: [f64; 4], x: V) -> V {
    let mut sum = V::splat(1.0);
    for term in terms {
        sum = (x * V::splat(term)).mul_add(sum, V::splat(1.0));
    }
    sum
}

/// Work of one step, J: the parabola of pressure through its start, its slope there (`half_rise`,
/// Pa over half a step) and its end, over the parabola of volume through start, middle and end.
/// Plain midpoint work is of the same order with an error twenty times larger.
#[inline(always)]
fn step_work<V: Lane>(start: V, half_rise: V, end: V, volume: [V; 3]) -> V {
    let part = V::splat;
    let middle = part(0.75) * start + part(0.25) * end + part(0.5) * half_rise;
    let (first, second) = (volume[1] - volume[0], volume[2] - volume[1]);
    (first + second) * (start + part(4.0) * middle + end) * part(1.0 / 6.0)
        + (end - start) * (second - first) * part(1.0 / 3.0)
}
