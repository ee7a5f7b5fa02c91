//! What the closed part of a cycle is given.

use super::Mixture;
use crate::flame::FlameTable;
use crate::mechanism::SliderCrank;
use crate::turbulence::Turbulence;

/// Everything the closed part needs, from intake closing to exhaust opening, for one cylinder.
#[derive(Clone, Debug)]
pub struct ClosedCase<'a> {
    /// Bore, stroke, rod, compression.
    pub mechanism: &'a SliderCrank,
    /// Head area over bore area (1 for a flat head, about 1.2 for a pent roof).
    pub head_area_ratio: f64,
    /// Angle at which the last valve closes, rad after firing dead centre (negative).
    pub theta_ivc: f64,
    /// Angle at which the first valve opens, rad after firing dead centre.
    pub theta_evo: f64,
    /// Crank speed, rad/s.
    pub speed: f64,
    /// Properties of the air, fuel and burned gas.
    pub mixture: &'a Mixture,
    /// The gas closed in.
    pub charge: Charge,
    /// Surface temperatures.
    pub walls: WallTemperatures,
    /// How the charge burns.
    pub burn: Burn<'a>,
    /// How it loses heat.
    pub heat: HeatTransfer,
    /// Crevice and ring gap.
    pub crevice: Crevice,
    /// Octane number for the knock integral (see [`crate::knock`]); `None` when no octane number
    /// describes the fuel, and then the knock limit cannot be asked for.
    pub octane_number: Option<f64>,
    /// Step while the charge burns, degrees (0.05 to 4); 0 takes [`crate::closed::STEP_DEG`].
    pub step_deg: f64,
    /// Where a spark search starts, rad; last cycle's spark saves runs. It does not move the result
    /// by more than the tolerance of the search.
    pub spark_guess: Option<f64>,
    /// Whether the knock limit is also sought when the demand does not need it, so that
    /// [`crate::closed::ClosedResult::knock_margin`] is known.
    pub find_knock_margin: bool,
    /// Whether [`crate::closed::ClosedResult::trace`] is filled.
    pub trace: bool,
}

/// The gas in the cylinder at intake closing. Mass fractions are of `mass`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charge {
    /// Mass of all gas with all fuel, still liquid or not, crevice included, kg.
    pub mass: f64,
    /// Temperature of the gas, K.
    pub temperature: f64,
    /// Mass fraction of fuel, vapour and liquid together.
    pub fuel: f64,
    /// Mass fraction of burned gas (residual).
    pub burned: f64,
    /// Fuel still liquid, kg (part of `fuel`).
    pub liquid_fuel: f64,
    /// Share of the latent heat of `liquid_fuel` that is drawn from the charge, 0 to 1; the walls
    /// give the rest.
    pub latent_share: f64,
}

/// Surface temperatures, K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallTemperatures {
    /// Head, valves included.
    pub head: f64,
    /// Piston crown.
    pub piston: f64,
    /// Liner.
    pub liner: f64,
}

/// How the charge burns.
#[derive(Clone, Copy, Debug)]
pub enum Burn<'a> {
    /// Not at all: motored.
    Motored,
    /// Mass fraction burned given over angle ([`crate::wiebe`]); the spark only says when it starts.
    Wiebe {
        /// Duration, rad.
        duration: f64,
        /// Efficiency parameter a (5: 99.3 % burned at the end).
        a: f64,
        /// Form factor m.
        m: f64,
    },
    /// Predicted by turbulent entrainment ([`crate::entrainment`]).
    Entrainment {
        /// Flame area over burned volume and piston position for this chamber and plug.
        flame: &'a FlameTable,
        /// Flow in the cylinder at intake closing.
        turbulence: Turbulence,
        /// Multiplies every burning rate (1 as published).
        multiplier: f64,
    },
}

impl<'a> Burn<'a> {
    /// The flame area, where it decides.
    pub(super) fn flame(&self) -> Option<&'a FlameTable> {
        match self {
            Burn::Entrainment { flame, .. } => Some(flame),
            Burn::Motored | Burn::Wiebe { .. } => None,
        }
    }
}

/// How the charge loses heat to the walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeatTransfer {
    /// None.
    Adiabatic,
    /// The same coefficient at all times, W/(m^2 K); for checks.
    Constant(f64),
    /// [`crate::woschni`] times this multiplier.
    Woschni(f64),
}

/// Crevice and leak past the rings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crevice {
    /// Crevice volume at the liner's temperature, m^3, additional to the clearance volume
    /// (1-2 % of it is usual; 0 switches it off).
    pub volume: f64,
    /// Effective area of the ring gaps from the crevice to the crankcase, m^2 (0: tight).
    pub leak_area: f64,
    /// Crankcase pressure, Pa.
    pub crankcase_pressure: f64,
}

impl Crevice {
    /// No crevice and no leak.
    pub const NONE: Self = Self { volume: 0.0, leak_area: 0.0, crankcase_pressure: 101_325.0 };
}

/// Where the spark should be. Angles in rad after firing dead centre, negative before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SparkDemand {
    /// At this angle.
    Fixed(f64),
    /// Where the work of the closed part is largest.
    BestTorque,
    /// Where the knock integral reaches 1, less a margin (rad of retard, at least 0), but no
    /// earlier than the search range allows.
    KnockLimited {
        /// Retard from the knock limit, rad.
        margin: f64,
    },
    /// The later of best torque and of the knock limit with its margin (rad).
    BestOrKnockLimited {
        /// Retard from the knock limit, rad.
        margin: f64,
    },
}
