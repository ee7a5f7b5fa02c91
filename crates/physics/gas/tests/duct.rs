//! Quintic fits against the reference fits (numpy least squares on the same 400 points) and their
//! published fit errors.

use crate::tables::{close, rows};
use shortblock_gas::{DuctGas, FrozenGas, HumidAir, fuel};

/// The reference's gas, exact and as our quintic over the same range.
fn gas(name: &str, t_max: f64) -> (FrozenGas, DuctGas) {
    let air = HumidAir::dry();
    let exact = if name == "air" {
        FrozenGas::air(&air)
    } else if let Some(phi) = name.strip_prefix("burned_phi_") {
        let fuel = fuel::find("isooctane").unwrap();
        FrozenGas::burned(&fuel, phi.parse().unwrap(), &air).unwrap()
    } else {
        let fuel = name.strip_prefix("vapour_").unwrap();
        FrozenGas::vapour(&fuel::find(fuel).unwrap())
    };
    (exact, DuctGas::fit(&exact, t_max))
}

/// Upper end of the reference's fits, K.
fn t_max(name: &str) -> f64 {
    if name.starts_with("vapour") { 1000.0 } else { 1800.0 }
}

#[test]
fn quintics_are_the_reference_fits() {
    for row in rows(include_str!("data/duct_gas_polynomials.csv")) {
        let name = row.text("gas");
        let (_, fit) = gas(name, t_max(name));
        close(name, fit.r, row.number("R"), 1e-5);
        close(name, fit.t_max, row.number("T_max"), 1e-9);
        let mut reference = fit;
        for (i, c) in reference.c.iter_mut().enumerate() {
            *c = row.number(&format!("c{i}"));
        }
        let mut t = 250.0;
        while t <= fit.t_max {
            let du = fit.u(t) - reference.u(t);
            // The reference's products hold traces of dissociation at 900 or 1700 K, 50 bar: 0.01 %.
            let scale = (reference.u(t) - reference.u(250.0)).max(2e5);
            assert!(du.abs() < 1e-4 * scale, "{name} {t} K: {du} J/kg");
            close(name, fit.cv(t), reference.cv(t), 2e-4);
            t += 25.0;
        }
    }
}

#[test]
fn fit_errors_are_the_published_ones() {
    let errors = rows(include_str!("data/duct_gas_fit_error.csv"));
    for row in errors.iter().filter(|r| r.number("order") == 5.0) {
        let name = row.text("gas");
        let (exact, fit) = gas(name, t_max(name));
        let (mut worst_u, mut worst_a) = (0.0_f64, 0.0_f64);
        for i in 0..400 {
            let t = 250.0 + i as f64 * 1550.0 / 399.0;
            if t <= fit.t_max {
                worst_u = worst_u.max((fit.u(t) - exact.u(t)).abs());
                worst_a = worst_a.max((fit.sound_speed(t) / exact.sound_speed(t) - 1.0).abs());
            }
        }
        // Printed to four digits; a vapour whose own polynomial is a quintic is hit to rounding.
        let (want_u, want_a) = (row.number("max_du_kJ_kg"), row.number("max_sound_speed_pct"));
        assert!((worst_u / 1e3 - want_u).abs() < 1e-2 * want_u + 1e-6, "{name}: {worst_u} J/kg");
        assert!((worst_a * 100.0 - want_a).abs() < 1e-2 * want_a + 1e-6, "{name}: {worst_a}");
    }
}

/// Vapours are fitted up to 1800 K, unlike the reference's: a fit that ends at 1000 K is off by up to a
/// factor of 3 in cv at 1800 K, where residual meets fresh charge. The price is paid in mixtures of
/// 6 to 15 % vapour; it stays near the error of the air (0.12 % in the sound speed).
#[test]
fn vapour_fits_hold_in_hot_and_cold_mixtures() {
    let air = HumidAir::dry();
    for f in fuel::all() {
        let y = 1.0 / (1.0 + f.stoichiometric_afr());
        let (vapour, vapour_fit) = (FrozenGas::vapour(&f), DuctGas::fuel_vapour(&f));
        let mixture = FrozenGas::unburned(&f, 1.0, &air, &vapour, 0.0).unwrap();
        let fit = DuctGas::mix(&[(1.0 - y, &DuctGas::air(&air)), (y, &vapour_fit)]);
        for i in 0..=155 {
            let t = 250.0 + 10.0 * i as f64;
            close(&format!("{} {t} K a", f.name), fit.sound_speed(t), mixture.sound_speed(t), 4e-3);
            close(&format!("{} {t} K cv", f.name), vapour_fit.cv(t), vapour.cv(t), 0.15);
        }
    }
}

#[test]
fn sensible_energy_drops_only_the_constant() {
    let air = DuctGas::air(&HumidAir::dry());
    let e = air.sensible();
    assert_eq!(e.c[0], 0.0);
    assert!((e.u(900.0) - e.u(300.0) - (air.u(900.0) - air.u(300.0))).abs() < 1e-8);
}
