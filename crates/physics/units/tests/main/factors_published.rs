//! Factors against exact definitions and printed tables.

use shortblock_units::{Quantity, convert, unit};

fn factor(quantity: Quantity, symbol: &str) -> f64 {
    unit(quantity, symbol).unwrap().factor
}

/// How many of `to` one `from` is.
fn per(quantity: Quantity, from: &str, to: &str) -> f64 {
    convert(1.0, unit(quantity, from).unwrap(), unit(quantity, to).unwrap())
}

fn constant(name: &str) -> (f64, bool) {
    let json: serde_json::Value =
        serde_json::from_str(include_str!("../data/unit_constants.json")).unwrap();
    let text = json[name].as_str().unwrap_or_else(|| panic!("no {name}"));
    let (number, published) = text.split_once(' ').map_or((text, false), |(n, _)| (n, true));
    (number.parse().unwrap(), published)
}

/// A few operations on `f64` from exact definitions.
const ROUNDING: f64 = 8.0 * f64::EPSILON;

#[test]
fn exact_definitions() {
    use Quantity::*;
    for (name, value) in [
        ("lb_kg", factor(Mass, "lb")),
        ("g_n", factor(Acceleration, "gn")),
        ("ft_m", factor(Length, "ft")),
        ("inch_m", factor(Length, "in")),
        ("lbf_N", factor(Force, "lbf")),
        ("lbf_ft_Nm", factor(Torque, "lb.ft")),
        ("hp_mech_W (550 ft.lbf/s)", factor(Power, "hp")),
        ("PS_W (75 kgf.m/s)", factor(Power, "PS")),
        ("PS_per_hp", per(Power, "hp", "PS")),
        ("hp_per_PS", per(Power, "PS", "hp")),
        ("hp_per_kW", per(Power, "kW", "hp")),
        ("PS_per_kW", per(Power, "kW", "PS")),
        ("Nm_per_lbfft", per(Torque, "lb.ft", "N.m")),
        ("lbfft_per_Nm", per(Torque, "N.m", "lb.ft")),
        ("psi_Pa", factor(AbsolutePressure, "psi")),
        ("mmHg_conventional_Pa", factor(AbsolutePressure, "mmHg")),
        ("inHg_conventional_Pa", factor(AbsolutePressure, "inHg")),
        ("inH2O_conventional_Pa", factor(PressureDifference, "inH2O")),
        ("atm_Pa", factor(AbsolutePressure, "atm")),
        ("kgf_N", factor(Force, "kgf")),
        ("cubic_inch_cm3", per(Volume, "in3", "cc")),
        ("US_gal_L", per(Volume, "US.gal", "L")),
        ("Btu_IT_J", factor(Energy, "Btu")),
        ("lb_per_hph_in_g_per_kWh", per(FuelConsumption, "lb/hp.h", "g/kWh")),
        ("mph_m_s", factor(Speed, "mph")),
        (
            "hp_constant_33000/(2pi)",
            factor(Power, "hp") / factor(Torque, "lb.ft") / factor(EngineSpeed, "rpm"),
        ),
        (
            "kW_constant_60000/(2pi) (P_kW=T_Nm*n/const)",
            factor(Power, "kW") / factor(EngineSpeed, "rpm"),
        ),
        ("PS_const (P_PS=T_Nm*n/const)", factor(Power, "PS") / factor(EngineSpeed, "rpm")),
        (
            "PS_const_kgfm (716.197..)",
            factor(Power, "PS") / factor(Torque, "kgf.m") / factor(EngineSpeed, "rpm"),
        ),
    ] {
        let (expected, published) = constant(name);
        assert!(!published, "{name} is not exact");
        assert!((value / expected - 1.0).abs() <= ROUNDING, "{name}: {value} for {expected}");
    }
}

/// NIST SP 811 (2008), App. B.8, as kept in the data file. The conventional columns differ from
/// those at a stated temperature by less than 3e-5, which is shown here too.
#[test]
fn columns_at_a_stated_temperature() {
    let pressure = |symbol| factor(Quantity::PressureDifference, symbol);
    for (name, value, tolerance) in [
        ("inHg_60F_NIST_SP811_Pa", pressure("inHg.60F"), 0.005),
        ("inH2O_60F_NIST_SP811_Pa", pressure("inH2O.60F"), 0.005),
        ("inHg_32F_NIST_SP811_Pa", pressure("inHg"), 3e-5 * 3386.0),
        ("inH2O_39F_NIST_SP811_Pa", pressure("inH2O"), 3e-5 * 249.0),
    ] {
        let (expected, published) = constant(name);
        assert!(published, "{name}");
        assert!((value - expected).abs() <= tolerance, "{name}: {value} for {expected}");
    }
}

/// NIST SP 811 (2008), App. B.8 (from memory): printed values, half a unit of the last digit.
#[test]
fn nist_sp_811_printed_values() {
    use Quantity::*;
    for (quantity, symbol, printed, half) in [
        (Torque, "lb.in", 1.129_848e-1, 5e-8),
        (ForceRate, "lbf/in", 1.751_268e2, 5e-5),
        (Inertia, "lb.ft2", 4.214_011e-2, 5e-9),
        (Inertia, "lb.in2", 2.926_397e-4, 5e-11),
        (VolumeFlow, "cfm", 4.719_474e-4, 5e-11),
        (VolumeFlow, "US.gal/min", 6.309_020e-5, 5e-12),
        (MassFlow, "lb/h", 1.259_979e-4, 5e-11),
        (Density, "lb/ft3", 1.601_846e1, 5e-6),
        (Density, "lb/US.gal", 1.198_264e2, 5e-5),
        (SpecificEnergy, "Btu/lb", 2.326e3, 1e-9),
        (Power, "Btu/h", 2.930_711e-1, 5e-8),
        (Mass, "oz", 2.834_952e-2, 5e-9),
        (AbsolutePressure, "torr", 1.333_224e2, 5e-5),
    ] {
        let value = factor(quantity, symbol);
        assert!((value - printed).abs() <= half, "{quantity} {symbol}: {value} for {printed}");
    }
}

/// Worked examples: petrol flow by mass and by volume needs the density (10.147 480 31 cm3/min in
/// 1 lb/h at 0.745 kg/L, 10.499 823 38 at 0.720; definition), 0.45 lb/hp.h is 273.724 824 5 g/kWh
/// (definition), 7400 lbf on 2.100 by 0.780 in is 4517.704 518 psi (definition).
#[test]
fn worked_examples_of_the_trade() {
    use Quantity::*;
    let flow = factor(MassFlow, "lb/h");
    for (density, expected) in [(0.745, 10.147_480_31), (0.720, 10.499_823_38)] {
        let volume = flow / (density * factor(Density, "kg/L")) / factor(VolumeFlow, "cc/min");
        assert!((volume / expected - 1.0).abs() < 1e-6);
    }
    let consumption = 0.45 * per(FuelConsumption, "lb/hp.h", "g/kWh");
    assert!((consumption / 273.724_824_5 - 1.0).abs() < 1e-9);
    let load = 7400.0 * factor(Force, "lbf") / (2.100 * 0.780 * factor(Area, "in2"));
    let load = unit(PressureDifference, "psi").unwrap().from_si(load);
    assert!((load / 4_517.704_518 - 1.0).abs() < 1e-9);
}
