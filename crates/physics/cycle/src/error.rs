//! Why a point could not be worked out: what, where, and what to do.

use shortblock_cylinder::CylinderError;
use shortblock_flow::FlowError;
use shortblock_gas::GasError;
use thiserror::Error;

/// Why a point could not be worked out.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CycleError {
    /// A duct that cannot be.
    #[error("{name}: {source}")]
    Duct {
        /// The duct's name.
        name: String,
        /// What is wrong with it.
        source: FlowError,
    },
    /// Valves that leave no closed part around firing dead centre.
    #[error(
        "cylinder {cylinder}: a valve is open at firing dead centre or never closes\n\
         hint: check cam durations and centrelines"
    )]
    NeverClosed {
        /// The cylinder, from 1.
        cylinder: usize,
    },
    /// A fuel and mixture that have no properties here.
    #[error("fuel and mixture: {0}")]
    Gas(#[from] GasError),
    /// The closed part of a cylinder.
    #[error("cylinder {cylinder} at {speed_rpm:.0} rpm, cycle {cycle}: {source}")]
    Cylinder {
        /// The cylinder, from 1.
        cylinder: usize,
        /// Engine speed, rpm.
        speed_rpm: f64,
        /// The cycle, from 1.
        cycle: usize,
        /// What went wrong.
        source: CylinderError,
    },
    /// A surface hotter than any metal stands.
    #[error(
        "cylinder {cylinder} at {speed_rpm:.0} rpm: the {surface} would be at {temperature:.0} K\n\
         hint: no metal stands that; see to mixture, fuel, compression and speed"
    )]
    TooHot {
        /// The cylinder, from 1.
        cylinder: usize,
        /// Engine speed, rpm.
        speed_rpm: f64,
        /// Head, piston or liner.
        surface: &'static str,
        /// What the heat of a cycle would make of it, K.
        temperature: f64,
    },
    /// A state that is no number any more.
    #[error(
        "{part} at {speed_rpm:.0} rpm: the gas has no valid state after cycle {cycle}\n\
         hint: look for a length, area or volume that is far too small there"
    )]
    Lost {
        /// The duct, volume or cylinder.
        part: String,
        /// Engine speed, rpm.
        speed_rpm: f64,
        /// The last cycle whose end was good.
        cycle: usize,
    },
    /// A speed, mixture or setting out of range.
    #[error("{what} is {value}\nhint: it must be {need}")]
    Demand {
        /// Which one.
        what: &'static str,
        /// Its value, SI.
        value: f64,
        /// What is accepted.
        need: &'static str,
    },
    /// Designs of different topology in one run.
    #[error(
        "design {index} has other parts than the design of its mesh\nhint: cut each topology into its own mesh"
    )]
    Topology {
        /// Index of the job.
        index: usize,
    },
    /// A trace of a part that is not there.
    #[error("there is no {what} {number} to trace\nhint: count from 1 to {count}")]
    Station {
        /// Kind of part.
        what: &'static str,
        /// Its number, from 1.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The caller asked to stop.
    #[error("stopped by request")]
    Stopped,
}
