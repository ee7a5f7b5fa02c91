//! One made-up day: what was pulled in which order, and what came of it.

use super::noise::{Deviates, White, smooth};
use super::{Cell, Dynos, SPEEDS, Truth, rpm};
use shortblock_compare::*;

/// What steady running scatters beside a sweep.
pub const STEADY: f64 = 0.6;

/// One pull to be made.
#[derive(Clone, Copy)]
struct Slot {
    b: bool,
    block: usize,
    session: usize,
    dyno: usize,
    steady: bool,
}

fn slots(cell: &Cell, order: &Order) -> Vec<Slot> {
    let one = order.pulls().iter().zip(order.blocks());
    let apart = cell.two_days || cell.truth.dynos == Dynos::Apart;
    let day: Vec<Slot> = one
        .map(|(&b, block)| Slot {
            b,
            block: block as usize,
            session: usize::from(apart && b),
            dyno: usize::from(cell.truth.dynos == Dynos::Apart && b),
            steady: false,
        })
        .collect();
    let there = |s: &Slot| Slot { session: 1, dyno: 1, block: s.block + 64, ..*s };
    let steps = |s: &Slot| [*s, Slot { steady: true, ..*s }];
    match (cell.truth.dynos, cell.truth.steps) {
        (Dynos::Both, _) => day.iter().copied().chain(day.iter().map(there)).collect(),
        (_, true) => day.iter().flat_map(steps).collect(),
        _ => day,
    }
}

/// Noise of one pull, per cent, flat over speed.
fn noise(t: &Truth, white: &White, d: &mut Deviates) -> Vec<f64> {
    let offset = t.offset * d.normal();
    let wave = smooth(d, 300.0);
    let fine = white.draw(d);
    (0..SPEEDS).map(|g| offset + t.smooth * wave[g] + t.white * fine[g]).collect()
}

/// Resolution elements per 1000 rpm of the noise, from 400 pulls.
pub fn resels_per_1000_rpm(t: &Truth, white: &White, d: &mut Deviates) -> f64 {
    let pulls: Vec<_> = (0..400).map(|_| noise(t, white, d)).collect();
    let e = nalgebra::DMatrix::from_fn(pulls.len(), SPEEDS, |i, g| pulls[i][g]);
    1000.0 * resels(&e) / (rpm(SPEEDS - 1) - rpm(0))
}

/// How much wider the noise is at the ends: 2.5 times below, twice above.
pub fn unevenness(t: &Truth, g: usize) -> f64 {
    if !t.uneven {
        return 1.0;
    }
    let x = g as f64 / (SPEEDS - 1) as f64;
    1.0 + 1.5 * (1.0 - 4.0 * x).max(0.0) + (4.0 * x - 3.0).max(0.0)
}

/// The true difference at a speed, a fraction.
pub fn true_effect(truth: &Truth, g: usize) -> f64 {
    let bump = truth.bump * (-((rpm(g) - 6300.0) / 500.0).powi(2)).exp();
    (truth.effect + bump) / 100.0
}

/// What acts on a whole session.
struct Weather {
    shift: f64,
    slope: f64,
    warm_up: f64,
    bend: f64,
    louder: f64,
}

fn weather(t: &Truth, d: &mut Deviates) -> Weather {
    Weather {
        shift: t.session * d.normal(),
        slope: t.slope * d.normal(),
        warm_up: t.warm_up * d.normal(),
        bend: t.bend * d.normal(),
        louder: (t.session_spread * d.normal()).exp(),
    }
}

/// The pulls of an order.
pub fn pulled(cell: &Cell, order: &Order, white: &White, d: &mut Deviates) -> PullSet {
    let t = &cell.truth;
    let slots = slots(cell, order);
    let n = slots.len();
    let fit = |d: &mut Deviates| {
        let flat = d.normal();
        if t.refit_shaped { smooth(d, 1500.0) } else { vec![flat; SPEEDS] }
    };
    let refits: Vec<Vec<f64>> = (0..=order.changes()).map(|_| fit(d)).collect();
    let there: Vec<Vec<f64>> = (0..=order.changes()).map(|_| fit(d)).collect();
    let sessions = [weather(t, d), weather(t, d)];
    let dynos = [t.dyno * d.normal(), t.dyno * d.normal()];
    let exponent = t.exponent * d.normal();
    let outlier = (d.uniform() * n as f64) as usize;
    let stops = cell.change != Change::Setting;
    // A day's shift is that of its middle, as histories see it between the means of days.
    let middle = [0, 1].map(|session| {
        let pulls = slots.iter().filter(|s| s.session == session).count();
        0.5 * (pulls as f64 - 1.0)
    });
    let (mut since, mut place) = (0.0, 0.0);
    let mut pulls: Vec<Tried> = Vec::with_capacity(n);
    for (i, s) in slots.iter().enumerate() {
        let fresh = i == 0 || s.session != slots[i - 1].session;
        let refitted = i > 0 && s.block != slots[i - 1].block;
        since = if fresh || (refitted && stops) { 0.0 } else { since + 1.0 };
        place = if fresh { 0.0 } else { place + 1.0 };
        let x = 2.0 * i as f64 / (n.max(2) - 1) as f64 - 1.0;
        let day = &sessions[s.session];
        // The air moves through the day; the correction has a part of it wrong.
        let ln_correction = t.air * 0.5 * x / 100.0;
        let common = day.shift
            + day.slope * (place - middle[s.session])
            + day.warm_up * (-since / 2.0_f64).exp()
            + day.bend * x * x
            + dynos[s.dyno]
            + 100.0 * exponent * ln_correction;
        // Student's t with 4 degrees of freedom and unit variance, once in a session thrice as far.
        let heavy = if t.outliers { (0.5 / d.chi2_over_dof(4)).sqrt() } else { 1.0 };
        let heavy = if t.outliers && i == outlier { 3.0 * heavy } else { heavy };
        let scale = day.louder * heavy * if s.steady { STEADY } else { 1.0 };
        let refit = if s.block < 64 { &refits[s.block] } else { &there[s.block - 64] };
        let noise = noise(t, white, d);
        let at = |g: usize| {
            let level = if s.steady { 0.5 + 0.005 * g as f64 } else { 0.0 };
            let moved = scale * unevenness(t, g) * noise[g] + t.refit * refit[g];
            6.3 + (common + level + moved) / 100.0 + if s.b { true_effect(t, g) } else { 0.0 }
        };
        let ln_torque = (0..SPEEDS).map(at).collect();
        pulls.push(Tried {
            label: format!("pull {}", i + 1),
            dyno: ["cell", "other"][s.dyno].to_string(),
            session: s.session as u32,
            pulls_since_stop: since,
            ln_correction,
            mode: if s.steady { Mode::Steady } else { Mode::Sweep },
            ..tried(if s.b { "b" } else { "a" }, s.block as u32, place, ln_torque)
        });
    }
    if t.dropped {
        drop_one(&mut pulls, d);
    }
    PullSet { speeds_rpm: (0..SPEEDS).map(rpm).collect(), pulls }
}

/// Loses one pull by chance, of a build that has another.
fn drop_one(pulls: &mut Vec<Tried>, d: &mut Deviates) {
    let spare = |p: &Tried| pulls.iter().filter(|q| q.build == p.build).count() > 1;
    let may: Vec<usize> = (0..pulls.len()).filter(|&i| spare(&pulls[i])).collect();
    if !may.is_empty() {
        pulls.remove(may[(d.uniform() * may.len() as f64) as usize]);
    }
}

/// A sweep on one dyno, one after the other in one session, without a stop.
pub fn tried(build: &str, block: u32, order: f64, ln_torque: Vec<f64>) -> Tried {
    Tried {
        label: format!("pull {}", order + 1.0),
        build: build.to_string(),
        dyno: "cell".to_string(),
        session: 0,
        block,
        order,
        pulls_since_stop: order,
        ln_correction: 0.0,
        oil_temperature_celsius: None,
        mode: Mode::Sweep,
        place: Place::Crank,
        sweep_rate_rpm_s: 300.0,
        inertia_corrected: false,
        ln_torque,
        set_aside: None,
    }
}
