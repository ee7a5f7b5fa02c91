//! What is asked of one operating point, and what comes back.

use shortblock_cylinder::closed::SparkDemand;

/// One operating point.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Engine speed, rad/s.
    pub speed: f64,
    /// Air-fuel ratio over the stoichiometric one.
    pub lambda: f64,
    /// Spark given or asked for.
    pub spark: SparkDemand,
    /// No search settles on an earlier spark than this, rad after firing dead centre (negative
    /// before it); minus infinity for no bound.
    pub earliest_spark: f64,
}

impl Demand {
    /// A point at `speed` (rad/s) and `lambda` whose spark may be sought as early as it likes.
    #[must_use]
    pub fn of(speed: f64, lambda: f64, spark: SparkDemand) -> Self {
        Self { speed, lambda, spark, earliest_spark: f64::NEG_INFINITY }
    }
}

/// One cylinder at one operating point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CylinderPoint {
    /// Mass trapped at intake closing, kg.
    pub trapped_mass: f64,
    /// Mass fraction of burned gas from the cycle before.
    pub residual: f64,
    /// Fresh air through the intake valves in a cycle, kg.
    pub air: f64,
    /// Work over compression and expansion strokes, J.
    pub gross_work: f64,
    /// Work over exhaust and intake strokes, J (negative: the piston works on the gas).
    pub pumping_work: f64,
    /// Heat to the walls in a cycle, J.
    pub wall_heat: f64,
    /// Spark, rad before firing dead centre.
    pub spark_advance: f64,
    /// Whether knock, not torque, set the spark; a given spark is set by neither.
    pub knock_limited: bool,
    /// Spark that could be added before the knock limit, rad; negative beyond the limit. `None`
    /// when no octane number describes the fuel or no limit lies within reach.
    pub knock_margin: Option<f64>,
    /// Octane numbers to spare at this spark; `None` as above.
    pub octane_margin: Option<f64>,
    /// Crank angle from spark to 10 % burned, rad.
    pub burn_0_10: f64,
    /// Crank angle from 10 to 50 % burned, rad.
    pub burn_10_50: f64,
    /// Crank angle from 10 to 90 % burned, rad.
    pub burn_10_90: f64,
    /// Crank angle of 50 % burned, rad after firing dead centre.
    pub burn_50: f64,
    /// Highest pressure, Pa.
    pub peak_pressure: f64,
    /// Where it stands, rad after firing dead centre.
    pub peak_pressure_angle: f64,
    /// Mean temperature of the gas leaving through the exhaust valves, weighted by flow, K.
    pub exhaust_temperature: f64,
    /// Mean temperature of the piston's crown, K.
    pub piston_temperature: f64,
    /// Share of the time the intake valves are open in which their flow is choked.
    pub intake_choked: f64,
    /// Share of the time the exhaust valves are open in which their flow is choked.
    pub exhaust_choked: f64,
    /// The part of it before bottom dead centre, while the cylinder blows down; of the same time.
    pub blow_down_choked: f64,
}

/// How a point ended.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Convergence {
    /// Cycles worked out.
    pub cycles: usize,
    /// Largest relative change over the last cycle.
    pub change: f64,
    /// Whether the change is below the wanted one.
    pub converged: bool,
}

/// The whole engine at one operating point. Work and mean pressures are per displaced volume.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Point {
    /// Engine speed, rad/s.
    pub speed: f64,
    /// Brake torque, N·m.
    pub brake_torque: f64,
    /// Brake power, W.
    pub brake_power: f64,
    /// Net indicated mean effective pressure, Pa.
    pub imep: f64,
    /// Mean effective pressure of the gas exchange strokes, Pa; negative is a loss.
    pub pmep: f64,
    /// Friction mean effective pressure, auxiliaries included, Pa.
    pub fmep: f64,
    /// Air drawn in a cycle over the mass that fills the displacement with air as it is around.
    pub volumetric_efficiency: f64,
    /// Air flow, kg/s.
    pub air_flow: f64,
    /// Fuel flow, kg/s.
    pub fuel_flow: f64,
    /// Brake specific fuel consumption, kg/J; infinite where there is no power.
    pub bsfc: f64,
    /// Air-fuel ratio over the stoichiometric one.
    pub lambda: f64,
    /// Mean piston speed, m/s.
    pub mean_piston_speed: f64,
    /// Inlet Mach index of Taylor, with the mean effective area over the lift.
    pub inlet_mach_index: f64,
    /// Heat to the walls over the fuel's lower heating value.
    pub heat_share: f64,
    /// Largest relative deviation of a cylinder's air from the mean.
    pub air_per_cylinder_spread: f64,
    /// Cylinders in the order of the network.
    pub cylinders: Vec<CylinderPoint>,
    /// How it ended.
    pub convergence: Convergence,
    /// Clamps, floors and limiters that were active in the last cycle, by name and count.
    pub clamps: Vec<(&'static str, usize)>,
}

impl Point {
    /// Mean of a figure over the cylinders.
    pub fn mean(&self, figure: impl Fn(&CylinderPoint) -> f64) -> f64 {
        self.cylinders.iter().map(figure).sum::<f64>() / self.cylinders.len().max(1) as f64
    }
}
