//! What can stand in the way between a log and a pull.

use crate::channel::Channel;

/// A log, or something asked of a recording or a pull, that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PullsError {
    /// A channel that is needed is not in the recording.
    #[error("the log has no {}; {remedy}", channel.name())]
    NoChannel {
        /// The channel.
        channel: Channel,
        /// What to do.
        remedy: &'static str,
    },
    /// Something of a recording does not have as many rows as the rest.
    #[error("{what}: {found} rows where the recording has {rows}; read the file again")]
    Length {
        /// What it is, by its heading.
        what: String,
        /// Its rows, or the row it points to.
        found: usize,
        /// Rows of the recording.
        rows: usize,
    },
    /// An engine speed that no engine has.
    #[error("engine speed of {rpm:.0} rpm in row {row}; say in which unit the column is")]
    Speed {
        /// Row, counted from 1.
        row: usize,
        /// The speed, rpm.
        rpm: f64,
    },
    /// A stretch that does not lie in the recording.
    #[error(
        "rows {from} to {to} were asked for and the recording has {rows}; find its pulls again"
    )]
    Rows {
        /// First row, counted from 1.
        from: usize,
        /// Last row.
        to: usize,
        /// Rows of the recording.
        rows: usize,
    },
    /// A stretch without a point.
    #[error("no row of {what} has both a speed and a reading; is it the right stretch?")]
    Empty {
        /// What was asked for.
        what: String,
    },
    /// A roller alone has no curve over engine speed.
    #[error("a coast-down of the roller has no engine speed; fit its losses instead")]
    Roller,
    /// A figure that has to be above zero.
    #[error("{what} {value}: it has to be above zero")]
    NotPositive {
        /// What it is.
        what: &'static str,
        /// The figure, SI.
        value: f64,
    },
    /// Pulls that do not show a moment of inertia.
    #[error("no moment of inertia can be found: {why}")]
    Moment {
        /// Why, and what to do.
        why: &'static str,
    },
    /// What a curve cannot be made of.
    #[error(transparent)]
    Curve(#[from] shortblock_curve::CurveError),
}
