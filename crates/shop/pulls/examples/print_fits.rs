//! What do smoothing, local lines and coast-downs make of readings drawn by lot? For
//! `scripts/cross_check_scipy.py`.
//!
//! `cargo run -p shortblock-pulls --example print_fits`
//!
//! One case a line, as JSON: readings and, under `said`, what the program made of them; what is not a
//! number is `null`. The seed is fixed.

use rand::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use serde_json::{Value, json};
use shortblock_pulls::chassis::fit_losses;
use shortblock_pulls::grid::{BIN, bandwidth, local_line};
use shortblock_pulls::savgol::smoothed;

const SEED: u64 = 20_261_128;
const CASES: usize = 60;

struct Lot(Xoshiro256PlusPlus);

impl Lot {
    fn within(&mut self, low: f64, high: f64) -> f64 {
        let uniform = ((self.0.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
        low + (high - low) * uniform
    }

    fn one_in(&mut self, n: f64) -> bool {
        self.within(0.0, n) < 1.0
    }

    /// Box-Muller.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.within(0.0, 1.0).ln()).sqrt();
        radius * self.within(0.0, std::f64::consts::TAU).cos()
    }
}

fn main() {
    let mut lot = Lot(Xoshiro256PlusPlus::seed_from_u64(SEED));
    for _ in 0..CASES {
        println!("{}", smooth(&mut lot));
        println!("{}", line(&mut lot));
        println!("{}", coast(&mut lot));
    }
}

/// A noisy channel on an even clock, an uneven one, or with readings missing.
fn smooth(lot: &mut Lot) -> Value {
    let rows = 30 + lot.within(0.0, 100.0) as usize;
    let (step, window) = (lot.within(0.005, 0.1), 5 + 2 * lot.within(0.0, 12.0) as usize);
    let (uneven, holed) = (lot.one_in(3.0), lot.one_in(3.0));
    let start = lot.within(0.0, 900.0);
    let mut time: Vec<f64> = (0..rows).map(|i| start + step * i as f64).collect();
    if uneven {
        time.iter_mut().for_each(|t| *t += 0.2 * step * lot.within(-1.0, 1.0));
    }
    let (level, rise) = (lot.within(100.0, 700.0), lot.within(-60.0, 60.0));
    let one = |t: &f64| level + rise * (t - start) + 20.0 * (3.0 * (t - start)).sin();
    let mut values: Vec<f64> = time.iter().map(one).collect();
    values.iter_mut().for_each(|v| *v += lot.normal());
    if holed {
        values.iter_mut().filter(|_| lot.one_in(9.0)).for_each(|v| *v = f64::NAN);
    }
    let said = smoothed(&time, &values, window);
    json!({ "kind": "smooth", "time": time, "values": values, "rows": window,
        "even": !uneven && !holed, "said": [said.value, said.slope] })
}

/// A sweep that now and then turns back, and torque over it.
fn line(lot: &mut Lot) -> Value {
    let rows = 40 + lot.within(0.0, 600.0) as usize;
    let (first, last) = (lot.within(150.0, 300.0), lot.within(400.0, 900.0));
    let jitter = lot.within(0.0, 3.0);
    let share = |i: usize| i as f64 / rows as f64;
    let speed: Vec<f64> =
        (0..rows).map(|i| first + (last - first) * share(i) + jitter * lot.normal()).collect();
    let mut torque: Vec<f64> =
        speed.iter().map(|w| 500.0 - 0.002 * (w - 550.0).powi(2) + 2.0 * lot.normal()).collect();
    torque.iter_mut().filter(|_| lot.one_in(20.0)).for_each(|t| *t = f64::NAN);
    let grid: Vec<f64> = (20..190).map(|k| f64::from(k) * BIN).collect();
    let width = bandwidth(&speed);
    let said = local_line(&speed, &torque, &grid, width);
    json!({ "kind": "line", "speed": speed, "torque": torque, "grid": grid, "width": width,
        "said": said })
}

/// A roller that coasts down.
fn coast(lot: &mut Lot) -> Value {
    let inertia = lot.within(50.0, 300.0);
    let (c0, c2) = (lot.within(5.0, 40.0), lot.within(0.002, 0.02));
    let (mut speed, mut time) = (lot.within(70.0, 130.0), 0.0);
    let (mut times, mut speeds) = (Vec::new(), Vec::new());
    let (step, noise) = (lot.within(0.02, 0.1), lot.within(0.005, 0.1));
    while speed > 25.0 && times.len() < 3000 {
        times.push(time);
        speeds.push(speed + noise * lot.normal());
        speed -= step * (c0 + c2 * speed * speed) / inertia;
        time += step;
    }
    let Ok(losses) = fit_losses(&times, &speeds, inertia) else {
        return json!({ "kind": "coast", "said": null });
    };
    let asked = [30.0, 60.0, 90.0, 140.0];
    let at = asked.map(|w| losses.at(w));
    json!({ "kind": "coast", "time": times, "speed": speeds, "inertia": inertia,
        "asked": asked, "said": { "coefficients": losses.coefficients,
            "torque": at.map(|l| l.torque), "plus_minus": at.map(|l| l.plus_minus) } })
}
