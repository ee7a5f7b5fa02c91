//! What the closed part of a cycle gives back.

/// State at exhaust opening and what happened since intake closing.
#[derive(Clone, Debug, PartialEq)]
pub struct ClosedResult {
    /// The gas at exhaust opening, crevice contents mixed in.
    pub end: EndState,
    /// Work on the piston from intake closing to exhaust opening, J.
    pub work: f64,
    /// Heat to the head, J.
    pub heat_head: f64,
    /// Heat to the piston, J.
    pub heat_piston: f64,
    /// Heat to the liner, J.
    pub heat_liner: f64,
    /// Mass lost past the rings, kg.
    pub blow_by_mass: f64,
    /// Energy carried off past the rings, J (absolute enthalpy, formation included).
    pub blow_by_enthalpy: f64,
    /// Latent heat drawn from the charge, J.
    pub latent_heat: f64,
    /// Internal energy of the charge at intake closing, J (absolute).
    pub energy_start: f64,
    /// Spark angle used, rad after firing dead centre.
    pub spark: f64,
    /// Why the spark stands there.
    pub spark_reason: SparkReason,
    /// Burn angles; `None` when the charge did not burn that far before exhaust opening.
    pub burn: Option<BurnAngles>,
    /// Highest pressure, Pa.
    pub peak_pressure: f64,
    /// Its angle, rad.
    pub peak_pressure_angle: f64,
    /// Highest temperature of the burned gas, K.
    pub peak_burned_temperature: f64,
    /// Knock integral when the flame has consumed its share; 1 is the onset of knock. `None`
    /// without an octane number.
    pub knock_integral: Option<f64>,
    /// Spark could be so much earlier before knock, rad (negative: knocking). `None` when not
    /// asked for or when no limit lies in the search range.
    pub knock_margin: Option<f64>,
    /// Octane numbers to spare (negative: short). `None` without an octane number.
    pub octane_margin: Option<f64>,
    /// Mass fraction never burned.
    pub unburned_left: f64,
    /// Limits that acted, with how many steps.
    pub clamps: Clamps,
    /// Calls of the integrator that the spark search took.
    pub evaluations: usize,
    /// One row a step when asked for.
    pub trace: Vec<TraceRow>,
}

/// The gas at exhaust opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndState {
    /// Mass, kg.
    pub mass: f64,
    /// Temperature of the whole, mixed at its internal energy and volume, K.
    pub temperature: f64,
    /// Pressure of the mixed gas, Pa.
    pub pressure: f64,
    /// Mass fraction of burned gas; the rest is unburned charge.
    pub burned: f64,
    /// Mass fraction of unburned fuel.
    pub fuel: f64,
    /// Mass fraction of unburned air.
    pub air: f64,
    /// Internal energy, J (absolute).
    pub energy: f64,
}

/// Angles at which the burned mass fraction was reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnAngles {
    /// From spark to 10 % burned, rad.
    pub spark_to_10: f64,
    /// From 10 to 50 %, rad.
    pub from_10_to_50: f64,
    /// From 10 to 90 %, rad.
    pub from_10_to_90: f64,
    /// Angle of 50 % burned, rad after firing dead centre.
    pub angle_50: f64,
}

/// Why the spark stands where it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SparkReason {
    /// It was given.
    Given,
    /// Best torque.
    BestTorque,
    /// Knock limit with its margin.
    KnockLimit,
    /// The search range ended first (see [`crate::closed::SPARK_RANGE_DEG`]).
    RangeEnd,
    /// Motored: no spark.
    Motored,
}

/// How many steps each limit acted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Clamps {
    /// Laminar flame speed outside its range of validity.
    pub flame_speed: u32,
    /// Burned gas outside its table.
    pub burned_table: u32,
    /// Burning rate limited because a step would burn more than there is.
    pub burn_rate: u32,
    /// Knock delay outside the published octane range.
    pub octane_range: u32,
}

/// One instant of the closed part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TraceRow {
    /// Angle, rad after firing dead centre.
    pub angle: f64,
    /// Volume, m^3.
    pub volume: f64,
    /// Pressure, Pa.
    pub pressure: f64,
    /// Unburned temperature, K.
    pub unburned_temperature: f64,
    /// Burned temperature, K; 0 before the spark.
    pub burned_temperature: f64,
    /// Mass fraction burned.
    pub burned: f64,
    /// Heat lost to the walls so far, J.
    pub heat: f64,
    /// Work done so far, J.
    pub work: f64,
}
