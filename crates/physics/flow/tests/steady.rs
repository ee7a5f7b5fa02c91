//! Steady flow: nozzle, Fanno, sudden enlargement, orifice, bench.

use crate::support::{R_AIR, Rig, rows};
use shortblock_flow::{DuctGeometry, Opening};

const NOZZLE: &str = include_str!("data/nozzle_quasi1d.csv");
const GAMMA: f64 = 1.4;
const P0: f64 = 1e5;
const T0: f64 = 300.0;

fn nozzle_area(x: f64) -> f64 {
    1e-3 * (1.0 + 2.2 * (x - 1.5) * (x - 1.5))
}

/// The duct after 60 nozzle times (as the peer's table), started from the exact solution.
fn nozzle_rig(case: &str, cells: usize, exit: f64) -> Rig {
    let geometry = DuctGeometry::from_area(3.0, cells, nozzle_area);
    let mut rig = Rig::new(GAMMA, geometry, [P0, T0], [exit * P0, T0]);
    let table = rows(NOZZLE, case);
    for i in 0..cells {
        let x = (i as f64 + 0.5) * 3.0 / cells as f64;
        let k = ((x / 0.05) as usize).min(table.len() - 2);
        let w = x / 0.05 - k as f64;
        let at = |column: usize| (1.0 - w) * table[k][column] + w * table[k + 1][column];
        let (m, p, t) = (at(3), at(4) * P0, at(5) * T0);
        rig.duct.set_cell(&rig.gases, i, p, m * (GAMMA * R_AIR * t).sqrt(), t, &[]);
    }
    for (flux, row) in rig.flux.iter_mut().zip([&table[0], &table[table.len() - 1]]) {
        flux.u = row[3] * (GAMMA * R_AIR * row[5] * T0).sqrt();
    }
    rig.flux[1].u = -rig.flux[1].u;
    rig.run(60.0 / (R_AIR * T0).sqrt(), 0.8);
    rig
}

/// Mass flow in kg/s of the exact solution, from the table's throat row.
fn exact_mass_flow(case: &str) -> f64 {
    let table = rows(NOZZLE, case);
    let throat = table.iter().find(|r| (r[1] - 1.5).abs() < 1e-9).unwrap();
    let (m, p, t) = (throat[3], throat[4] * P0, throat[5] * T0);
    nozzle_area(1.5) * p / (R_AIR * t) * m * (GAMMA * R_AIR * t).sqrt()
}

/// Mass flow of every cell over the exact one, and of the two ends.
fn nozzle_mass_flow(case: &str, n: usize, exit: f64) -> (Vec<f64>, [f64; 2]) {
    let rig = nozzle_rig(case, n, exit);
    let exact = exact_mass_flow(case);
    let cells = (0..n).map(|i| rig.cell_mass_flow(i) / exact).collect();
    (cells, [rig.flux[0].mass / exact, -rig.flux[1].mass / exact])
}

fn spread(values: &[f64]) -> f64 {
    let (lo, hi) = values.iter().fold((f64::MAX, f64::MIN), |(a, b), &x| (a.min(x), b.max(x)));
    hi - lo
}

/// Wanted: mass flow constant along the duct to 0.1 %; the peer's split source gives 1 to 4 %.
#[test]
fn mass_flow_is_constant_along_a_nozzle() {
    for (case, exit) in [("subsonic", 0.995), ("isentropic_choked", 0.02), ("shock", 0.6784)] {
        let n = 100;
        let (cells, ends) = nozzle_mass_flow(case, n, exit);
        // A captured shock (x = 2.099) has no mass flow of its own in its few cells, and sheds
        // entropy behind it: there only the mean is compared.
        let shock = if case == "shock" { (2.099 / 3.0 * n as f64) as usize } else { n + 3 };
        let smooth = &cells[..n.min(shock - 3)];
        assert!(spread(smooth) < 1e-3, "{case}: {}", spread(smooth));
        if case == "shock" {
            let behind = &cells[shock + 4..];
            let mean = |x: &[f64]| x.iter().sum::<f64>() / x.len() as f64;
            assert!((mean(behind) - mean(smooth)).abs() < 1e-3, "{case}");
            // The peer's spread, shock cells included, is 2.4 %.
            assert!(spread(behind) < 5e-3, "{case}: {}", spread(behind));
        }
        for m in ends {
            assert!((m - 1.0).abs() < 1e-3, "{case}: {ends:?}");
        }
    }
}

#[test]
fn nozzle_pressure_is_closer_than_the_classic_peers() {
    let peer = include_str!("data/clawpack_nozzle.csv");
    for (case, exit) in [("subsonic", 0.995), ("isentropic_choked", 0.02), ("shock", 0.6784)] {
        let theirs = rows(peer, case)[0][3];
        let n = 100;
        let rig = nozzle_rig(case, n, exit);
        let table = rows(NOZZLE, case);
        let error: f64 = (0..n)
            .map(|i| {
                let x = (i as f64 + 0.5) * 3.0 / n as f64;
                let k = ((x / 0.05) as usize).min(table.len() - 2);
                let w = x / 0.05 - k as f64;
                let exact = (1.0 - w) * table[k][4] + w * table[k + 1][4];
                (rig.duct.cell(i).p / P0 - exact).abs() / n as f64
            })
            .sum();
        assert!(error < theirs, "{case}: {error} against {theirs}");
        if case != "shock" {
            assert!(error < 0.1 * theirs, "{case}: {error} against {theirs}");
        }
    }
}

/// 4 f L / D from Mach number `m` to the choked end (Shapiro 1953 ch. 6).
fn fanno_length(m: f64, g: f64) -> f64 {
    let t = 1.0 + 0.5 * (g - 1.0) * m * m;
    (1.0 - m * m) / (g * m * m) + (g + 1.0) / (2.0 * g) * (0.5 * (g + 1.0) * m * m / t).ln()
}

#[test]
fn friction_follows_fanno() {
    for row in rows(include_str!("data/fanno_rayleigh_isentropic.csv"), "") {
        let exact = fanno_length(row[1], row[0]);
        assert!((exact - row[2]).abs() < 1e-6 * row[2].max(0.1), "{row:?}");
    }
    let (n, length, diameter, f) = (80, 2.0, 0.04, 0.006);
    let mut geometry = DuctGeometry::pipe(length, diameter, n);
    geometry.friction_factor = f;
    for exit in [0.9, 0.7, 0.45] {
        let mut rig = Rig::new(GAMMA, geometry.clone(), [P0, T0], [exit * P0, T0]);
        rig.run(1.0, 0.8);
        let mach = |i: usize| {
            let q = rig.duct.cell(i);
            q.u / (q.gamma * q.p * q.v).sqrt()
        };
        let (a, b) = (n / 8, 7 * n / 8);
        let wanted = 4.0 * f * (b - a) as f64 / n as f64 * length / diameter;
        let got = fanno_length(mach(a), GAMMA) - fanno_length(mach(b), GAMMA);
        // Second order at 80 cells; the steepest case runs to Mach 0.72.
        assert!((got / wanted - 1.0).abs() < 5e-4, "{exit}: {got} against {wanted}");
    }
}

/// Mach number and pressure ratio behind a sudden enlargement from `s` of the area, by mass,
/// energy and momentum with the upstream pressure on the step.
fn borda(m1: f64, s: f64, g: f64) -> (f64, f64) {
    let momentum = s * (1.0 + g * m1 * m1) + (1.0 - s);
    let total = |m: f64| (1.0 + 0.5 * (g - 1.0) * m * m).sqrt();
    let wanted = s * m1 * total(m1) / momentum;
    let (mut lo, mut hi) = (0.0, 1.0);
    for _ in 0..100 {
        let m = 0.5 * (lo + hi);
        if m * total(m) / (1.0 + g * m * m) < wanted { lo = m } else { hi = m }
    }
    (lo, momentum / (1.0 + g * lo * lo))
}

#[test]
fn a_sudden_enlargement_loses_what_borda_says() {
    let table = include_str!("data/sudden_enlargement.csv");
    for row in rows(table, "") {
        let (m2, p2) = borda(row[2], row[1], row[0]);
        assert!((m2 - row[3]).abs() < 1e-8 && (p2 - row[4]).abs() < 1e-7, "{row:?}");
    }
    let n = 60;
    for s in [0.25, 0.5, 0.75] {
        for exit in [0.98, 0.9, 0.7] {
            let area = |x: f64| if x < 0.5 + 1e-9 { 1e-3 } else { 1e-3 / s };
            let geometry = DuctGeometry::from_area(1.0, n, area);
            let mut rig = Rig::new(GAMMA, geometry, [P0, T0], [exit * P0, T0]);
            rig.run(0.5, 0.8);
            let mach = |i: usize| {
                let q = rig.duct.cell(i);
                q.u / (q.gamma * q.p * q.v).sqrt()
            };
            let (a, b) = (n / 4, 3 * n / 4);
            let (m2, p2) = borda(mach(a), s, GAMMA);
            let ratio = rig.duct.cell(b).p / rig.duct.cell(a).p;
            if mach(a) < 0.95 {
                assert!((mach(b) - m2).abs() < 1e-6 && (ratio - p2).abs() < 1e-6, "{s} {exit}");
            } else {
                // Choked: the pressure on the step is set from downstream, not by Borda.
                assert!((mach(a) - 1.0).abs() < 5e-3, "{s} {exit} {}", mach(a));
                assert!((rig.duct.cell(b).p / (exit * P0) - 1.0).abs() < 1e-2, "{s} {exit}");
            }
        }
    }
}

/// A choked blow-down through a small port with the step to a wide pipe in the cell at the valve: the
/// shock that waits in the pipe must not push on the step ahead of it. The flow is the choked one of
/// the isentropic nozzle and keeps its enthalpy (Shapiro 1953 ch. 4, from memory).
#[test]
fn a_blow_down_through_a_step_at_the_valve_settles() {
    for s in [0.28, 0.4, 0.6] {
        let area = |x: f64| if x < 0.01 { 1e-3 * s } else { 1e-3 };
        let (p0, t0) = (2.2e5, 1400.0);
        let mut rig = Rig::new(GAMMA, DuctGeometry::from_area(1.0, 5, area), [p0, t0], [P0, 900.0]);
        rig.duct.fill(&rig.gases, P0, 0.0, 900.0, &[]);
        let throat = 0.7 * 1e-3 * s;
        rig.openings[0] = Opening::both_ways(throat);
        for step in 0..4000 {
            rig.step(1.2e-4);
            for i in 0..5 {
                let p = rig.duct.cell(i).p;
                assert!(p > 0.2 * P0 && p < p0, "{s}: {p} Pa in cell {i} at step {step}");
            }
        }
        let choked = throat * p0 * (GAMMA / (R_AIR * t0)).sqrt() * (2.0 / (GAMMA + 1.0)).powi(3);
        let flow = -rig.flux[1].mass;
        assert!((flow / choked - 1.0).abs() < 2e-3, "{s}: {flow} kg/s, choked {choked}");
        let h = GAMMA / (GAMMA - 1.0) * R_AIR * t0;
        assert!((-rig.flux[1].energy / flow / h - 1.0).abs() < 1e-3, "{s}");
    }
}

#[test]
fn an_orifice_passes_the_isentropic_flow() {
    use shortblock_flow::{Gas, GasSet, Reservoir, orifice};
    for row in rows(include_str!("data/orifice.csv"), "") {
        let gases = GasSet::<f64, 0>::new(&Gas::constant_gamma(R_AIR, row[0]), &[]);
        let up = Reservoir::new(&gases, P0, T0, &[]);
        let down = Reservoir::new(&gases, row[1] * P0, T0, &[]);
        let flow = orifice(&up, &down, 1e-3);
        let phi = flow.mass * (R_AIR * T0).sqrt() / (1e-3 * P0);
        // The ellipse's own error.
        assert!((phi - row[2]).abs() <= 7e-4 * row[2], "{row:?} {phi}");
        assert_eq!(orifice(&down, &up, 1e-3).mass, -flow.mass);
        assert!((flow.energy - flow.mass * up.h).abs() < 1e-9 * flow.energy.abs() + 1e-12);
    }
}

/// The prototype: 0.995 to 0.998 of the isentropic orifice, 0.985 to 0.999 choked.
#[test]
fn a_throat_on_a_pipe_passes_the_isentropic_flow() {
    for (into_pipe, share) in [(true, 0.1), (true, 0.4), (false, 0.1), (false, 0.4)] {
        for ratio in [0.98, 0.9, 0.7, 0.5, 0.3] {
            let (high, low) = ([P0, T0], [ratio * P0, T0]);
            let (l, r) = if into_pipe { (high, low) } else { (low, high) };
            let mut rig = Rig::new(GAMMA, DuctGeometry::pipe(0.5, 0.05, 10), l, r);
            let throat = share * rig.openings[0].inflow_area;
            rig.openings[0] = Opening::both_ways(throat);
            rig.run(0.4, 0.8);
            let q = rig.duct.cell(4);
            // Upstream total pressure and downstream static pressure next to the throat.
            let m2 = q.u * q.u / (q.gamma * q.p * q.v);
            let total = q.p * (1.0 + 0.5 * (GAMMA - 1.0) * m2).powf(GAMMA / (GAMMA - 1.0));
            let (p0, p) = if into_pipe { (P0, rig.flux[0].p) } else { (total, ratio * P0) };
            let critical: f64 = (2.0 / (GAMMA + 1.0)).powf(GAMMA / (GAMMA - 1.0));
            let x = (p / p0).max(critical);
            let phi = x.powf(1.0 / GAMMA)
                * (2.0 * GAMMA / (GAMMA - 1.0) * (1.0 - x.powf((GAMMA - 1.0) / GAMMA))).sqrt();
            let isentropic = throat * p0 / (R_AIR * T0).sqrt() * phi;
            let flow = rig.flux[0].mass.abs() / isentropic;
            // The ellipse's own error.
            assert!((flow - 1.0).abs() < 7e-4, "{into_pipe} {share} {ratio}: {flow}");
        }
    }
}
