//! What follows from the readings: power, mean effective pressure, consumption, filling, air.
//!
//! Definitions of Heywood 1988, *Internal Combustion Engine Fundamentals*, chapter 2 (from memory),
//! in coherent SI; every figure is checked against values worked out elsewhere at 25 digits.

mod air;
mod figures;
mod triangle;

pub use air::{
    Density, Filling, air_flow_from_fuel, air_flow_from_manifold, lambda_from_air_fuel_ratio,
    volumetric_efficiency,
};
pub use figures::{Figures, FuelUsed, Geometry, figures};
pub use triangle::{Agreement, AirFlows, Way};

use std::f64::consts::PI;

/// Strokes of one working cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cycle {
    /// Two turns of the crank.
    FourStroke,
    /// One turn of the crank.
    TwoStroke,
}

impl Cycle {
    /// Turns of the crank in one cycle.
    pub fn turns(self) -> f64 {
        match self {
            Self::FourStroke => 2.0,
            Self::TwoStroke => 1.0,
        }
    }
}

/// Power, W, of a torque (N·m) at a speed (rad/s).
pub fn power(torque: f64, speed: f64) -> f64 {
    torque * speed
}

/// Brake mean effective pressure, Pa, of a torque (N·m) and a displacement (m³).
pub fn brake_mean_effective_pressure(torque: f64, displacement: f64, cycle: Cycle) -> f64 {
    2.0 * PI * cycle.turns() * torque / displacement
}

/// Brake specific fuel consumption, kg/J, of a fuel flow (kg/s) at a power (W).
pub fn brake_specific_fuel_consumption(fuel_flow: f64, power: f64) -> f64 {
    fuel_flow / power
}

/// Brake thermal efficiency, a share, with a lower heating value in J/kg. Above 0.45 from a
/// spark-ignition engine means an instrument at fault.
pub fn brake_thermal_efficiency(power: f64, fuel_flow: f64, lower_heating_value: f64) -> f64 {
    power / (fuel_flow * lower_heating_value)
}

/// Mean piston speed, m/s, of a stroke (m) at a speed (rad/s).
pub fn mean_piston_speed(stroke: f64, speed: f64) -> f64 {
    stroke * speed / PI
}
