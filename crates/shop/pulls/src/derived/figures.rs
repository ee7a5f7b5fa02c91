//! Derived figures of a pull, one a point.

use super::{
    Cycle, Density, air_flow_from_fuel, brake_mean_effective_pressure,
    brake_specific_fuel_consumption, brake_thermal_efficiency, mean_piston_speed, power,
    volumetric_efficiency,
};
use crate::channel::Channel;
use crate::pull::Pull;

/// What of the engine derived figures need.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geometry {
    /// Displacement of all cylinders, m³.
    pub displacement: f64,
    /// Stroke, m, where known.
    pub stroke: Option<f64>,
    /// Strokes of a cycle.
    pub cycle: Cycle,
}

/// The fuel that was burned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuelUsed {
    /// Stoichiometric air-fuel ratio, kg/kg.
    pub stoichiometric_ratio: f64,
    /// Lower heating value, J/kg.
    pub lower_heating_value: f64,
}

/// Figures of a pull, one a point, not numbers where a reading is missing; `None` where a channel or
/// a figure of the engine or fuel is.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Figures {
    /// Power, W, of the best torque there is (with inertia where stated).
    pub power: Option<Vec<f64>>,
    /// Brake mean effective pressure, Pa.
    pub brake_mean_effective_pressure: Option<Vec<f64>>,
    /// Brake specific fuel consumption, kg/J.
    pub brake_specific_fuel_consumption: Option<Vec<f64>>,
    /// Brake thermal efficiency, a share.
    pub brake_thermal_efficiency: Option<Vec<f64>>,
    /// Lambda, the mean of the banks.
    pub lambda: Option<Vec<f64>>,
    /// Air flow, kg/s, by the meter, else from fuel flow and lambda.
    pub air_flow: Option<Vec<f64>>,
    /// Volumetric efficiency, a share of the density given, by the air meter, else by fuel and lambda.
    pub volumetric_efficiency: Option<Vec<f64>>,
    /// Mean piston speed, m/s.
    pub mean_piston_speed: Option<Vec<f64>>,
}

/// Works out what a pull's channels allow. Lambda is the mean of the banks that were read.
pub fn figures(
    pull: &Pull,
    geometry: Option<&Geometry>,
    fuel: Option<FuelUsed>,
    density: Option<Density>,
) -> Figures {
    let speed = &pull.speeds;
    let column = |channel| pull.points(channel).map(|points| points.mean.as_slice());
    let torque = pull.best_torque().map(|points| points.mean.as_slice());
    let fuel_flow = column(Channel::FuelFlow);
    let power = torque.map(|torque| both(torque, speed, power));
    let consumption = fuel_flow.zip(power.as_deref());
    let lambda = lambda(pull);
    let from_fuel = || {
        let ((flow, lambda), fuel) = fuel_flow.zip(lambda.as_deref()).zip(fuel)?;
        let air = |flow, lambda| air_flow_from_fuel(flow, lambda, fuel.stoichiometric_ratio);
        Some(both(flow, lambda, air))
    };
    let air_flow = column(Channel::AirFlow).map(<[f64]>::to_vec).or_else(from_fuel);
    let stroke = geometry.and_then(|geometry| geometry.stroke);
    Figures {
        brake_mean_effective_pressure: torque.zip(geometry).map(|(torque, geometry)| {
            let bmep =
                |t: &f64| brake_mean_effective_pressure(*t, geometry.displacement, geometry.cycle);
            torque.iter().map(bmep).collect()
        }),
        brake_specific_fuel_consumption: consumption
            .map(|(flow, power)| both(flow, power, brake_specific_fuel_consumption)),
        brake_thermal_efficiency: consumption.zip(fuel).map(|((flow, power), fuel)| {
            both(power, flow, |power, flow| {
                brake_thermal_efficiency(power, flow, fuel.lower_heating_value)
            })
        }),
        volumetric_efficiency: air_flow.as_deref().zip(density).zip(geometry).map(
            |((air, of), geometry)| {
                let (volume, cycle) = (geometry.displacement, geometry.cycle);
                both(air, speed, |air, speed| {
                    volumetric_efficiency(air, volume, speed, cycle, of).value
                })
            },
        ),
        mean_piston_speed: stroke
            .map(|stroke| speed.iter().map(|&speed| mean_piston_speed(stroke, speed)).collect()),
        lambda,
        air_flow,
        power,
    }
}

fn both(a: &[f64], b: &[f64], of: impl Fn(f64, f64) -> f64) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| of(*a, *b)).collect()
}

/// Mean lambda of the banks, one a point.
fn lambda(pull: &Pull) -> Option<Vec<f64>> {
    let of_bank = |channel| matches!(channel, Channel::Lambda(_));
    let banks: Vec<&[f64]> = pull
        .channels
        .iter()
        .filter(|points| of_bank(points.channel))
        .map(|points| points.mean.as_slice())
        .collect();
    let n = banks.len() as f64;
    let mean = |point: usize| banks.iter().map(|bank| bank[point]).sum::<f64>() / n;
    (n > 0.0).then(|| (0..pull.speeds.len()).map(mean).collect())
}
