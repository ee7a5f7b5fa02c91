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
}
