//! What can be wrong with the numbers a curve is made from.

/// A curve, or something asked of one, that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// No point at all.
    #[error("curve '{label}': no points; give at least one engine speed")]
    Empty {
        /// Label of the curve.
        label: String,
    },
    /// A column is not as long as the speeds.
    #[error(
        "curve '{label}': {column} has {found} values for {expected} speeds; give one value a speed"
    )]
    Length {
        /// Label of the curve.
        label: String,
        /// Column at fault.
        column: &'static str,
        /// Number of speeds.
        expected: usize,
        /// Number of values in the column.
        found: usize,
    },
    /// A value is infinite or not a number.
    #[error("curve '{label}': {column}, point {point}: not a finite number; leave the point out")]
    NotFinite {
        /// Label of the curve.
        label: String,
        /// Column at fault.
        column: &'static str,
        /// Point, counted from 1.
        point: usize,
    },
    /// A speed is zero or below.
    #[error("curve '{label}': speed {speed} rad/s at point {point}; speeds are above zero")]
    SpeedNotPositive {
        /// Label of the curve.
        label: String,
        /// Point, counted from 1.
        point: usize,
        /// The speed, rad/s.
        speed: f64,
    },
    /// A speed does not lie above the one before it.
    #[error(
        "curve '{label}': speed at point {point} is not above the one before; sort the points and \
         keep one for each speed"
    )]
    NotSorted {
        /// Label of the curve.
        label: String,
        /// Point, counted from 1.
        point: usize,
    },
    /// A ± is below zero.
    #[error("curve '{label}': ± at point {point} is below zero; give its size without sign")]
    NegativePlusMinus {
        /// Label of the curve.
        label: String,
        /// Point, counted from 1.
        point: usize,
    },
    /// A speed or a range of speeds that the curve does not cover.
    #[error(
        "curve '{label}' runs from {low:.2} to {high:.2} rad/s; {asked_low:.2} to {asked_high:.2} \
         rad/s was asked for; ask within the curve"
    )]
    Outside {
        /// Label of the curve.
        label: String,
        /// Lowest speed of the curve, rad/s.
        low: f64,
        /// Highest speed of the curve, rad/s.
        high: f64,
        /// Lowest speed asked for, rad/s.
        asked_low: f64,
        /// Highest speed asked for, rad/s.
        asked_high: f64,
    },
    /// Two curves without a common speed.
    #[error("curves '{of}' and '{less}' share no engine speed; nothing can be compared")]
    NoOverlap {
        /// Label of the one curve.
        of: String,
        /// Label of the other.
        less: String,
    },
}
