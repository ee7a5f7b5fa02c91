//! Equilibrium against the tables computed with Cantera 3.2.0 (same species, same polynomials).

use crate::tables::{close, rows};
use shortblock_gas::species::{CO, H2, NO, O2, OH};
use shortblock_gas::{Elements, HumidAir, equilibrium, fuel};

/// Six printed digits (the limit asked for is 0.05 %).
const PRINTED: f64 = 6e-6;
/// Energies are printed to 0.01 kJ/kg, J/kg.
const PRINTED_ENERGY: f64 = 6.0;
/// The reference's own convergence shows in mole fractions of traces.
const TRACE: f64 = 1e-3;

/// Checks u, M, gamma_s, cp, s and mole fractions of a table.
fn check(fuel_name: &str, text: &str) {
    let fuel = fuel::find(fuel_name).unwrap();
    for row in rows(text) {
        let (phi, t, p) = (row.number("phi"), row.number("T_K"), row.number("p_bar") * 1e5);
        let elements = Elements::new(&fuel, phi, &HumidAir::dry()).unwrap();
        let e = equilibrium::solve(&elements, t, p).unwrap();
        let what = format!("{fuel_name} phi {phi} {t} K {p} Pa");
        for (got, column) in [(e.u, "u"), (e.h, "h")] {
            let gap = got - row.number(column) * 1e3;
            assert!(gap.abs() <= PRINTED_ENERGY, "{what}: {column} off by {gap} J/kg");
        }
        for (got, column) in [
            (e.molar_mass() * 1e3, "M"),
            (e.gamma_s, "gamma_s_eq"),
            (e.gamma_frozen(), "gamma_frozen"),
            (e.cp_frozen / 1e3, "cp_frozen"),
            (e.cp / 1e3, "cp_eq"),
            (e.s / 1e3, "s"),
            (e.sound_speed(), "a_eq"),
        ] {
            close(&format!("{what} {column}"), got, row.number(column), PRINTED);
        }
        let x = e.mole_fractions();
        for (column, j) in [("xO2", O2), ("xCO", CO), ("xH2", H2), ("xNO", NO), ("xOH", OH)] {
            if row.number(column) > 1e-12 {
                close(&format!("{what} {column}"), x[j], row.number(column), TRACE);
            }
        }
    }
}

#[test]
fn isooctane_lean() {
    check("isooctane", include_str!("data/burned_isooctane_lean.csv"));
}

#[test]
fn isooctane_rich() {
    check("isooctane", include_str!("data/burned_isooctane_rich.csv"));
}

#[test]
fn petrol() {
    check("gasoline_e0", include_str!("data/burned_gasoline_e0.csv"));
}

#[test]
fn methanol() {
    check("methanol", include_str!("data/burned_methanol.csv"));
}

#[test]
fn ethanol() {
    check("ethanol", include_str!("data/burned_ethanol.csv"));
}

#[test]
fn nitromethane() {
    check("nitromethane", include_str!("data/burned_nitromethane.csv"));
}
