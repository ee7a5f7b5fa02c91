//! The table against the solver between its nodes.

use shortblock_gas::burned::{P_MAX, P_MIN, T_FREEZE, T_MAX, T_MIN};
use shortblock_gas::{BurnedTable, Elements, FrozenGas, HumidAir, equilibrium, fuel};

/// The limit asked for: 0.05 % of u - u(298 K) and of R.
const LIMIT: f64 = 5e-4;

/// Worst errors over a grid that avoids the nodes: u, R, u_t, u_p.
fn worst(name: &str, phi: f64, p_lo: f64, p_hi: f64, t_hi: f64) -> [f64; 4] {
    let fuel = fuel::find(name).unwrap();
    let air = HumidAir::new(99_000.0, 303.15, 0.5).unwrap();
    let table = BurnedTable::new(&fuel, phi, &air).unwrap();
    let elements = Elements::new(&fuel, phi, &air).unwrap();
    let mut worst = [0.0_f64; 4];
    for i in 0..61 {
        let p = p_lo * (p_hi / p_lo).powf(i as f64 / 60.0);
        let u0 = FrozenGas::burned(&fuel, phi, &air).unwrap().u(298.15);
        for j in 0..=120 {
            let t = T_FREEZE + (t_hi - T_FREEZE) * j as f64 / 120.0;
            let want = equilibrium::solve(&elements, t, p).unwrap();
            let got = table.state(t, p);
            let errors = [
                (got.u - want.u) / (want.u - u0),
                got.r / want.r - 1.0,
                (got.u_t - want.u_t) / want.u_t,
                (got.u_p * p - want.u_lnp) / (want.r * t),
            ];
            for (w, e) in worst.iter_mut().zip(errors) {
                *w = w.max(e.abs());
            }
        }
    }
    worst
}

#[test]
fn table_is_the_solver() {
    for name in ["isooctane", "e10", "methanol", "nitromethane"] {
        for phi in [0.7, 0.95, 1.0, 1.05, 1.3] {
            let w = worst(name, phi, P_MIN, P_MAX, T_MAX);
            assert!(w[0] < LIMIT && w[1] < LIMIT, "{name} phi {phi}: {w:?}");
            // Slopes are one order less exact; 0.5 % of cv is far below its effect on a step.
            assert!(w[2] < 5e-3 && w[3] < 5e-3, "{name} phi {phi}: {w:?}");
            // Where engines run the table is as good as the solver.
            let w = worst(name, phi, 1e5, 2e7, 3000.0);
            assert!(w[0] < 1e-5 && w[1] < 1e-5 && w[2] < LIMIT, "{name} phi {phi}: {w:?}");
        }
    }
}

/// Beyond the table values go on without a jump and derivatives stay those of the values.
#[test]
fn the_edge_is_continuous() {
    let fuel = fuel::find("e10").unwrap();
    let table = BurnedTable::new(&fuel, 1.0, &HumidAir::dry()).unwrap();
    for (t, p) in [(T_MAX, 1e6), (T_MIN, 1e6), (2500.0, P_MAX), (2500.0, P_MIN)] {
        let (a, b) = (table.state(t * (1.0 - 1e-12), p), table.state(t * (1.0 + 1e-12), p));
        assert!((a.u - b.u).abs() < 1e-3 && (a.r - b.r).abs() < 1e-9);
        let (a, b) = (table.state(t, p * (1.0 - 1e-12)), table.state(t, p * (1.0 + 1e-12)));
        assert!((a.u - b.u).abs() < 1e-3 && (a.r - b.r).abs() < 1e-9);
    }
    let beyond = table.state(2500.0, 2.0 * P_MAX);
    assert_eq!((beyond.u_p, beyond.r_p), (0.0, 0.0));
    assert!(!table.contains(2500.0, 2.0 * P_MAX) && !table.contains(f64::NAN, 1e5));
}

#[test]
fn frozen_below_freezing_and_continuous_there() {
    let fuel = fuel::find("e10").unwrap();
    let air = HumidAir::dry();
    for phi in [0.8, 1.0, 1.25] {
        let table = BurnedTable::new(&fuel, phi, &air).unwrap();
        let elements = Elements::new(&fuel, phi, &air).unwrap();
        for p in [2e4, 1.3e5, 1e6, 1.1e7] {
            let at = equilibrium::solve(&elements, T_FREEZE, p).unwrap();
            let frozen = FrozenGas::from_moles(&at.moles);
            for t in [250.0, 800.0, 1234.0, 1650.0] {
                let got = table.state(t, p);
                assert!((got.u - frozen.u(t)).abs() < LIMIT * (frozen.u(t) - frozen.u(200.0)));
                assert!((got.r / frozen.r - 1.0).abs() < 1e-5);
                assert!((got.u_t / frozen.cv(t) - 1.0).abs() < 2e-3);
            }
            let (below, above) = (table.state(T_FREEZE - 1e-9, p), table.state(T_FREEZE, p));
            assert!((below.u - above.u).abs() < 1e-4, "phi {phi}");
            assert!((below.r - above.r).abs() < 1e-9);
        }
    }
}

/// Derivatives returned are those of the values returned, everywhere.
#[test]
fn derivatives_belong_to_the_values() {
    let fuel = fuel::find("ethanol").unwrap();
    let table = BurnedTable::new(&fuel, 1.1, &HumidAir::dry()).unwrap();
    for (t, p) in [(400.0, 3e4), (1500.0, 2e6), (1800.0, 4e5), (2600.0, 6e6), (3300.0, 2e7)] {
        let s = table.state(t, p);
        let (dt, dp) = (1e-3 * t, 1e-4 * p);
        let (tp, tm) = (table.state(t + dt, p), table.state(t - dt, p));
        let (pp, pm) = (table.state(t, p + dp), table.state(t, p - dp));
        let near = |got: f64, want: f64, scale: f64| {
            assert!((got - want).abs() < 1e-4 * scale, "{t} {p}: {got} {want}")
        };
        near(s.u_t, (tp.u - tm.u) / (2.0 * dt), s.u_t);
        near(s.r_t * t, (tp.r - tm.r) / (2.0 * dt) * t, s.r);
        near(s.u_p * p, (pp.u - pm.u) / (2.0 * dp) * p, s.r * t);
        near(s.r_p * p, (pp.r - pm.r) / (2.0 * dp) * p, s.r);
    }
}

#[test]
fn temperature_comes_back_from_energy() {
    let fuel = fuel::find("isooctane").unwrap();
    let table = BurnedTable::new(&fuel, 1.0, &HumidAir::dry()).unwrap();
    for t in [T_MIN, 900.0, 1699.0, 1700.0, 2345.0, T_MAX, 4000.0] {
        let u = table.state(t, 3e6).u;
        assert!((table.temperature_from_u(u, 3e6, 2000.0) - t).abs() < 1e-8 * t, "{t}");
    }
}
