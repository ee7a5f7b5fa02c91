//! What can stand in the way between a log and a pull.

use crate::channel::Channel;

/// A log, or something asked of a recording or a pull, that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PullsError {
    /// A channel that is needed is not in the recording.
    #[error("the log has no {what}; {remedy}")]
    NoChannel {
        /// The channel.
        channel: Channel,
        /// The channel in words.
        what: &'static str,
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
}
