//! Every factor against `uom` 0.38, an independent library whose factors are those of NIST SP 811.

use shortblock_units::{Quantity, units_of};

/// `uom` prints most inch-pound factors with seven figures: half a unit of the seventh is at worst
/// 5e-7 of the value, and twice that where two such factors are combined.
const SEVEN_FIGURES: f64 = 1e-6;
/// Metric factors are powers of ten.
const EXACT: f64 = 4.0 * f64::EPSILON;

/// Returns one unit of `uom` in its SI base unit.
macro_rules! one {
    ($quantity:ident, $module:ident :: $unit:ident) => {
        uom::si::f64::$quantity::new::<uom::si::$module::$unit>(1.0).value
    };
}

fn length_area_volume() -> Vec<(Quantity, &'static str, f64)> {
    use Quantity::*;
    vec![
        (Length, "mm", one!(Length, length::millimeter)),
        (Length, "in", one!(Length, length::inch)),
        (Length, "thou", one!(Length, length::mil)),
        (Length, "cm", one!(Length, length::centimeter)),
        (Length, "m", one!(Length, length::meter)),
        (Length, "ft", one!(Length, length::foot)),
        (Length, "um", one!(Length, length::micrometer)),
        (Length, "km", one!(Length, length::kilometer)),
        (Area, "mm2", one!(Area, area::square_millimeter)),
        (Area, "in2", one!(Area, area::square_inch)),
        (Area, "cm2", one!(Area, area::square_centimeter)),
        (Area, "m2", one!(Area, area::square_meter)),
        (Area, "ft2", one!(Area, area::square_foot)),
        (Volume, "cc", one!(Volume, volume::cubic_centimeter)),
        (Volume, "in3", one!(Volume, volume::cubic_inch)),
        (Volume, "L", one!(Volume, volume::liter)),
        (Volume, "m3", one!(Volume, volume::cubic_meter)),
        (Volume, "mm3", one!(Volume, volume::cubic_millimeter)),
        (Volume, "ft3", one!(Volume, volume::cubic_foot)),
        (Volume, "US.gal", one!(Volume, volume::gallon)),
        (Volume, "US.qt", one!(Volume, volume::quart_liquid)),
        (Volume, "imp.gal", one!(Volume, volume::gallon_imperial)),
    ]
}

fn motion() -> Vec<(Quantity, &'static str, f64)> {
    use Quantity::*;
    let second = one!(Time, time::second);
    vec![
        (Angle, "deg", one!(Angle, angle::degree)),
        (Angle, "rad", one!(Angle, angle::radian)),
        (Speed, "m/s", one!(Velocity, velocity::meter_per_second)),
        (Speed, "ft/min", one!(Velocity, velocity::foot_per_minute)),
        (Speed, "ft/s", one!(Velocity, velocity::foot_per_second)),
        (Speed, "km/h", one!(Velocity, velocity::kilometer_per_hour)),
        (Speed, "mph", one!(Velocity, velocity::mile_per_hour)),
        (Speed, "mm/s", one!(Velocity, velocity::millimeter_per_second)),
        (Speed, "in/s", one!(Velocity, velocity::inch_per_second)),
        (Acceleration, "m/s2", one!(Acceleration, acceleration::meter_per_second_squared)),
        (Acceleration, "ft/s2", one!(Acceleration, acceleration::foot_per_second_squared)),
        (Acceleration, "gn", one!(Acceleration, acceleration::standard_gravity)),
        (EngineSpeed, "rpm", one!(AngularVelocity, angular_velocity::revolution_per_minute)),
        (EngineSpeed, "rad/s", one!(AngularVelocity, angular_velocity::radian_per_second)),
        (EngineSpeed, "rev/s", one!(AngularVelocity, angular_velocity::revolution_per_second)),
        (
            SweepRate,
            "rpm/s",
            one!(AngularVelocity, angular_velocity::revolution_per_minute) / second,
        ),
        (
            SweepRate,
            "rad/s2",
            one!(AngularAcceleration, angular_acceleration::radian_per_second_squared),
        ),
        (Time, "s", second),
        (Time, "ms", one!(Time, time::millisecond)),
        (Time, "us", one!(Time, time::microsecond)),
        (Time, "min", one!(Time, time::minute)),
        (Time, "h", one!(Time, time::hour)),
        (Frequency, "Hz", one!(Frequency, frequency::hertz)),
        (Frequency, "kHz", one!(Frequency, frequency::kilohertz)),
        (Fraction, "%", one!(Ratio, ratio::percent)),
        (Fraction, "ppm", one!(Ratio, ratio::part_per_million)),
        (Fraction, "g/kg", one!(Ratio, ratio::per_mille)),
        (Ratio, "", one!(Ratio, ratio::ratio)),
    ]
}

fn force_torque_power() -> Vec<(Quantity, &'static str, f64)> {
    use Quantity::*;
    let (mm, inch) = (one!(Length, length::millimeter), one!(Length, length::inch));
    let (kgf, hour) = (one!(Force, force::kilogram_force), one!(Time, time::hour));
    let (lb, hp) = (one!(Mass, mass::pound), one!(Power, power::horsepower));
    let kwh = one!(Energy, energy::kilowatt_hour);
    let gram = one!(Mass, mass::gram);
    vec![
        (Mass, "g", gram),
        (Mass, "lb", lb),
        (Mass, "kg", one!(Mass, mass::kilogram)),
        (Mass, "oz", one!(Mass, mass::ounce)),
        (Mass, "mg", one!(Mass, mass::milligram)),
        (Force, "N", one!(Force, force::newton)),
        (Force, "lbf", one!(Force, force::pound_force)),
        (Force, "kN", one!(Force, force::kilonewton)),
        (Force, "kgf", kgf),
        (ForceRate, "N/mm", one!(Force, force::newton) / mm),
        (ForceRate, "lbf/in", one!(SurfaceTension, surface_tension::pound_force_per_inch)),
        (ForceRate, "N/m", one!(SurfaceTension, surface_tension::newton_per_meter)),
        (ForceRate, "kN/m", one!(SurfaceTension, surface_tension::kilonewton_per_meter)),
        (ForceRate, "kgf/mm", kgf / mm),
        (Torque, "N.m", one!(Torque, torque::newton_meter)),
        (Torque, "lb.ft", one!(Torque, torque::pound_force_foot)),
        (Torque, "lb.in", one!(Torque, torque::pound_force_inch)),
        (Torque, "kgf.m", one!(Torque, torque::kilogram_force_meter)),
        (Torque, "kN.m", one!(Torque, torque::kilonewton_meter)),
        (Torque, "daN.m", one!(Torque, torque::decanewton_meter)),
        (Power, "kW", one!(Power, power::kilowatt)),
        (Power, "hp", hp),
        (Power, "PS", one!(Power, power::horsepower_metric)),
        (Power, "W", one!(Power, power::watt)),
        (Power, "Btu/h", one!(Energy, energy::btu_it) / hour),
        (Energy, "J", one!(Energy, energy::joule)),
        (Energy, "ft.lbf", one!(Energy, energy::foot_pound)),
        (Energy, "kJ", one!(Energy, energy::kilojoule)),
        (Energy, "mJ", one!(Energy, energy::millijoule)),
        (Energy, "MJ", one!(Energy, energy::megajoule)),
        (Energy, "kWh", kwh),
        (Energy, "Btu", one!(Energy, energy::btu_it)),
        (FuelConsumption, "g/kWh", gram / kwh),
        (FuelConsumption, "lb/hp.h", lb / (hp * hour)),
        (FuelConsumption, "kg/kWh", 1.0 / kwh),
        (FuelConsumption, "g/PS.h", gram / (one!(Power, power::horsepower_metric) * hour)),
        (FuelConsumption, "g/MJ", gram / one!(Energy, energy::megajoule)),
        (SpecificEnergy, "MJ/kg", one!(AvailableEnergy, available_energy::megajoule_per_kilogram)),
        (SpecificEnergy, "Btu/lb", one!(AvailableEnergy, available_energy::btu_it_per_pound)),
        (SpecificEnergy, "kJ/kg", one!(AvailableEnergy, available_energy::kilojoule_per_kilogram)),
        (SpecificEnergy, "J/kg", one!(AvailableEnergy, available_energy::joule_per_kilogram)),
        (SpecificEnergy, "kcal/kg", one!(AvailableEnergy, available_energy::calorie_it_per_gram)),
        (Inertia, "kg.m2", one!(MomentOfInertia, moment_of_inertia::kilogram_square_meter)),
        (Inertia, "lb.in2", lb * inch * inch),
        (Inertia, "kg.cm2", one!(Area, area::square_centimeter)),
        (Inertia, "g.cm2", gram * one!(Area, area::square_centimeter)),
        (Inertia, "lb.ft2", lb * one!(Area, area::square_foot)),
        (Inertia, "lbf.in.s2", one!(Torque, torque::pound_force_inch)),
        (Inertia, "slug.ft2", one!(Mass, mass::slug) * one!(Area, area::square_foot)),
    ]
}

fn pressures() -> Vec<(Quantity, &'static str, f64)> {
    let table = [
        ("kPa", one!(Pressure, pressure::kilopascal)),
        ("psi", one!(Pressure, pressure::psi)),
        ("bar", one!(Pressure, pressure::bar)),
        ("mbar", one!(Pressure, pressure::millibar)),
        ("hPa", one!(Pressure, pressure::hectopascal)),
        ("Pa", one!(Pressure, pressure::pascal)),
        ("MPa", one!(Pressure, pressure::megapascal)),
        ("inHg", one!(Pressure, pressure::inch_of_mercury)),
        ("mmHg", one!(Pressure, pressure::millimeter_of_mercury)),
        ("inH2O", one!(Pressure, pressure::inch_of_water)),
        ("mmH2O", one!(Pressure, pressure::millimeter_of_water)),
        ("cmH2O", one!(Pressure, pressure::centimeter_of_water)),
        ("inHg.60F", one!(Pressure, pressure::inch_of_mercury_60)),
        ("inH2O.60F", one!(Pressure, pressure::inch_of_water_60)),
        ("torr", one!(Pressure, pressure::torr)),
        ("atm", one!(Pressure, pressure::atmosphere)),
        ("kgf/cm2", one!(Pressure, pressure::kilogram_force_per_square_centimeter)),
    ];
    let kinds = [Quantity::AbsolutePressure, Quantity::GaugePressure, Quantity::PressureDifference];
    kinds.iter().flat_map(|&q| table.map(|(symbol, factor)| (q, symbol, factor))).collect()
}

fn flows_and_fluids() -> Vec<(Quantity, &'static str, f64)> {
    use Quantity::*;
    let (minute, hour) = (one!(Time, time::minute), one!(Time, time::hour));
    let gallon = one!(Volume, volume::gallon);
    vec![
        (VolumeFlow, "L/min", one!(VolumeRate, volume_rate::liter_per_minute)),
        (VolumeFlow, "cfm", one!(VolumeRate, volume_rate::cubic_foot_per_minute)),
        (VolumeFlow, "L/s", one!(VolumeRate, volume_rate::liter_per_second)),
        (VolumeFlow, "m3/h", one!(VolumeRate, volume_rate::cubic_meter_per_hour)),
        (VolumeFlow, "m3/s", one!(VolumeRate, volume_rate::cubic_meter_per_second)),
        (VolumeFlow, "m3/min", one!(VolumeRate, volume_rate::cubic_meter_per_minute)),
        (VolumeFlow, "cc/min", one!(Volume, volume::cubic_centimeter) / minute),
        (VolumeFlow, "L/h", one!(Volume, volume::liter) / hour),
        (VolumeFlow, "US.gal/h", gallon / hour),
        (VolumeFlow, "US.gal/min", one!(VolumeRate, volume_rate::gallon_per_minute)),
        (MassFlow, "kg/h", one!(MassRate, mass_rate::kilogram_per_hour)),
        (MassFlow, "lb/h", one!(MassRate, mass_rate::pound_per_hour)),
        (MassFlow, "g/s", one!(MassRate, mass_rate::gram_per_second)),
        (MassFlow, "kg/s", one!(MassRate, mass_rate::kilogram_per_second)),
        (MassFlow, "g/min", one!(MassRate, mass_rate::gram_per_minute)),
        (MassFlow, "kg/min", one!(MassRate, mass_rate::kilogram_per_minute)),
        (MassFlow, "lb/min", one!(MassRate, mass_rate::pound_per_minute)),
        (Density, "kg/m3", one!(MassDensity, mass_density::kilogram_per_cubic_meter)),
        (Density, "lb/ft3", one!(MassDensity, mass_density::pound_per_cubic_foot)),
        (Density, "kg/L", one!(Mass, mass::kilogram) / one!(Volume, volume::liter)),
        (Density, "g/cm3", one!(MassDensity, mass_density::gram_per_cubic_centimeter)),
        (Density, "g/L", one!(Mass, mass::gram) / one!(Volume, volume::liter)),
        (Density, "lb/US.gal", one!(MassDensity, mass_density::pound_per_gallon)),
        (DynamicViscosity, "mPa.s", one!(DynamicViscosity, dynamic_viscosity::centipoise)),
        (DynamicViscosity, "Pa.s", one!(DynamicViscosity, dynamic_viscosity::pascal_second)),
        (KinematicViscosity, "mm2/s", one!(KinematicViscosity, kinematic_viscosity::centistokes)),
        (
            KinematicViscosity,
            "m2/s",
            one!(KinematicViscosity, kinematic_viscosity::square_meter_per_second),
        ),
        (TemperatureDifference, "K", one!(TemperatureInterval, temperature_interval::kelvin)),
        (
            TemperatureDifference,
            "degC",
            one!(TemperatureInterval, temperature_interval::degree_celsius),
        ),
        (
            TemperatureDifference,
            "degF",
            one!(TemperatureInterval, temperature_interval::degree_fahrenheit),
        ),
    ]
}

fn all() -> Vec<(Quantity, &'static str, f64)> {
    let mut all = length_area_volume();
    all.extend(motion());
    all.extend(force_torque_power());
    all.extend(pressures());
    all.extend(flows_and_fluids());
    all
}

#[test]
fn every_factor_agrees_with_uom() {
    let all = all();
    for &quantity in Quantity::ALL.iter().filter(|q| **q != Quantity::Temperature) {
        for unit in units_of(quantity) {
            let (_, _, expected) = all
                .iter()
                .find(|(q, symbol, _)| *q == quantity && *symbol == unit.symbol)
                .unwrap_or_else(|| panic!("{quantity} in {} is not checked", unit.symbol));
            let off = (unit.factor / expected - 1.0).abs();
            assert!(off <= SEVEN_FIGURES, "{quantity} {}: off by {off:.1e}", unit.symbol);
            assert_eq!(unit.offset, 0.0, "{quantity} {}", unit.symbol);
        }
    }
}

#[test]
fn metric_factors_agree_with_uom_to_the_last_bits() {
    for (q, symbol, expected) in all() {
        let unit = units_of(q).iter().find(|u| u.symbol == symbol).unwrap();
        let decimal = ["mm", "cm", "m3", "cc", "kPa", "bar", "MPa", "N/mm", "kg/h", "g/s", "MJ/kg"];
        if decimal.contains(&symbol) {
            assert!((unit.factor / expected - 1.0).abs() <= EXACT, "{q} {symbol}");
        }
    }
}

#[test]
fn temperatures_agree_with_uom() {
    use uom::si::f64::ThermodynamicTemperature as T;
    use uom::si::thermodynamic_temperature as t;
    type Kelvin = fn(f64) -> f64;
    let kelvin: [(&str, Kelvin); 4] = [
        ("K", |x| T::new::<t::kelvin>(x).value),
        ("degC", |x| T::new::<t::degree_celsius>(x).value),
        ("degF", |x| T::new::<t::degree_fahrenheit>(x).value),
        ("degR", |x| T::new::<t::degree_rankine>(x).value),
    ];
    assert_eq!(units_of(Quantity::Temperature).len(), kelvin.len());
    for unit in units_of(Quantity::Temperature) {
        let (_, expected) = kelvin.iter().find(|(symbol, _)| *symbol == unit.symbol).unwrap();
        for x in [-40.0, 0.0, 15.0, 77.0, 650.0] {
            assert!((unit.to_si(x) - expected(x)).abs() < 1e-10, "{} {x}", unit.symbol);
        }
    }
}
