//! Unburned mixture with residual against Cantera 3.2.0.

use crate::tables::{close, rows};
use shortblock_gas::{Elements, FrozenGas, HumidAir, equilibrium, fuel};

/// Six printed digits.
const PRINTED: f64 = 1e-5;

#[test]
fn unburned_mixture() {
    let air = HumidAir::dry();
    for row in rows(include_str!("data/unburned_mixture.csv")) {
        let fuel = fuel::find(row.text("fuel")).unwrap();
        let (phi, xr, t) = (row.number("phi"), row.number("xr"), row.number("T_K"));
        // The reference's residual: equilibrium at 1400 K, 1 bar, then frozen.
        let elements = Elements::new(&fuel, phi, &air).unwrap();
        let products = equilibrium::solve(&elements, 1400.0, 1e5).unwrap();
        let residual = FrozenGas::from_moles(&products.moles);
        let gas = FrozenGas::unburned(&fuel, phi, &air, &residual, xr).unwrap();
        let what = format!("{} phi {phi} xr {xr} {t} K", fuel.name);
        for (got, column) in [(gas.h(t), "h"), (gas.u(t), "u")] {
            assert!((got / 1e3 - row.number(column)).abs() < 1e-2, "{what}: {column} {got}");
        }
        close(&what, gas.s(t, 1e5) / 1e3, row.number("s_1bar"), PRINTED);
        close(&what, gas.cp(t) / 1e3, row.number("cp"), PRINTED);
        close(&what, gas.gamma(t), row.number("gamma"), PRINTED);
        close(&what, gas.r, row.number("R"), PRINTED);
        close(&what, gas.sound_speed(t), row.number("a"), PRINTED);
        close(&what, gas.fuel_moles * fuel.molar_mass, row.number("Y_fuel"), PRINTED);
        let back = gas.temperature_from_u(gas.u(t)).unwrap();
        // The two ranges of a polynomial meet at 1000 K to about eight digits.
        assert!((back - t).abs() < 1e-8 * t, "{what}: {back}");
    }
}

#[test]
fn isentropic_compression_keeps_entropy() {
    let air = HumidAir::new(99_000.0, 303.15, 0.4).unwrap();
    let fuel = fuel::find("e10").unwrap();
    let residual = FrozenGas::burned(&fuel, 1.1, &air).unwrap();
    let gas = FrozenGas::unburned(&fuel, 1.1, &air, &residual, 0.06).unwrap();
    let (t1, p1, rc) = (350.0, 95_000.0, 11.3);
    let t2 = gas.isentropic_temperature(t1, rc).unwrap();
    let p2 = p1 * rc * t2 / t1;
    assert!((gas.s(t2, p2) - gas.s(t1, p1)).abs() < 1e-9 * gas.s(t1, p1));
    assert!((gas.isentropic_temperature(t2, 1.0 / rc).unwrap() - t1).abs() < 1e-9 * t1);
}
