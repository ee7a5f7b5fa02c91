//! Question: what does a gas property cost?
//!
//! Prints nanoseconds per table look-up and equilibrium solve and milliseconds per table fill; the
//! best of several rounds, one thread. Run with `--release`.

use std::hint::black_box;
use std::time::Instant;

use shortblock_gas::flame_speed::FlameFuel;
use shortblock_gas::{BurnedTable, Elements, FrozenGas, GasError, HumidAir, equilibrium, fuel};

/// Rounds of which the best counts.
const ROUNDS: usize = 15;
/// States that are cycled through.
const N_STATES: usize = 1024;

/// Returns the best time of one call over `calls` calls, ns; the results are summed so that none is
/// optimised away.
fn best(calls: usize, f: impl Fn(usize) -> f64) -> f64 {
    (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            black_box((0..calls).map(&f).sum::<f64>());
            start.elapsed().as_secs_f64() * 1e9 / calls as f64
        })
        .fold(f64::INFINITY, f64::min)
}

fn main() -> Result<(), GasError> {
    let fuel = fuel::find("e10")?;
    let air = HumidAir::new(99_000.0, 303.15, 0.5)?;
    let elements = Elements::new(&fuel, 1.1, &air)?;
    let table = BurnedTable::new(&fuel, 1.1, &air)?;
    let unburned = FrozenGas::unburned(&fuel, 1.1, &air, &FrozenGas::air(&air), 0.0)?;
    let flame = FlameFuel::new(&fuel).at(1.1, 0.05);
    let states: Vec<(f64, f64)> = (0..N_STATES)
        .map(|i| {
            // A slow walk over the table, as a cylinder takes it from step to step.
            let wave = (i as f64 * std::f64::consts::TAU / N_STATES as f64).sin();
            (1900.0 + 900.0 * wave, 2.0e6 * (1.5 * wave).exp())
        })
        .collect();
    let state = |i: usize| states[i % N_STATES];

    let look_up = best(100_000, |i| {
        let (t, p) = state(i);
        let s = table.state(t, p);
        s.u + s.r + s.u_t + s.u_p + s.r_t + s.r_p
    });
    let solve = best(2000, |i| {
        let (t, p) = state(i);
        equilibrium::solve(&elements, t, p).map_or(f64::NAN, |e| e.u + e.gamma_s)
    });
    let fill = best(10, |_| {
        BurnedTable::from_elements(black_box(&elements)).map_or(f64::NAN, |t| t.state(2e3, 1e6).u)
    });
    let frozen = best(100_000, |i| {
        let (t, _) = state(i);
        unburned.u(t) + unburned.cv(t)
    });
    let speed = best(20_000, |i| {
        let (t, p) = state(i);
        flame.speed(0.3 * t, p).value
    });
    println!("table look-up                 {look_up:8.1} ns");
    println!("equilibrium                   {solve:8.1} ns");
    println!("table fill                    {:8.3} ms", fill / 1e6);
    println!("frozen gas, u and cv          {frozen:8.1} ns");
    println!("flame speed                   {speed:8.1} ns");
    Ok(())
}
