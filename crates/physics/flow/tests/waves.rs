//! Small waves: order, quarter wave, Helmholtz; a steepening wave of finite amplitude.

use crate::support::{R_AIR, Rig, constant, end_flux, end_state, rows, sweep};
use shortblock_flow::{
    Duct, DuctGeometry, End, FLANGED_END, Flow, Opening, Reservoir, Scratch, UNFLANGED_END, Volume,
    wall_flux,
};
use std::f64::consts::PI;

const ACOUSTICS: &str = include_str!("data/acoustics.csv");
const GAMMA: f64 = 1.4;
const P0: f64 = 1e5;
const C0: f64 = 343.2;

fn t0() -> f64 {
    C0 * C0 / (GAMMA * R_AIR)
}

/// Isentropic temperature at pressure `p`.
fn t_at(p: f64) -> f64 {
    t0() * (p / P0).powf((GAMMA - 1.0) / GAMMA)
}

fn still(geometry: DuctGeometry) -> Rig {
    Rig::new(GAMMA, geometry, [P0, t0()], [P0, t0()])
}

/// Frequency in Hz from the times at which `signal` (sampled each `dt`) crosses zero.
fn frequency(signal: &[f64], dt: f64) -> f64 {
    let crossing: Vec<f64> = (1..signal.len())
        .filter(|&i| signal[i - 1] * signal[i] < 0.0)
        .map(|i| (i as f64 - signal[i] / (signal[i] - signal[i - 1])) * dt)
        .collect();
    let n = crossing.len() - 1;
    n as f64 / (2.0 * (crossing[n] - crossing[0]))
}

/// Error of the pressure of a standing wave between closed ends after `periods`, relative to its
/// amplitude.
fn standing_wave_error(n: usize, periods: f64) -> f64 {
    let amplitude = 1.0;
    let mut rig = still(DuctGeometry::pipe(1.0, 0.04, n));
    rig.openings = [Opening::both_ways(0.0); 2];
    let shape = |i: usize| {
        // Cell mean of cos(pi x).
        let h = PI / n as f64;
        ((i as f64 + 1.0) * h).sin() / h - (i as f64 * h).sin() / h
    };
    for i in 0..n {
        let p = P0 + amplitude * shape(i);
        rig.duct.set_cell(&rig.gases, i, p, 0.0, t_at(p), &[]);
    }
    let steps = (periods * 2.0 * n as f64 / 0.8).round() as usize;
    let dt = periods * 2.0 / C0 / steps as f64;
    (0..steps).for_each(|_| rig.step(dt));
    let error =
        |i: usize| (rig.duct.cell(i).p - P0 - amplitude * shape(i)).abs() / (n as f64 * amplitude);
    (0..n).map(error).sum()
}

#[test]
fn a_standing_wave_converges_with_second_order() {
    let error = [20, 40, 80, 160].map(|n| standing_wave_error(n, 1.0));
    for k in 1..4 {
        let order = (error[k - 1] / error[k]).log2();
        // Wanted: 1.85.
        assert!(order > 1.85, "order {order} {error:?}");
    }
}

/// Frequency (Hz) of a pipe of `length` (m) with one end closed, and how much of the pressure there is
/// left after ten half-periods.
fn quarter_wave(n: usize, length: f64) -> (f64, f64) {
    let mut rig = still(DuctGeometry::pipe(length, 0.04, n));
    rig.openings[0] = Opening::both_ways(0.0);
    for i in 0..n {
        let p = P0 + (0.5 * PI * (i as f64 + 0.5) / n as f64).cos();
        rig.duct.set_cell(&rig.gases, i, p, 0.0, t_at(p), &[]);
    }
    let dt = 0.8 * length / (n as f64 * C0);
    let steps = (10.0 * 2.0 * length / C0 / dt) as usize;
    let signal: Vec<f64> = (0..steps)
        .map(|_| {
            rig.step(dt);
            rig.flux[0].p - P0
        })
        .collect();
    let tail = signal.len() * 8 / 10;
    let late = signal[tail..].iter().fold(0.0f64, |m, x| m.max(x.abs()));
    (frequency(&signal, dt), late)
}

#[test]
fn quarter_wave_frequency() {
    // The prototype's errors are -0.028, -0.007 and -0.002 %.
    for (n, bound) in [(10, 2.85e-4), (20, 7.5e-5), (40, 2.5e-5)] {
        let (f, late) = quarter_wave(n, 1.0);
        assert!((f / (C0 / 4.0) - 1.0).abs() < bound, "{n}: {f}");
        // Ends without the half step let waves grow by a tenth.
        assert!(late < 1.0 + 1e-6, "{n}: {late}");
    }
}

/// Pipes of 40 mm bore in free air and in a wall: the end corrections lengthen them as tabulated. Bound:
/// the error of 20 cells of the test above.
#[test]
fn a_flange_lowers_the_quarter_wave() {
    let rows = rows(ACOUSTICS, "quarter_wave");
    let met = |k: f64| rows.iter().filter(move |row| row[2] == 0.04 && (row[5] - k).abs() < 1e-9);
    for k in [UNFLANGED_END, FLANGED_END] {
        assert!(met(k).count() > 0, "{k}");
        for row in met(k) {
            let (f, _) = quarter_wave(20, row[1] + k * 0.5 * row[2]);
            assert!((f / row[7] - 1.0).abs() < 7.5e-5, "{row:?}: {f}");
        }
    }
}

fn helmholtz(n: usize, length: f64, diameter: f64, volume: f64, f1: f64) -> f64 {
    let gases = constant(GAMMA);
    let geometry = DuctGeometry::pipe(length, diameter, n);
    let mut duct = Duct::new(&gases, &[geometry]).unwrap();
    // Start in the mode itself: sin k(L - x) in the neck, 1 Pa in the vessel.
    let k = 2.0 * PI * f1 / C0;
    for i in 0..n {
        let x = length * (i as f64 + 0.5) / n as f64;
        let p = P0 + (k * (length - x)).sin() / (k * length).sin();
        duct.set_cell(&gases, i, p, 0.0, t_at(p), &[]);
    }
    let p1 = P0 + 1.0;
    let mut vessel = Volume::new(&gases, volume, p1, t_at(p1), &[]);
    let air = Reservoir::new(&gases, P0, t0(), &[]);
    let opening = Opening::both_ways(duct.end_area(End::Left));
    let mut scratch = Scratch::new(n);
    let dt = 0.8 * length / (n as f64 * C0);
    let (mut ul, mut ur) = (0.0, 0.0);
    let signal: Vec<f64> = (0..(10.0 / f1 / dt) as usize)
        .map(|_| {
            let inside = vessel.reservoir_at_half(&gases, dt, volume);
            let state = end_state(&mut duct, &gases, End::Left, dt);
            let left = end_flux(&gases, &inside, &state, &opening, ul);
            let state = end_state(&mut duct, &gases, End::Right, dt);
            let right = end_flux(&gases, &air, &state, &opening, ur);
            (ul, ur) = (left.u, right.u);
            sweep(&mut duct, &gases, dt, &left, &right, &mut scratch);
            vessel.apply(&-left.flow(), dt, inside.p, volume);
            vessel.reservoir(&gases).p - P0
        })
        .collect();
    frequency(&signal, dt)
}

#[test]
fn helmholtz_frequency() {
    for row in rows(ACOUSTICS, "pipe_plus_volume") {
        let (length, diameter, volume, k_end, f1) =
            (row[1], row[2], row[3], 0.6133 + 0.8217, row[7]);
        // The prototype's errors are -0.27, -0.14 and -0.07 %.
        for (n, bound) in [(5, 2.7e-3), (10, 7.5e-4), (20, 2.0e-4)] {
            let f = helmholtz(n, length + k_end * 0.5 * diameter, diameter, volume, f1);
            assert!((f / f1 - 1.0).abs() < bound, "{n}: {f} against {f1}");
        }
    }
}

/// Pressure of the simple wave `u` in still air at P0, T_WAVE.
fn simple_wave(u: f64) -> (f64, f64) {
    let c0 = (GAMMA * R_AIR * T_WAVE).sqrt();
    let c = c0 + 0.5 * (GAMMA - 1.0) * u;
    (P0 * (c / c0).powf(2.0 * GAMMA / (GAMMA - 1.0)), T_WAVE * (c / c0).powi(2))
}

const T_WAVE: f64 = 300.0;
const U0: f64 = 40.0;
const OMEGA: f64 = 2.0 * PI * 100.0;

/// Exact velocity at `x`, `t`: the characteristic that left x = 0 at `tau`.
fn exact_u(x: f64, t: f64) -> f64 {
    let c0 = (GAMMA * R_AIR * T_WAVE).sqrt();
    let speed = |tau: f64| c0 + 0.5 * (GAMMA + 1.0) * U0 * (OMEGA * tau).sin();
    let early = t - x / (c0 - 1.25 * U0) - 1e-6;
    let late = t - x.min(0.0) / (c0 - 1.25 * U0);
    let (mut lo, mut hi) = (early.min(t - 1e-6), late);
    for _ in 0..200 {
        let middle = 0.5 * (lo + hi);
        if middle + x / speed(middle) > t { hi = middle } else { lo = middle }
    }
    U0 * (OMEGA * lo).sin()
}

#[test]
fn the_exact_simple_wave_is_the_tabulated_one() {
    for row in rows(include_str!("data/simple_wave.csv"), "") {
        assert!((exact_u(row[0], row[2]) - row[3]).abs() < 1e-4, "{row:?}");
        let (p, t) = simple_wave(row[3]);
        assert!((p / row[4] - 1.0).abs() < 1e-7 && (t / row[5] - 1.0).abs() < 1e-7, "{row:?}");
    }
}

#[test]
fn a_steepening_wave_is_followed_as_well_as_by_the_classic_peer() {
    let peer = include_str!("data/clawpack_steepening_wave.csv");
    for row in &rows(peer, "classic")[..5] {
        let (n, theirs) = (row[1] as usize, row[4]);
        // As in the peer's run the exact wave is put into two cells left of x = 0.
        let dx = 12.0 / n as f64;
        let x = |i: usize| (i as f64 - 1.5) * dx;
        let gases = constant(GAMMA);
        let geometry = DuctGeometry::from_area(12.0 + 2.0 * dx, n + 2, |_| 1.0);
        let mut duct = Duct::new(&gases, &[geometry]).unwrap();
        duct.fill(&gases, P0, 0.0, T_WAVE, &[]);
        let mut scratch = Scratch::new(n + 2);
        let (mut time, end) = (0.0, 0.03);
        while time < end {
            for i in 0..2 {
                let u = if time > 0.0 { exact_u(x(i), time) } else { 0.0 };
                let (p, t) = simple_wave(u);
                duct.set_cell(&gases, i, p, u, t, &[]);
            }
            let dt = (0.9 / duct.signal_rate()).min(end - time);
            let [left, right] =
                [End::Left, End::Right].map(|e| end_state(&mut duct, &gases, e, dt));
            sweep(&mut duct, &gases, dt, &wall_flux(&left), &wall_flux(&right), &mut scratch);
            time += dt;
        }
        let near: Vec<usize> = (2..n + 2).filter(|&i| x(i) < 0.9 * 3.846805).collect();
        let error = |i: &usize| (duct.cell(*i).u - exact_u(x(*i), end)).abs() / U0 * 100.0;
        let ours = near.iter().map(error).sum::<f64>() / near.len() as f64;
        // With 12 cells to a wave both clip its crests; there the peer's 3.5 % is ours plus a fifth.
        let factor = if n == 40 { 1.25 } else { 1.0 };
        assert!(ours <= factor * theirs, "{n}: {ours} against {theirs}");
    }
}

/// A weak pulse into a step of area A1 to A2 comes back times (A1 - A2)/(A1 + A2) (any textbook
/// of acoustics, e.g. Kinsler et al., from memory).
#[test]
fn a_pulse_is_reflected_by_an_area_step_as_acoustics_says() {
    let (n, a1) = (400, 1e-3);
    for ratio in [0.25, 0.5, 2.0, 4.0] {
        let area = |x: f64| if x < 1.0 + 1e-9 { a1 } else { a1 * ratio };
        let mut rig = still(DuctGeometry::from_area(2.0, n, area));
        for i in 0..n {
            let x = (i as f64 + 0.5) * 2.0 / n as f64;
            let dp = 10.0 * (-((x - 0.5) / 0.08).powi(2)).exp();
            let rho = P0 / (R_AIR * t0());
            rig.duct.set_cell(&rig.gases, i, P0 + dp, dp / (rho * C0), t_at(P0 + dp), &[]);
        }
        rig.run(1.0 / C0, 0.8);
        let back = rig.duct.cell(n / 4).p - P0;
        let through = rig.duct.cell(3 * n / 4).p - P0;
        let wanted = [10.0 * (1.0 - ratio) / (1.0 + ratio), 20.0 / (1.0 + ratio)];
        // The crest of a pulse of 16 cells is clipped by 1 to 2 %.
        let allowed = 0.02 * wanted[1].max(10.0);
        assert!((back - wanted[0]).abs() < allowed, "{ratio}: {back} {wanted:?}");
        assert!((through - wanted[1]).abs() < allowed, "{ratio}: {through} {wanted:?}");
    }
}

/// Volumes that several pipes open into pass a weak pulse as acoustics says: of n equal pipes that meet
/// each of the others gets 2/n of it, and 2/n - 1 comes back (continuity of pressure and flow; any
/// textbook of acoustics), while the volume is small beside the pulse.
#[test]
fn a_pulse_is_shared_out_at_a_merge_as_acoustics_says() {
    let (n, length, area) = (200, 1.0, 1e-3);
    for pipes in [2, 3, 5] {
        let gases = constant(GAMMA);
        let geometry = DuctGeometry::from_area(length, n, |_| area);
        let mut ducts: Vec<_> = (0..pipes)
            .map(|_| {
                let mut duct = Duct::new(&gases, std::slice::from_ref(&geometry)).unwrap();
                duct.fill(&gases, P0, 0.0, t0(), &[]);
                duct
            })
            .collect();
        let rho = P0 / (R_AIR * t0());
        for i in 0..n {
            let x = (i as f64 + 0.5) * length / n as f64;
            let dp = 10.0 * (-((x - 0.5) / 0.1).powi(2)).exp();
            ducts[0].set_cell(&gases, i, P0 + dp, dp / (rho * C0), t_at(P0 + dp), &[]);
        }
        // As deep as four cells: a tenth of the pulse's width.
        let size = 4.0 * length / n as f64 * area;
        let mut merge = Volume::new(&gases, size, P0, t0(), &[]);
        let open = Opening::both_ways(area);
        let mut scratch = Scratch::new(n);
        let dt = 0.4 * length / (n as f64 * C0);
        let mut kept = vec![0.0; pipes];
        for _ in 0..(length / C0 / dt) as usize {
            let inside = merge.reservoir_at_half(&gases, dt, size);
            let mut net = Flow::zero();
            for (duct, kept) in ducts.iter_mut().zip(&mut kept) {
                let state = end_state(duct, &gases, End::Right, dt);
                let flux = end_flux(&gases, &inside, &state, &open, *kept);
                *kept = flux.u;
                net += -flux.flow();
                let closed = end_state(duct, &gases, End::Left, dt);
                sweep(duct, &gases, dt, &wall_flux(&closed), &flux, &mut scratch);
            }
            merge.apply(&net, dt, inside.p, size);
        }
        // The area under a pulse passes unchanged, whatever the volume rounds off.
        let sum = |k: usize| (0..n).map(|i| ducts[k].cell(i).p - P0).sum::<f64>();
        let sent = 10.0 * 0.1 * PI.sqrt() * n as f64 / length;
        let (back, through) = (sum(0) / sent, sum(1) / sent);
        let share = 2.0 / pipes as f64;
        assert!((through - share).abs() < 0.01, "{pipes}: {through}");
        assert!((back - (share - 1.0)).abs() < 0.01, "{pipes}: {back}");
    }
}
