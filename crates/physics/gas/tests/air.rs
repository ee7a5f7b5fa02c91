//! Humid and dry air against CoolProp 8.0.0 (IAPWS-95, ASHRAE RP-1485, Lemmon et al. 2000).

use crate::tables::{close, rows};
use shortblock_gas::air::vapour_pressure;
use shortblock_gas::saturation::saturation_pressure;
use shortblock_gas::{FrozenGas, HumidAir};

#[test]
fn saturation_pressure_is_iapws() {
    for row in rows(include_str!("data/saturation_pressure.csv")) {
        let t = row.number("t_C");
        let got = saturation_pressure(t + 273.15).unwrap();
        close(&format!("{t} C, formula"), got, row.number("iapws"), 1e-6);
        // IAPWS-95 and its saturation line differ by this much (Wagner & Pruss 2002: 0.01 %).
        close(&format!("{t} C, IAPWS-95"), got, row.number("p_ref"), 1e-4);
    }
}

#[test]
fn humid_air_density_vapour_pressure_and_humidity() {
    for row in rows(include_str!("data/humid_air.csv")) {
        let (p, t) = (row.number("p_kPa") * 1e3, row.number("t_C") + 273.15);
        let rh = row.number("RH");
        let air = HumidAir::new(p, t, rh).unwrap();
        let what = format!("{p} Pa {t} K RH {rh}");
        // Ideal against real gas: GAS data say 0.08 %.
        close(&what, air.density(p, t), row.number("rho"), 1e-3);
        // Below 0 C the reference means humidity over ice.
        if rh > 0.0 && t > 273.2 {
            let pv = vapour_pressure(p, t, rh).unwrap();
            close(&what, pv / 1e3, row.number("pv_kPa"), 1.5e-3);
            close(&what, air.humidity_ratio(), row.number("W"), 2e-3);
        }
    }
}

#[test]
fn dry_air_heat_capacity_and_sound_speed() {
    let air = FrozenGas::air(&HumidAir::dry());
    for row in rows(include_str!("data/dry_air.csv")) {
        let t = row.number("T_K");
        let what = format!("{t} K");
        close(&what, air.cp(t) / 1e3, row.number("cp_ideal"), 1e-5);
        close(&what, air.gamma(t), row.number("gamma_ideal"), 1e-5);
        close(&what, air.sound_speed(t), row.number("a_ideal"), 1e-5);
        let h = air.h(t) / 1e3;
        assert!((h - row.number("h_ideal")).abs() < 6e-3, "{what}: {h}");
        // Real air at 1 atm: the ideal gas is within half a per cent in cp from 250 K up.
        close(&what, air.sound_speed(t), row.number("a_real"), 2e-3);
    }
}
