//! Million cell-lane updates per second on one core, at each instruction level.
//!
//! `flow_speed [SECONDS] [PEER]`: time spent on each line (0.3); ratios are to PEER million cell
//! updates per second, those of Clawpack's classic Fortran kernels (Euler alone, constant gamma,
//! one lane). `scripts/bench` measures them in the same run; 13 is what they did on one machine.

use shortblock_flow::{
    Duct, DuctGeometry, End, EndFlux, Gas, GasSet, Opening, Reservoir, Scratch, end_flux,
};
use shortblock_lanes::{Kind, Lane, Lanes, Level, at_level};
use std::time::Instant;

const CELLS: usize = 24;
const PEER: f64 = 13.0;

struct Bench<V, const S: usize> {
    gases: GasSet<V, S>,
    duct: Duct<V, S>,
    scratch: Scratch<V, S>,
    air: Reservoir<V, S>,
    opening: Opening<V>,
    dt: V,
    u: [V; 2],
}

at_level! {
    /// `count` steps; with the ends' fluxes, or between still walls at a fixed pressure.
    fn steps[V: Lane, const S: usize](b: &mut Bench<V, S>, count: usize, ends: bool) {
        let zero = V::splat(0.0);
        let p = V::splat(1e5);
        let mut flux = [EndFlux { mass: zero, p, u: zero, energy: zero, scalars: [zero; S] }; 2];
        for _ in 0..count {
            if ends {
                flux = fluxes(b);
            }
            b.duct.sweep(&b.gases, b.dt, &flux[0], &flux[1], &mut b.scratch);
        }
    }
}

#[inline(always)]
fn fluxes<V: Lane, const S: usize>(b: &mut Bench<V, S>) -> [EndFlux<V, S>; 2] {
    let left = b.duct.end_state(&b.gases, End::Left, b.dt);
    let right = b.duct.end_state(&b.gases, End::Right, b.dt);
    let l = end_flux(&b.gases, &b.air, &left, &b.opening, b.u[0]);
    let r = end_flux(&b.gases, &b.air, &right, &b.opening, b.u[1]);
    b.u = [l.u, r.u];
    [l, r]
}

fn bench<V: Lane, const S: usize>() -> Bench<V, S> {
    // Air and S copies of burned gas, quintics of the reference table (J/kg, K/1000).
    let air = Gas {
        r: 287.0512015,
        e: [747242.0762, -167292.5078, 314940.2974, -163422.7928, 29826.59398],
    };
    let burned = Gas {
        r: 289.5610444,
        e: [752099.5369, -37633.95665, 229661.3696, -124423.9537, 22509.19254],
    };
    let gases = GasSet::new(&air, &[burned; S]);
    let mut geometry = DuctGeometry::from_area(0.6, CELLS, |x| 1.5e-3 * (1.0 + 0.3 * x));
    geometry.friction_factor = 0.006;
    let geometry = vec![geometry; V::WIDTH];
    let mut duct = Duct::new(&gases, &geometry).expect("a plain duct is valid");
    for i in 0..CELLS {
        let x = i as f64 / CELLS as f64;
        let y = [V::splat(0.1 * x); S];
        let p = V::from_fn(|l| 1e5 + 2e3 * (6.0 * x + l as f64).sin());
        duct.set_cell(&gases, i, p, V::splat(20.0 * x), V::splat(300.0 + 50.0 * x), &y);
    }
    let air = Reservoir::new(&gases, V::splat(1e5), V::splat(300.0), &[V::splat(0.0); S]);
    let opening = Opening::both_ways(V::splat(6e-4));
    let zero = V::splat(0.0);
    let scratch = Scratch::new(CELLS);
    Bench { gases, duct, scratch, air, opening, dt: V::splat(1e-5), u: [zero; 2] }
}

fn rate<V: Lane, const S: usize>(level: Level, ends: bool, seconds: f64) -> f64 {
    let count = 100;
    let mut best = 0.0_f64;
    let start = Instant::now();
    while start.elapsed().as_secs_f64() < seconds {
        // Fresh each time: between fixed walls the state drifts.
        let mut b = bench::<V, S>();
        steps(level, &mut b, 20, true);
        let begin = Instant::now();
        steps(level, &mut b, count, ends);
        let spent = begin.elapsed().as_secs_f64();
        best = best.max((count * CELLS * V::WIDTH) as f64 / spent * 1e-6);
        assert!(b.duct.cell(3).p.all_finite(), "the flow must stay finite");
    }
    best
}

fn line<V: Lane, const S: usize>(name: &str, level: Level, (seconds, peer): (f64, f64)) {
    let (sweep, all) = (rate::<V, S>(level, false, seconds), rate::<V, S>(level, true, seconds));
    println!(
        "{:10} {name:8} S={S} sweep {sweep:7.1} ({:5.1} x peer)   with ends {all:7.1} ({:5.1} x)",
        level.name(),
        sweep / peer,
        all / peer
    );
}

fn main() {
    let argument = |i| std::env::args().nth(i).and_then(|a| a.parse().ok());
    let how = (argument(1).unwrap_or(0.3), argument(2).unwrap_or(PEER));
    println!("million cell-lane updates per second and core, {CELLS} cells");
    for level in Level::available() {
        match level.kind() {
            Kind::Baseline => {
                line::<f64, 2>("f64", level, how);
                line::<Lanes<f64, 2, false>, 2>("f64x2", level, how);
                line::<Lanes<f32, 4, false>, 2>("f32x4", level, how);
            }
            Kind::Avx2 => {
                line::<Lanes<f64, 4, true>, 2>("f64x4", level, how);
                line::<Lanes<f64, 4, true>, 4>("f64x4", level, how);
                line::<Lanes<f32, 8, true>, 2>("f32x8", level, how);
                line::<Lanes<f32, 8, true>, 4>("f32x8", level, how);
            }
            Kind::Avx512 => {
                line::<Lanes<f64, 4, true>, 2>("f64x4", level, how);
                line::<Lanes<f64, 8, true>, 2>("f64x8", level, how);
                line::<Lanes<f64, 8, true>, 4>("f64x8", level, how);
                line::<Lanes<f32, 8, true>, 2>("f32x8", level, how);
                line::<Lanes<f32, 16, true>, 2>("f32x16", level, how);
                line::<Lanes<f32, 16, true>, 4>("f32x16", level, how);
            }
        }
    }
}
