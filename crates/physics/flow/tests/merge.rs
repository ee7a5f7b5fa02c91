//! Pipes that run together: the stream through the volume keeps what momentum keeps.

use super::support::{R_AIR, constant, end_flux, end_state, sweep};
use shortblock_flow::{
    Duct, DuctGeometry, End, Opening, Reservoir, Scratch, Stream, Volume, wall_flux,
};

/// Steady subsonic flow out of air at `p_in` through arriving pipes of the areas given (m², each
/// `open` or shut at its start) into one of `leaving`; mean of the last tenth.
struct Steady {
    /// Velocity and pressure in the middle of the first arriving pipe and of the leaving one.
    first: (f64, f64),
    out: (f64, f64),
    /// Pressure at the start of a shut second pipe.
    shut: f64,
    rho: f64,
}

const AREA: f64 = 1e-3;

fn steady(leaving: f64, cosine: f64, p_in: f64) -> Steady {
    let gases = constant(1.4);
    let n = 8;
    let pipe = |area: f64| {
        let mut duct = Duct::new(&gases, &[DuctGeometry::from_area(0.3, n, |_| area)]).unwrap();
        duct.fill(&gases, 1e5, 0.0, 300.0, &[]);
        duct
    };
    let (mut a, mut b, mut c) = (pipe(AREA), pipe(AREA), pipe(leaving));
    let mut volume = Volume::new(&gases, 0.06 * (2.0 * AREA + leaving), 1e5, 300.0, &[]);
    let mut stream = Stream::still(cosine);
    let from = Reservoir::new(&gases, p_in, 300.0, &[]);
    let to = Reservoir::new(&gases, 1e5, 300.0, &[]);
    let open = Opening::both_ways(1.0);
    let mut scratch = Scratch::new(n);
    let dt = 3e-5;
    let mut u = [0.0; 5];
    let steps = 20_000;
    let mut sum = [0.0; 6];
    for step in 0..steps {
        let (speed, mut still) = stream.at_half(&volume, dt);
        let state = still.reservoir_at_half(&gases, dt, volume.volume);
        let axis = Stream::stagnation(&state, speed);
        let mut at = |duct: &mut Duct<f64, 0>, end, node: &Reservoir<f64, 0>, i: usize| {
            let flux = end_flux(&gases, node, &end_state(duct, &gases, end, dt), &open, u[i]);
            u[i] = flux.u;
            flux
        };
        let (a0, a1) = (at(&mut a, End::Left, &from, 0), at(&mut a, End::Right, &state, 1));
        let b0 = wall_flux(&end_state(&mut b, &gases, End::Left, dt));
        let b1 = at(&mut b, End::Right, &state, 2);
        let (c0, c1) = (at(&mut c, End::Left, &axis, 3), at(&mut c, End::Right, &to, 4));
        sweep(&mut a, &gases, dt, &a0, &a1, &mut scratch);
        sweep(&mut b, &gases, dt, &b0, &b1, &mut scratch);
        sweep(&mut c, &gases, dt, &c0, &c1, &mut scratch);
        let force = stream.arriving(&a1, AREA, state.p) + stream.arriving(&b1, AREA, state.p)
            - Stream::leaving(&c0, leaving, state.p);
        volume.apply(&(-a1.flow() - b1.flow() - c0.flow()), dt, state.p, volume.volume);
        stream.apply(force, dt, &mut volume);
        if step >= steps * 9 / 10 {
            let (a, c) = (a.cell(n / 2), c.cell(n / 2));
            let here = [a.u, a.p, c.u, c.p, b.cell(0).p, a.p / (R_AIR * a.t)];
            sum.iter_mut().zip(here).for_each(|(sum, x)| *sum += x / (steps / 10) as f64);
        }
    }
    let [u1, p1, u2, p2, shut, rho] = sum;
    Steady { first: (u1, p1), out: (u2, p2), shut, rho }
}

/// Borda and Carnot: the pressure rises by `rho u1 u2 cos - rho u2^2` across the join (momentum along
/// the axis, incompressible: Idelchik section IV, from memory). At Mach 0.15 compressibility is worth
/// about `M^2/2`, 1 %, of it.
#[test]
fn a_jet_into_a_wider_pipe_regains_what_its_momentum_says() {
    for (leaving, angle) in [(1.5 * AREA, 0.0f64), (2.5 * AREA, 0.0), (1.5 * AREA, 0.35)] {
        let s = steady(leaving, angle.cos(), 1.02e5);
        let (u1, p1) = s.first;
        let (u2, p2) = s.out;
        assert!((u2 / u1 * leaving / AREA - 1.0).abs() < 0.03, "mass {u1} {u2}");
        let wanted = s.rho * u2 * (u1 * angle.cos() - u2);
        assert!(((p2 - p1) / wanted - 1.0).abs() < 0.03, "{angle}: {} {wanted}", p2 - p1);
        // A pipe that stands beside feels the pressure of the volume, which is the jet's.
        assert!((s.shut - p1).abs() < 0.05 * wanted.abs(), "{} {p1}", s.shut);
    }
}

/// Without a way on (cosine 0) the jet is stopped: all its head is lost and the leaving pipe starts
/// from rest, `p2 = p1 - rho u2^2/2`.
#[test]
fn a_stopped_jet_loses_its_head() {
    let leaving = 1.5 * AREA;
    let s = steady(leaving, 0.0, 1.02e5);
    let wanted = -0.5 * s.rho * s.out.0.powi(2);
    assert!(
        ((s.out.1 - s.first.1) / wanted - 1.0).abs() < 0.03,
        "{} {wanted}",
        s.out.1 - s.first.1
    );
}
