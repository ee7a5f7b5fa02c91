//! What does the comparison say of days drawn by lot? For `scripts/cross_check_statsmodels.py`.
//!
//! `cargo run -p shortblock-compare --example print_comparisons`
//!
//! One case a line, as JSON: what was asked and, under `said`, what the program answered. The seed is
//! fixed; spreads, degrees of freedom, orders, refits, days, dynos and gaps are drawn.

use rand::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use serde_json::{Value, json};
use shortblock_compare::*;

const SEED: u64 = 20_261_128;
const SPEEDS: usize = 48;

/// Draws a case and has it answered.
type Draw = fn(&mut Lot) -> Value;

struct Lot(Xoshiro256PlusPlus);

impl Lot {
    fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Of even chance per decade.
    fn decades(&mut self, low: f64, high: f64) -> f64 {
        self.within(low.ln(), high.ln()).exp()
    }

    fn below(&mut self, n: usize) -> usize {
        (self.uniform() * n as f64) as usize
    }

    fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    /// Box-Muller.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

fn main() {
    let mut lot = Lot(Xoshiro256PlusPlus::seed_from_u64(SEED));
    let kinds: [(Draw, usize); 7] = [
        (student, 300),
        (curve, 300),
        (chances, 100),
        (prior, 100),
        (several, 30),
        (planned, 20),
        (day, 200),
    ];
    for (draw, cases) in kinds {
        (0..cases).for_each(|_| println!("{}", draw(&mut lot)));
    }
}

fn student(lot: &mut Lot) -> Value {
    let (dof, level) = (lot.decades(0.8, 1e6), lot.decades(1e-5, 0.9));
    let e = Estimate { delta: lot.within(-6.0, 6.0), standard: 1.0, dof };
    let said = json!([e.half_width(level).0, e.p_value()]);
    json!({ "kind": "student", "dof": dof, "level": level, "t": e.delta, "said": said })
}

fn curve(lot: &mut Lot) -> Value {
    let (dof, level, resels) =
        (lot.decades(3.0, 300.0), lot.decades(1e-3, 0.1), lot.within(0.0, 30.0));
    let speeds = 2 + lot.below(200);
    let said = critical_value(level, dof, resels, speeds);
    json!({ "kind": "curve", "dof": dof, "level": level, "resels": resels, "speeds": speeds,
        "said": said })
}

fn chances(lot: &mut Lot) -> Value {
    let (ratio, dof) = (lot.within(0.0, 8.0), lot.decades(4.0, 1000.0));
    let level = lot.decades(1e-3, 0.2);
    let said = json!([chance_of_real(ratio, dof, level), chance_of_equivalence(ratio, dof)]);
    json!({ "kind": "chances", "ratio": ratio, "dof": dof, "level": level, "said": said })
}

fn prior(lot: &mut Lot) -> Value {
    let unlike = lot.within(0.0, 2.0);
    let sessions: Vec<(f64, f64)> = (0..3 + lot.below(12))
        .map(|_| ((unlike * lot.normal() - 11.5).exp(), lot.within(1.0, 20.0)))
        .collect();
    let said = prior_of(&sessions).map(|p| json!([p.variance, p.dof]));
    json!({ "kind": "prior", "sessions": sessions, "said": said })
}

fn several(lot: &mut Lot) -> Value {
    let mut p: Vec<f64> = (0..1 + lot.below(9)).map(|_| lot.decades(1e-5, 1.0)).collect();
    if lot.one_in(4) {
        p.push(p[0]);
    }
    json!({ "kind": "several", "p": p, "said": holm(&p) })
}

/// A spread of so many per cent, in one or many bands of speed.
fn known(lot: &mut Lot, low: f64, high: f64, bands: usize) -> Known {
    let one = |lot: &mut Lot| (lot.decades(low, high) / 100.0).powi(2);
    let from = lot.within(1500.0, 3500.0);
    let variance = Profile::bands(from, (0..bands).map(|_| one(lot)).collect());
    let variance = variance.expect("drawn above 0");
    Known { variance, dof: lot.decades(4.0, 40.0), origin: Origin::History { sessions: 3 } }
}

fn scatter(lot: &mut Lot, change: Change) -> Scatter {
    let bands = 1 + lot.below(8);
    Scatter {
        change,
        pull: known(lot, 0.1, 0.9, bands),
        steady: known(lot, 0.1, 0.9, 1),
        refit: known(lot, 0.05, 0.8, 1),
        session: known(lot, 0.2, 1.0, 1),
        slope: known(lot, 0.02, 0.3, 1),
        warm_up: known(lot, 0.05, 0.6, 1),
        dyno: known(lot, 0.5, 3.0, 1),
        correction: known(lot, 5.0, 30.0, 1),
        oil: known(lot, 0.01, 0.1, 1),
        resels_per_1000_rpm: lot.one_in(3).then(|| lot.within(0.5, 5.0)),
    }
}

fn told(s: &Scatter) -> Value {
    let one = |k: &Known| {
        let v = &k.variance;
        json!({ "from": v.from_rpm(), "variances": v.variances(), "dof": k.dof })
    };
    json!({ "pull": one(&s.pull), "steady": one(&s.steady), "refit": one(&s.refit), "session": one(&s.session),
        "slope": one(&s.slope), "warm_up": one(&s.warm_up), "dyno": one(&s.dyno),
        "correction": one(&s.correction), "oil": one(&s.oil), "resels": s.resels_per_1000_rpm })
}

fn planned(lot: &mut Lot) -> Value {
    let change = [Change::Setting, Change::BoltOn][lot.below(2)];
    let scatter = scatter(lot, change);
    let (margin, gain) = (lot.within(0.2, 1.5), lot.within(0.0, 0.03));
    let worth = Margin::per_cent(margin).expect("above 0");
    let letters: String = (0..3 + lot.below(12)).map(|i| ["A", "B"][i % 2]).collect();
    let own = Order::parse(&letters).expect("A and B");
    let advice = plan_test(&scatter, worth, gain, &[own]);
    let one = |d: &Design| {
        let (pulls, blocks) = (d.order.pulls(), d.order.blocks());
        json!({ "b": pulls, "blocks": blocks, "half": d.half_width.0, "real": d.chance_of_real,
            "equal": d.chance_of_equivalence, "sees": d.sees })
    };
    let designs: Vec<Value> = advice.designs.iter().map(one).collect();
    json!({ "kind": "planned", "stops": change != Change::Setting, "scatter": told(&scatter),
        "margin": worth.fraction(), "gain": gain,
        "said": { "designs": designs, "settles": advice.settles } })
}

/// Torque of one pull: a hump with an offset, slow waves and fine noise; short at an end at times.
fn torque(lot: &mut Lot, offset: f64) -> Vec<f64> {
    let (mut wave, keep) = (0.0, lot.within(0.6, 0.98));
    let (first, last) = (lot.below(3), SPEEDS - lot.below(4));
    (0..SPEEDS)
        .map(|g| {
            wave = keep * wave + 0.002 * (1.0 - keep * keep).sqrt() * lot.normal();
            let x = g as f64 / SPEEDS as f64;
            let y = 6.0 + 1.2 * x - 1.4 * x * x + offset + wave + 0.0005 * lot.normal();
            if (first..last).contains(&g) { y } else { f64::NAN }
        })
        .collect()
}

/// The pulls of one or two days, on one or two dynos, fitted again now and then.
fn pulls(lot: &mut Lot) -> Vec<Tried> {
    let count = 2 + lot.below(19);
    let (days, dynos, modes) = (1 + lot.below(2), 1 + lot.below(2), 1 + lot.below(2));
    let apart = lot.one_in(2);
    let mut out: Vec<Tried> = Vec::new();
    let (mut b, mut block, mut order, mut since) = (false, 0, 0.0, 0.0);
    for i in 0..count {
        let session = (i * days / count) as u32;
        let new_day = out.last().is_some_and(|p| p.session != session);
        let change = i > 0 && lot.one_in(3);
        let fitted_again = change || lot.one_in(8);
        (b, block) = (b != change, if new_day { 0 } else { block + u32::from(fitted_again) });
        order = if new_day { 0.0 } else { order + if lot.one_in(4) { 1.5 } else { 1.0 } };
        since = if new_day || fitted_again { 0.0 } else { since + 1.0 };
        let offset = 0.004 * lot.normal() + if b { 0.006 } else { 0.0 };
        let steady = modes == 2 && lot.one_in(2);
        // Sweeps and held speeds that differ in what B gives are not pooled.
        let offset = offset + if steady && b && apart { 0.04 } else { 0.0 };
        out.push(Tried {
            label: format!("pull {i}"),
            build: ["a", "b"][usize::from(b)].to_string(),
            dyno: ["north", "south"][(i % 4) * dynos / 4].to_string(),
            session,
            block,
            order,
            pulls_since_stop: since,
            ln_correction: 0.02 * lot.normal(),
            oil_temperature_celsius: (!lot.one_in(5)).then(|| lot.within(85.0, 100.0)),
            mode: if steady { Mode::Steady } else { Mode::Sweep },
            place: Place::Crank,
            sweep_rate_rpm_s: 300.0,
            inertia_corrected: false,
            ln_torque: torque(lot, offset + if steady { 0.02 } else { 0.0 }),
            set_aside: match lot.below(14) {
                0 => Some(SetAside::BeforeSeen),
                1 => Some(SetAside::AfterSeen),
                _ => None,
            },
        });
    }
    out
}

fn day(lot: &mut Lot) -> Value {
    let scatter = scatter(lot, Change::BoltOn);
    let pulls = pulls(lot);
    let speeds_rpm: Vec<f64> = (0..SPEEDS).map(|g| 2000.0 + 50.0 * g as f64).collect();
    let planned_pulls = pulls.len().saturating_sub(2) + lot.below(4);
    let plan = Plan {
        a: "a".to_string(),
        b: "b".to_string(),
        from_rpm: lot.within(2000.0, 2200.0),
        to_rpm: lot.within(3600.0, 4400.0),
        planned_pulls,
        extended: lot.one_in(3),
        margin: Margin::per_cent(0.5).expect("above 0"),
    };
    let set = PullSet { speeds_rpm, pulls };
    let answer = compare(&set, &scatter, &plan);
    let one = |p: &Tried| {
        json!({ "b": p.build == "b", "dyno": p.dyno, "session": p.session, "block": p.block,
            "order": p.order, "since": p.pulls_since_stop, "ln_correction": p.ln_correction,
            "oil": p.oil_temperature_celsius, "steady": p.mode == Mode::Steady, "y": p.ln_torque,
            "set_aside": p.set_aside.map(|s| s == SetAside::AfterSeen) })
    };
    json!({ "kind": "day", "speeds": set.speeds_rpm, "scatter": told(&scatter),
        "pulls": set.pulls.iter().map(one).collect::<Vec<_>>(), "from": plan.from_rpm,
        "to": plan.to_rpm, "planned": planned_pulls, "extended": plan.extended,
        "said": answer.as_ref().map_or(Value::Null, said) })
}

fn estimate(e: &Estimate) -> Value {
    json!([e.delta, e.standard, e.dof])
}

fn outcome(o: &Outcome) -> Value {
    let band = &o.band;
    json!({ "average": estimate(&o.average), "interval": [o.interval.low, o.interval.high],
        "interval_90": [o.interval_90.low, o.interval_90.high], "speeds": band.speeds_rpm,
        "delta": band.delta, "half": band.half_width, "critical": band.critical, "dof": band.dof,
        "resels": band.resels })
}

fn said(c: &Comparison) -> Value {
    let part = |p: &Component| json!([format!("{:?}", p.source), p.variance, p.dof, p.share]);
    let kept = |(mode, h): &(Mode, SessionScatter)| {
        json!({ "steady": *mode == Mode::Steady, "dof": h.dof, "from": h.from_rpm,
            "variances": h.variances, "resels": h.resels_per_1000_rpm })
    };
    let by_mode = c.by_mode.as_ref().map(|m| {
        json!({ "sweep": outcome(&m.sweep), "steady": outcome(&m.steady),
            "apart": estimate(&m.apart), "agrees": m.agrees() })
    });
    json!({ "outcome": outcome(&c.outcome), "with_set_aside": c.with_set_aside.as_ref().map(outcome),
        "peak": estimate(&c.peak), "tipping": c.tipping_refit, "seen": c.pull_scatter_seen,
        "left_out": c.left_out.iter().map(|l| estimate(&l.average)).collect::<Vec<_>>(),
        "components": c.components.iter().map(part).collect::<Vec<_>>(),
        "history": c.for_history.iter().map(kept).collect::<Vec<_>>(), "by_mode": by_mode,
        "refit": c.refit_spread.map(|s| [s.variance, s.dof]) })
}
