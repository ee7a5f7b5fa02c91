//! Air: how much, told three ways, and how well it fills the engine.

use super::Cycle;
use std::f64::consts::PI;
use std::fmt;

/// Gas constant of dry air, J/(kg K).
const R_AIR: f64 = 287.055;

/// Density that filling is measured against, kg/m³, and where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Density {
    /// Of the air around, at the inlet of the whole engine.
    Inlet(f64),
    /// Of the air in the manifold, at the ports.
    Manifold(f64),
}

impl Density {
    /// kg/m³.
    pub fn value(self) -> f64 {
        match self {
            Self::Inlet(density) | Self::Manifold(density) => density,
        }
    }
}

/// Volumetric efficiency, which means nothing without its density.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filling {
    /// A share, 1 for full of air at that density.
    pub value: f64,
    /// The density it is of.
    pub of: Density,
}

impl fmt::Display for Filling {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = match self.of {
            Density::Inlet(_) => "inlet",
            Density::Manifold(_) => "manifold",
        };
        let (share, density) = (100.0 * self.value, self.of.value());
        write!(f, "{share:.1} % of {place} air of {density:.3} kg/m³")
    }
}

/// Volumetric efficiency of an air flow (kg/s) into a displacement (m³) at a speed (rad/s).
pub fn volumetric_efficiency(
    air_flow: f64,
    displacement: f64,
    speed: f64,
    cycle: Cycle,
    of: Density,
) -> Filling {
    let swept = displacement * speed / (2.0 * PI * cycle.turns());
    Filling { value: air_flow / (of.value() * swept), of }
}

/// Air flow, kg/s, from fuel flow (kg/s), lambda and the fuel's own stoichiometric ratio (kg/kg).
pub fn air_flow_from_fuel(fuel_flow: f64, lambda: f64, stoichiometric_ratio: f64) -> f64 {
    fuel_flow * lambda * stoichiometric_ratio
}

/// Air flow, kg/s, from the state in the manifold (Pa absolute, K) and the filling known for that
/// speed, against manifold density ("speed-density").
pub fn air_flow_from_manifold(
    pressure: f64,
    temperature: f64,
    displacement: f64,
    speed: f64,
    cycle: Cycle,
    filling: f64,
) -> f64 {
    let density = pressure / (R_AIR * temperature);
    filling * density * displacement * speed / (2.0 * PI * cycle.turns())
}

/// Lambda from an air-fuel ratio and the stoichiometric ratio of the fuel that was burned, both
/// kg/kg. A meter that shows the ratio of another fuel wants that fuel's stoichiometric ratio.
pub fn lambda_from_air_fuel_ratio(ratio: f64, stoichiometric_ratio: f64) -> f64 {
    ratio / stoichiometric_ratio
}
