//! Flame-speed relations against samples evaluated independently from the same formulas; this
//! checks the transcription, not the remembered constants.

use crate::tables::{close, rows};
use shortblock_gas::flame_speed::{flame_speed, gulder, metghalchi_keck as mk, rhodes_keck};
use shortblock_gas::fuel;

/// Five printed digits; the pressure column prints 1.0132 for 1.01325 bar.
const PRINTED: f64 = 6e-5;

#[test]
fn samples() {
    for row in rows(include_str!("data/flame_speed_samples.csv")) {
        let (phi, t) = (row.number("phi"), row.number("T_u"));
        let p_bar = row.number("p_bar");
        let p = if p_bar == 1.0132 { 101_325.0 } else { p_bar * 1e5 };
        let what = format!("phi {phi} {t} K {p} Pa");
        for (fuel, column) in [
            (mk::Constants::Methanol, "MK_methanol"),
            (mk::Constants::Isooctane, "MK_isooctane"),
            (mk::Constants::ReferencePetrol, "MK_RMFD303"),
        ] {
            close(&what, mk::speed(fuel, phi, t, p).value, row.number(column), PRINTED);
        }
        close(&what, rhodes_keck::speed(phi, t, p).value, row.number("RK_gasoline"), PRINTED);
        for (fuel, column) in [
            (gulder::Constants::Isooctane, "G_isooctane"),
            (gulder::Constants::Methanol, "G_methanol"),
            (gulder::Constants::Ethanol, "G_ethanol"),
        ] {
            close(&what, gulder::speed(fuel, phi, t, p).value, row.number(column), PRINTED);
        }
    }
}

/// A blend lies between its parts, nearer to the one that releases more heat.
#[test]
fn a_blend_lies_between_its_parts() {
    let at = |name: &str| flame_speed(&fuel::find(name).unwrap(), 1.0, 600.0, 5e5, 0.05).value;
    let (petrol, e10, e85, ethanol) = (at("petrol"), at("e10"), at("e85"), at("ethanol"));
    assert!(petrol < e10 && e10 < e85 && e85 < ethanol);
    assert!(e10 - petrol < 0.1 * (ethanol - petrol));
}

/// Band of measured flame speeds of these fuels in air at 298 K, 1 atm, phi 1: 0.25 to 0.5 m/s (common
/// practice, no single source).
#[test]
fn room_temperature_speeds_lie_in_the_measured_band() {
    for f in fuel::all() {
        let s = flame_speed(&f, 1.0, 298.0, 101_325.0, 0.0).value;
        assert!((0.24..0.5).contains(&s), "{}: {s}", f.name);
    }
}
