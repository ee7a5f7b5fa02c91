//! Flame states and the ideal fuel-air cycle against Cantera 3.2.0.

use crate::tables::{Row, close, rows};
use shortblock_gas::otto::{Charge, fuel_air_cycle};
use shortblock_gas::{Elements, FrozenGas, HumidAir, flame, fuel};

/// The limit asked for: 0.05 %; temperatures are printed to six digits.
const LIMIT: f64 = 5e-4;

fn fuel_of(row: &Row) -> shortblock_gas::Fuel {
    fuel::find(row.text("fuel")).unwrap()
}

#[test]
fn flame_temperatures() {
    let air = HumidAir::dry();
    for row in rows(include_str!("data/flame_temperature.csv")) {
        let fuel = fuel_of(&row);
        let phi = row.number("phi");
        let (t, p) = (row.number("T0_K"), row.number("p0_bar") * 1e5);
        let elements = Elements::new(&fuel, phi, &air).unwrap();
        let gas = FrozenGas::unburned(&fuel, phi, &air, &FrozenGas::air(&air), 0.0).unwrap();
        let what = format!("{} phi {phi} from {t} K {p} Pa", fuel.name);
        close(&what, gas.molar_mass() * 1e3, row.number("M_unburned"), 1e-5);
        let at_p = flame::constant_pressure(&gas, &elements, t, p).unwrap();
        let at_v = flame::constant_volume(&gas, &elements, t, p).unwrap();
        close(&what, at_p.t, row.number("T_const_p_K"), LIMIT);
        close(&what, at_p.molar_mass() * 1e3, row.number("M_const_p"), LIMIT);
        close(&what, at_v.t, row.number("T_const_v_K"), LIMIT);
        close(&what, at_v.p / 1e5, row.number("p_const_v_bar"), LIMIT);
    }
}

#[test]
fn fuel_air_otto_cycle() {
    let air = HumidAir::dry();
    for row in rows(include_str!("data/otto_fuel_air_cycle.csv")) {
        let fuel = fuel_of(&row);
        let charge = Charge {
            phi: row.number("phi"),
            residual_fraction: row.number("xr"),
            temperature: row.number("T1_K"),
            pressure: row.number("p1_bar") * 1e5,
        };
        let rc = row.number("rc");
        let c = fuel_air_cycle(&fuel, &air, &charge, rc).unwrap();
        let what = format!("{} phi {} rc {rc}", fuel.name, charge.phi);
        for (i, t, p) in [(1, "T2", "p2_bar"), (2, "T3", "p3_bar"), (3, "T4", "p4_bar")] {
            close(&format!("{what} {t}"), c.temperature[i], row.number(t), LIMIT);
            close(&format!("{what} {p}"), c.pressure[i] / 1e5, row.number(p), LIMIT);
        }
        close(&what, c.work / 1e3, row.number("w_kJ_per_kg"), LIMIT);
        close(&what, c.efficiency, row.number("eta_fi"), LIMIT);
        close(
            &what,
            c.mean_effective_pressure / charge.pressure,
            row.number("imep_over_p1"),
            LIMIT,
        );
    }
}
