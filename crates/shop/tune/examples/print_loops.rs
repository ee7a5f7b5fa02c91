//! What do loops drawn by lot say? For `scripts/cross_check_scipy.py`.
//!
//! `cargo run -p shortblock-tune --example print_loops`
//!
//! One loop a line, as JSON: readings, history and, under `said`, what the program answered. The seed
//! is fixed.

use rand::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use serde_json::{Value, json};
use shortblock_tune::{
    Answer, Best, Next, Parabola, Reading, Scatter, Setting, best_setting, knock_bound,
    next_setting,
};

const SEED: u64 = 20_261_128;
const LOOPS: usize = 400;

struct Lot(Xoshiro256PlusPlus);

impl Lot {
    fn within(&mut self, low: f64, high: f64) -> f64 {
        let uniform = ((self.0.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
        low + (high - low) * uniform
    }

    /// Box-Muller.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.within(0.0, 1.0).ln()).sqrt();
        radius * self.within(0.0, std::f64::consts::TAU).cos()
    }
}

fn main() {
    let mut lot = Lot(Xoshiro256PlusPlus::seed_from_u64(SEED));
    for _ in 0..LOOPS {
        println!("{}", one(&mut lot));
    }
    for cycles in [1, 2, 7, 42, 300, 10_000, 1_000_000] {
        println!("{}", json!({ "kind": "knock", "cycles": cycles, "said": knock_bound(cycles) }));
    }
}

/// Readings over a top, some of them far from it, and a history of scatter or none.
fn one(lot: &mut Lot) -> Value {
    let spark = lot.within(0.0, 1.0) < 0.6;
    let setting = if spark { Setting::Spark } else { Setting::Mixture };
    let (top, half) = if spark {
        (lot.within(24.0, 40.0).to_radians(), lot.within(4.0, 16.0).to_radians())
    } else {
        (lot.within(0.83, 0.92), lot.within(0.04, 0.14))
    };
    let (torque, lost) = (lot.within(80.0, 900.0), lot.within(0.003, 0.15));
    let share = lot.within(0.0002, 0.02);
    let off = lot.within(-0.5, 0.5) * half;
    let readings: Vec<Reading> = (0..3 + lot.within(0.0, 9.0) as usize)
        .map(|_| {
            let x = off + half * lot.within(-1.0, 1.0);
            let bent = torque * (1.0 - lost * (x / half).powi(2) + share * lot.normal());
            Reading { setting: top + x, torque: bent, knock: false }
        })
        .collect();
    let history = if lot.within(0.0, 1.0) < 0.5 {
        Scatter { share, dof: lot.within(4.0, 12.0) }
    } else {
        Scatter::unknown()
    };
    let x: Vec<f64> = readings.iter().map(|r| r.setting).collect();
    let y: Vec<f64> = readings.iter().map(|r| r.torque).collect();
    let (step, reach) = (setting.step(), setting.reach());
    let least = setting.smaller_is_better();
    let fit = Parabola::fit(&x, &y, &history);
    let answer = best_setting(setting, &readings, &history);
    let Answer::Best(best) = answer else {
        return json!({ "kind": "fit", "x": x, "y": y, "share": history.share,
            "dof": history.dof, "parabola": fit.as_ref().map(parabola) });
    };
    let next = match next_setting(setting, &readings, &history) {
        Next::Try(proposal) => json!([proposal.setting, proposal.gain]),
        Next::Done => Value::Null,
    };
    json!({ "kind": "best", "x": x, "y": y, "share": history.share, "dof": history.dof,
        "step": step, "reach": reach, "least": least, "parabola": fit.as_ref().map(parabola),
        "said": said(&best), "next": next })
}

fn parabola(p: &Parabola) -> Value {
    json!({ "centre": p.centre, "coefficients": p.coefficients, "covariance": p.covariance,
        "scatter": p.scatter, "dof": p.dof })
}

fn said(best: &Best) -> Value {
    json!({ "setting": best.setting, "limits": [best.limits.low, best.limits.high],
        "torque": best.torque, "plus_minus": best.torque_plus_minus,
        "window": [best.window.0, best.window.1], "choose": best.choose, "fitted": best.fitted,
        "parabola": parabola(&best.parabola) })
}
