//! What can stand in the way between a file and a pull.

use crate::channel::Channel;

/// A file in which there is nothing to read, or something asked of a recording or a pull, that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PullsError {
    /// No bytes.
    #[error("the file is empty; export the log again and look that it has rows")]
    NoBytes,
    /// A spreadsheet or another archive.
    #[error("the file is a spreadsheet or an archive; save the sheet as CSV and read that")]
    Archive,
    /// Bytes that are neither text nor a measurement file.
    #[error("the file is neither text nor a measurement file; export the log as CSV or as MDF 4")]
    NotText,
    /// Text without rows of numbers.
    #[error(
        "no table in {lines} lines, the first \"{first}\": no rows of at least two numbers beside \
         each other; export the log as CSV with one row a sample and the headings above"
    )]
    NoTable {
        /// Lines of the file.
        lines: usize,
        /// The first line that is not blank, its beginning.
        first: String,
    },
    /// A table in which hardly a cell holds a number.
    #[error(
        "a table without numbers: {lines} lines, and nearly every cell is empty or \"{mark}\". Nothing was \
         recorded, or the export went wrong; look whether the logger shows values, and export again"
    )]
    NoNumbers {
        /// Lines of the file.
        lines: usize,
        /// What stands in place of the numbers.
        mark: String,
    },
    /// A measurement file that can't be opened.
    #[error("measurement file: {reason}; export it again as MDF 4, or as CSV")]
    Measurement {
        /// What the reader says.
        reason: String,
    },
    /// A measurement file of which no samples can be read.
    #[error(
        "measurement file: no channel of {channels} could be read, the first because: {reason}; export \
         it again as MDF 4 with samples, or as CSV"
    )]
    NoSamples {
        /// Channels in the file.
        channels: usize,
        /// Why the first could not be read.
        reason: String,
    },
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
    /// A share outside 0 to below 1.
    #[error("{what} {value}: give it as a share from 0 to below 1")]
    Share {
        /// What it is.
        what: &'static str,
        /// The figure.
        value: f64,
    },
    /// Pulls that do not show a moment of inertia.
    #[error("no moment of inertia can be found: {why}")]
    Moment {
        /// Why, and what to do.
        why: &'static str,
    },
    /// Two channels that do not tell how late one is.
    #[error("no lag can be found: {why}")]
    Lag {
        /// Why, and what to do.
        why: &'static str,
    },
    /// A coast-down that does not tell the losses.
    #[error("no losses can be found from this coast-down: {why}")]
    CoastDown {
        /// Why, and what to do.
        why: &'static str,
    },
    /// What a curve cannot be made of.
    #[error(transparent)]
    Curve(#[from] shortblock_curve::CurveError),
}
