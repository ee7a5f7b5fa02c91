//! What can be wrong with a duct's description.

use thiserror::Error;

/// A duct that cannot be built.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FlowError {
    /// The number of geometries is not the number of lanes.
    #[error("{given} geometries for {lanes} lanes\nhint: give one geometry for each lane")]
    LaneCount {
        /// Geometries given.
        given: usize,
        /// Lanes of the batch.
        lanes: usize,
    },
    /// Too few cells, or not the same count in every lane.
    #[error(
        "lane {lane}: {cells} cells where {expected} are wanted\n\
         hint: a duct has at least 3 cells, the same count in every lane"
    )]
    CellCount {
        /// The lane at fault.
        lane: usize,
        /// Its cell count.
        cells: usize,
        /// The count wanted.
        expected: usize,
    },
    /// A length, area, temperature or factor that is not a number in range.
    #[error("lane {lane}: {quantity} is {value}\nhint: it must be a finite number {range}")]
    Value {
        /// The lane at fault.
        lane: usize,
        /// What it is.
        quantity: &'static str,
        /// Its value in SI.
        value: f64,
        /// What is allowed, in words.
        range: &'static str,
    },
}
