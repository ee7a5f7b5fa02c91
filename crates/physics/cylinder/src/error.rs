use thiserror::Error;

/// Why a cylinder could not be described or calculated: what, where, and what to do.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CylinderError {
    /// A dimension that no engine can have.
    #[error("{what} {value} is not possible\nhint: it must be {need}")]
    Geometry {
        /// Which dimension.
        what: &'static str,
        /// The value given, SI.
        value: f64,
        /// What is accepted.
        need: &'static str,
    },
    /// Cam data that contradict each other or cannot be a valve motion.
    #[error("valve lift: {what}\nhint: {hint}")]
    Lift {
        /// What is wrong.
        what: String,
        /// What to do.
        hint: &'static str,
    },
    /// A table (lift, flow) that is too short or not in order.
    #[error("{table}: row {row} {what}\nhint: {hint}")]
    Table {
        /// Which table.
        table: &'static str,
        /// Row, counted from 1.
        row: usize,
        /// What is wrong with it.
        what: &'static str,
        /// What to do.
        hint: &'static str,
    },
    /// A setting of the closed part that makes no sense.
    #[error("closed part of the cycle: {what} is {value}\nhint: it must be {need}")]
    Setting {
        /// Which setting.
        what: &'static str,
        /// Value given, SI.
        value: f64,
        /// What is accepted.
        need: &'static str,
    },
    /// The integration left the range in which the gas properties hold, or found no state.
    #[error(
        "closed part of the cycle: {what} {value} at {angle_deg:.1} degrees after firing dead \
         centre (last good state {:.0} kPa, unburned {unburned_temperature:.0} K, burned \
         {burned_temperature:.0} K)\nhint: check trapped mass, temperature, lambda and compression",
        pressure * 1e-3
    )]
    State {
        /// Which quantity failed.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Crank angle, degrees after firing dead centre.
        angle_deg: f64,
        /// Last good pressure, Pa.
        pressure: f64,
        /// Last good unburned temperature, K.
        unburned_temperature: f64,
        /// Last good burned temperature, K (0 before the spark).
        burned_temperature: f64,
    },
}

impl CylinderError {
    /// Whether it complains of a value that is no number: what is wrong lies outside the cylinder.
    pub fn is_no_number(&self) -> bool {
        match self {
            Self::Geometry { value, .. } | Self::Setting { value, .. } => value.is_nan(),
            Self::State { value, .. } => value.is_nan(),
            Self::Lift { .. } | Self::Table { .. } => false,
        }
    }
}
