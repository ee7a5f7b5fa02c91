//! Collects what is reported while the states pass by.

use super::TraceRow;
use super::numbers::{any, below, numbers, pick};
use super::rates::KNOCK_END;
use super::run::Outcome;
use super::state::{Gas, State};
use shortblock_lanes::Lane;

/// Burned mass fractions whose angles are kept.
const MARKS: [f64; 3] = [0.1, 0.5, 0.9];

numbers! {
    /// What the log needs of the states before.
    struct Seen {
        theta,
        /// Pa; 0 before there was a state.
        pressure,
        burned,
        knock,
    }
}

/// What is known so far; not yet reached is NaN.
pub(super) struct Log<V> {
    last: [Seen<V>; 2],
    marks: [V; 3],
    peak: [V; 2],
    hottest: V,
    knock: V,
    pub limited: V,
    pub outside: V,
    /// Unburned temperature and pressure at the spark and at half burned.
    looked_at: [[V; 2]; 2],
    /// Rows of the lanes that are traced.
    traces: Vec<Option<Vec<TraceRow>>>,
}

impl<V: Lane> Log<V> {
    pub fn new(trace: Vec<bool>) -> Self {
        let (zero, never) = (V::splat(0.0), V::splat(f64::NAN));
        Self {
            last: [Seen::default(); 2],
            marks: [never; 3],
            peak: [zero; 2],
            hottest: zero,
            knock: never,
            limited: zero,
            outside: zero,
            looked_at: [[never; 2]; 2],
            traces: trace.into_iter().map(|wanted| wanted.then(Vec::new)).collect(),
        }
    }

    #[inline(always)]
    pub fn at_spark(&mut self, gas: &Gas<V>) {
        self.looked_at[0] = [gas.t_u, gas.pressure];
    }

    /// Takes in the state of the lanes in `mask`.
    #[inline(always)]
    pub fn add(&mut self, s: &State<V>, mask: V, fired: bool) {
        let [before, last] = self.last;
        let burned = if fired { s.gas.burned() } else { V::splat(0.0) };
        let now = Seen { theta: s.theta, pressure: s.gas.pressure, burned, knock: s.ledger.knock };
        let top = mask
            * below(V::splat(0.0), before.pressure)
            * (V::splat(1.0) - below(last.pressure, before.pressure))
            * (V::splat(1.0) - below(last.pressure, now.pressure));
        if any(top) {
            let peak = vertex(
                [before.theta, last.theta, now.theta],
                [before.pressure, last.pressure, now.pressure],
            );
            let higher = top * below(self.peak[1], peak[1]);
            for (kept, new) in self.peak.iter_mut().zip(peak) {
                *kept = pick(higher, new, *kept);
            }
        }
        if fired {
            self.burning(s, &last, &now, mask);
        }
        self.last = [last.or(&before, mask), now.or(&last, mask)];
        for (i, trace) in self.traces.iter_mut().enumerate() {
            if let Some(rows) = trace.as_mut().filter(|_| mask.get(i) > 0.0) {
                rows.push(row(s, i));
            }
        }
    }

    #[inline(always)]
    fn burning(&mut self, s: &State<V>, last: &Seen<V>, now: &Seen<V>, mask: V) {
        self.hottest = pick(mask, self.hottest.max(s.gas.t_b), self.hottest);
        let mask = mask * below(last.burned, now.burned);
        for (i, x) in MARKS.into_iter().enumerate() {
            let (here, part) = passed(x, self.marks[i], last, now, mask);
            let angle = part.mul_add(now.theta - last.theta, last.theta);
            self.marks[i] = pick(here, angle, self.marks[i]);
            if i == 1 {
                let [t, p] = self.looked_at[1];
                self.looked_at[1] = [pick(here, s.gas.t_u, t), pick(here, s.gas.pressure, p)];
            }
        }
        let (here, part) = passed(KNOCK_END, self.knock, last, now, mask);
        let knock = part.mul_add(now.knock - last.knock, last.knock);
        self.knock = pick(here, knock, self.knock);
    }

    /// What lane `i` came to at its end.
    pub fn outcome(&mut self, end: &State<V>, i: usize) -> Outcome {
        let known = |x: V| Some(x.get(i)).filter(|x| !x.is_nan());
        let ledger = end.ledger.lane(i);
        Outcome {
            gas: end.gas.lane(i),
            theta: end.theta.get(i),
            marks: self.marks.map(known),
            peak: (self.peak[0].get(i), self.peak[1].get(i)),
            peak_burned_temperature: self.hottest.get(i),
            knock: known(self.knock).unwrap_or(ledger.knock),
            limited: self.limited.get(i) as u32,
            outside: self.outside.get(i) as u32,
            looked_at: self.looked_at.map(|[t, p]| known(t).zip(known(p))),
            trace: self.traces[i].take().unwrap_or_default(),
            ledger,
        }
    }
}

fn row<V: Lane>(s: &State<V>, i: usize) -> TraceRow {
    let (gas, ledger) = (s.gas.lane(i), s.ledger.lane(i));
    TraceRow {
        angle: s.theta.get(i),
        volume: gas.volume,
        pressure: gas.pressure,
        unburned_temperature: gas.t_u,
        burned_temperature: gas.t_b,
        burned: gas.burned(),
        heat: ledger.heat.iter().sum::<f64>() + ledger.crevice_heat,
        work: ledger.work,
    }
}

/// A mask of the lanes whose burned fraction passes `x` for the first time, as `mark` is not set, and
/// the part of the step at which it does.
#[inline(always)]
fn passed<V: Lane>(x: f64, mark: V, last: &Seen<V>, now: &Seen<V>, mask: V) -> (V, V) {
    let (x, zero, one) = (V::splat(x), V::splat(0.0), V::splat(1.0));
    let part = (x - last.burned) / (now.burned - last.burned);
    (mask * unset(mark) * (one - below(now.burned, x)), part.clamp(zero, one))
}

/// 1 in lanes that are still NaN, else 0.
#[inline(always)]
fn unset<V: Lane>(x: V) -> V {
    V::select_lt(x, V::splat(f64::INFINITY), V::splat(0.0), V::splat(1.0))
}

/// Place and height of the top of the parabola through three points, the middle one highest.
#[inline(always)]
pub(super) fn vertex<V: Lane>(x: [V; 3], y: [V; 3]) -> [V; 2] {
    let zero = V::splat(0.0);
    let (a, b) = (x[0] - x[1], x[2] - x[1]);
    let (c, d) = (y[0] - y[1], y[2] - y[1]);
    let det = a * b * (a - b);
    let curve = (c * b - d * a) / det;
    let slope = (d * a * a - c * b * b) / det;
    let at = (V::splat(-0.5) * slope / curve).clamp(a.min(b), a.max(b));
    let top = [x[1] + at, y[1] + slope * at + curve * at * at];
    // Points on a line, or two at one place (NaN), have their top in the middle.
    let bent = below(curve, zero) * below(zero, det * det);
    [pick(bent, top[0], x[1]), pick(bent, top[1], y[1])]
}
