//! Why a point could not be worked out: what, where, and what to do.

use shortblock_cylinder::CylinderError;
use shortblock_flow::FlowError;
use shortblock_gas::GasError;
use std::fmt;
use thiserror::Error;

/// The last good state of a part that has none any more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LastGood {
    /// The cycle, from 1; 0 before the first.
    pub cycle: usize,
    /// Turn of the crank since it began, degrees: 0 to 720.
    pub angle_deg: f64,
    /// Largest relative change of masses and works over the last whole cycle; infinite when there was
    /// none to compare with.
    pub change: f64,
    /// Pressure (Pa) and temperature (K) in the part then; in the middle of a duct. `None` for a
    /// cylinder that is closed then.
    pub gas: Option<(f64, f64)>,
}

impl fmt::Display for LastGood {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.cycle {
            0 => f.write_str("before the first cycle")?,
            cycle => write!(f, "in cycle {cycle} at {:.1} degrees of crank", self.angle_deg)?,
        }
        if let Some((pressure, temperature)) = self.gas {
            write!(f, ": {:.0} kPa and {temperature:.0} K", pressure * 1e-3)?;
        }
        match self.change.is_finite() {
            true => write!(f, ", {}", changing(self.change)),
            false => Ok(()),
        }
    }
}

/// How far a cycle was from repeating.
fn changing(change: f64) -> String {
    match change.is_finite() {
        true => format!("masses and works changing by {:.2} %", 100.0 * change),
        false => "with no cycle before it to compare".to_owned(),
    }
}

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
        "cylinder {cylinder} at {speed_rpm:.0} rpm: the {surface} would be at {temperature:.0} K; \
         in cycle {cycle}, {}, the pressure peaks at {:.0} kPa {peak_angle_deg:.1} degrees after \
         firing dead centre\n\
         hint: no metal stands that; see to mixture, fuel, compression and speed",
        changing(*change), peak_pressure * 1e-3
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
        /// The last cycle, from 1.
        cycle: usize,
        /// Largest relative change of masses and works over it.
        change: f64,
        /// Highest pressure in it, Pa.
        peak_pressure: f64,
        /// Where, degrees after firing dead centre.
        peak_angle_deg: f64,
    },
    /// A state that is no number any more.
    #[error(
        "{part} at {speed_rpm:.0} rpm: the gas has no valid state any more; last good state \
         {last}\n\
         hint: look for a length, area or volume that is far too small there"
    )]
    Lost {
        /// The duct, volume or cylinder.
        part: String,
        /// Engine speed, rpm.
        speed_rpm: f64,
        /// When it was last a state.
        last: LastGood,
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lost_part_is_told_with_its_last_good_state() {
        let lost = |cycle, change| {
            let gas = Some((98_000.0, 310.2));
            let last = LastGood { cycle, angle_deg: 143.25, change, gas };
            CycleError::Lost { part: "runner 2".into(), speed_rpm: 6000.0, last }.to_string()
        };
        let wanted = "runner 2 at 6000 rpm: the gas has no valid state any more; last good state in \
                      cycle 8 at 143.2 degrees of crank: 98 kPa and 310 K, masses and works changing by \
                      2.30 %\nhint: look for a length, area or volume that is far too small there";
        assert_eq!(lost(8, 0.023), wanted);
        let first = lost(0, f64::INFINITY);
        assert!(
            first.contains("last good state before the first cycle: 98 kPa and 310 K\n"),
            "{first}"
        );
    }

    #[test]
    fn a_surface_too_hot_is_told_with_its_cycle() {
        let error = CycleError::TooHot {
            cylinder: 3,
            speed_rpm: 8000.0,
            surface: "piston",
            temperature: 1436.2,
            cycle: 9,
            change: 4e-4,
            peak_pressure: 1.62e7,
            peak_angle_deg: -1.7,
        };
        let wanted = "cylinder 3 at 8000 rpm: the piston would be at 1436 K; in cycle 9, masses and \
                      works changing by 0.04 %, the pressure peaks at 16200 kPa -1.7 degrees after firing \
                      dead centre\nhint: no metal stands that; see to mixture, fuel, compression and \
                      speed";
        assert_eq!(error.to_string(), wanted);
    }
}
