//! Derived figures against `dyno_physics_examples.json`, worked out at 50 digits.

use crate::made::{RPM, put};
use serde_json::Value;
use shortblock_pulls::derived::{
    Cycle, Density, FuelUsed, Geometry, air_flow_from_fuel, air_flow_from_manifold,
    brake_mean_effective_pressure, brake_specific_fuel_consumption, brake_thermal_efficiency,
    figures, lambda_from_air_fuel_ratio, mean_piston_speed, power, volumetric_efficiency,
};
use shortblock_pulls::sweep::{Rules, find};
use shortblock_pulls::{Channel, Pull, Recording, Treatment};

const HOUR: f64 = 3600.0;
/// Pounds for each kilogram and horsepower for each watt, exact definitions.
const POUND: f64 = 0.453_592_37;
const HORSEPOWER: f64 = 550.0 * 0.3048 * POUND * 9.806_65;

#[track_caller]
fn check(found: f64, name: &str) {
    let all: Value =
        serde_json::from_str(include_str!("../data/dyno_physics_examples.json")).expect("JSON");
    let printed: f64 = all["derived"][name].as_str().expect(name).parse().expect("a number");
    // Rounding of a handful of operations on 64-bit numbers.
    assert!((found / printed - 1.0).abs() < 8.0 * f64::EPSILON, "{name}: {found} for {printed}");
}

#[test]
fn figures_of_the_worked_example() {
    let (torque, speed, volume) = (600.0, 6000.0 * RPM, 5.7e-3);
    let watts = power(torque, speed);
    check(watts / 1e3, "power_kW");
    check(watts / HORSEPOWER, "power_hp");
    check(watts / (75.0 * 9.806_65), "power_PS");
    let bmep = brake_mean_effective_pressure(torque, volume, Cycle::FourStroke);
    check(bmep / 1e3, "bmep_kPa_4stroke");
    check(bmep / 1e5, "bmep_bar");
    check(bmep / (POUND * 9.806_65 / 0.0254_f64.powi(2)), "bmep_psi");
    assert_eq!(brake_mean_effective_pressure(torque, volume, Cycle::TwoStroke), 0.5 * bmep);
    check(mean_piston_speed(0.0884, speed), "mean_piston_speed_m_s_stroke_0.0884");
    let fuel = 115.0 / HOUR;
    let bsfc = brake_specific_fuel_consumption(fuel, watts);
    check(bsfc * 3.6e9, "bsfc_g_kWh");
    check(bsfc / POUND * HORSEPOWER * HOUR, "bsfc_lb_hph");
    check(brake_thermal_efficiency(watts, fuel, 44.0e6), "brake_thermal_eff (LHV 44.0 MJ/kg)");
    let lambda = lambda_from_air_fuel_ratio(12.8, 14.7);
    check(lambda, "lambda(AFRst=14.7)");
    let air = air_flow_from_fuel(fuel, lambda, 14.7);
    check(air * HOUR, "air_kg_h");
    check(air / watts * 3.6e9, "specific_air_g_kWh");
    let filling =
        volumetric_efficiency(air, volume, speed, Cycle::FourStroke, Density::Inlet(1.15));
    check(filling.value, "VE = mdot_air/(rho*V*n/2)");
    assert_eq!(filling.to_string(), "124.8 % of inlet air of 1.150 kg/m³");
    // The same air by the manifold: p/(R T) is 1.15 kg/m³ at 290 K and 95.7 kPa.
    let pressure = 1.15 * 287.055 * 290.0;
    let back =
        air_flow_from_manifold(pressure, 290.0, volume, speed, Cycle::FourStroke, filling.value);
    assert!((back / air - 1.0).abs() < 1e-12);
}

#[test]
fn a_pull_has_the_figures_that_its_channels_allow() {
    let mut recording = Recording::default();
    let speed = vec![5000.0 * RPM, 6000.0 * RPM];
    put(&mut recording, Channel::EngineSpeed, speed);
    put(&mut recording, Channel::Torque, vec![600.0, 600.0]);
    put(&mut recording, Channel::FuelFlow, vec![115.0 / HOUR; 2]);
    put(&mut recording, Channel::Lambda(1), vec![12.7 / 14.7; 2]);
    put(&mut recording, Channel::Lambda(2), vec![12.9 / 14.7; 2]);
    let found = find(&recording, &Rules::default()).expect("has a speed");
    let pull = Pull::new(&recording, &found, &found.stretches[0], &Treatment::default())
        .expect("can be made");
    let geometry =
        Geometry { displacement: 5.7e-3, stroke: Some(0.0884), cycle: Cycle::FourStroke };
    let fuel = FuelUsed { stoichiometric_ratio: 14.7, lower_heating_value: 44.0e6 };
    let all = figures(&pull, Some(&geometry), Some(fuel), Some(Density::Inlet(1.15)));
    let at = |column: Option<Vec<f64>>| column.expect("its channels are there")[1];
    let near = |found: f64, wanted: f64| assert!((found / wanted - 1.0).abs() < 1e-12);
    near(at(all.power), 376_991.118_430_775_2);
    near(at(all.brake_mean_effective_pressure), 1_322_775.854_143_070_8);
    near(at(all.brake_specific_fuel_consumption) * 3.6e9, 305.046_974_259_466_06);
    near(at(all.brake_thermal_efficiency), 0.268_215_024_970_512);
    near(at(all.air_flow) * HOUR, 1472.0);
    near(at(all.volumetric_efficiency), 1.247_563_352_826_510_7);
    near(at(all.mean_piston_speed), 17.68);
    let bare = figures(&pull, Some(&Geometry { stroke: None, ..geometry }), None, None);
    assert!(bare.power.is_some() && bare.brake_specific_fuel_consumption.is_some());
    assert!(bare.air_flow.is_none() && bare.volumetric_efficiency.is_none());
    assert!(bare.brake_thermal_efficiency.is_none() && bare.mean_piston_speed.is_none());
}
