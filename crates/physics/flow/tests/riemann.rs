//! Riemann problems: Toro's five tests, Lax's, and exhaust tubes of one and two gases.

#[path = "../examples/shock_tube/case.rs"]
mod case;

use crate::support::rows;
use case::Case;

const CLAWPACK: &str = include_str!("data/clawpack_shocktube_error.csv");
const PROFILES: &str = include_str!("data/riemann_profiles.csv");
const CASES: [&str; 8] = [
    "toro1_sod",
    "toro2_123",
    "toro3_blast",
    "toro4_blast",
    "toro5_collide",
    "lax",
    "exhaust_one_gas",
    "exhaust_two_gas",
];

#[test]
fn the_sampled_exact_solution_is_the_tabulated_one() {
    for name in CASES {
        let case = Case::find(name).unwrap();
        for row in rows(PROFILES, name) {
            let exact = case.exact(row[1]);
            for k in 0..3 {
                // Printed to 7 digits; the star states to 10.
                let scale = row[2 + k].abs().max(1e-3);
                assert!((exact[k] - row[2 + k]).abs() < 2e-6 * scale, "{name} {row:?} {exact:?}");
            }
        }
    }
}

#[test]
fn density_errors_are_below_those_of_the_classic_peer() {
    for name in ["toro1_sod", "lax"] {
        let case = Case::find(name).unwrap();
        let table: Vec<_> =
            CLAWPACK.lines().filter(|l| l.starts_with(&format!("{name},classic"))).collect();
        assert_eq!(table.len(), 5);
        for line in &table[..4] {
            let field: Vec<&str> = line.split(',').collect();
            let (cells, theirs): (usize, f64) =
                (field[2].parse().unwrap(), field[4].parse().unwrap());
            let ours = case.error(&case.run(cells, 0.9))[0];
            assert!(ours <= theirs, "{name} {cells}: {ours} against {theirs}");
        }
    }
}

#[test]
fn errors_fall_with_the_cell_size_in_every_case() {
    for name in CASES {
        let case = Case::find(name).unwrap();
        let error = [100, 200, 400].map(|n| case.error(&case.run(n, 0.9))[0]);
        // Contacts converge with order 2/3 or better in a second-order limited scheme.
        assert!(error[2] < error[0] * 0.25_f64.powf(2.0 / 3.0), "{name} {error:?}");
        assert!(error[1] < error[0], "{name} {error:?}");
    }
}

/// The star plateau of the tubes that stand for an exhaust pulse, 400 cells: pressure and speed
/// beside the contact within 0.5 % of the exact star state.
#[test]
fn an_exhaust_pulse_has_the_exact_plateau() {
    for name in ["exhaust_one_gas", "exhaust_two_gas"] {
        let case = Case::find(name).unwrap();
        let profile = case.run(400, 0.9);
        for (i, q) in profile.iter().enumerate() {
            let x = (i as f64 + 0.5) / 400.0;
            let exact = case.exact(x);
            let plateau = [x - 0.03, x + 0.03].map(|x| case.exact(x)[2]);
            if plateau[0] == exact[2] && plateau[1] == exact[2] {
                assert!((q[2] / exact[2] - 1.0).abs() < 5e-3, "{name} x {x}: {q:?} {exact:?}");
            }
        }
    }
}
