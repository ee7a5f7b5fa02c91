//! A log whose columns are known: channels in SI on one clock.

use crate::channel::Channel;
use crate::error::PullsError;
use std::ops::Range;

/// One channel of a recording.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// What it is.
    pub channel: Channel,
    /// Heading in the file.
    pub heading: String,
    /// Values in SI (pressures as the channel says, absolute or gauge; temperatures in K), one a
    /// row; not a number where missing. In the file's own scale where the channel has no quantity.
    pub values: Vec<f64>,
}

/// Channels of one log on one clock, in the order of the file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Recording {
    /// Time of each row, s, rising from 0 within each part; empty where the file has none (held
    /// speeds).
    pub time: Vec<f64>,
    /// Rows, rising and not 0, at which the file starts anew, as [`Group::parts`](crate::Group).
    pub parts: Vec<usize>,
    /// The channels; time is not among them.
    pub channels: Vec<Recorded>,
    /// Columns that no channel fits, with their headings, as written.
    pub unknown: Vec<crate::log::Column>,
}

impl Recording {
    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.channels.first().map_or(self.time.len(), |recorded| recorded.values.len())
    }

    /// Values of a channel, or `None` where the log has none.
    pub fn get(&self, channel: Channel) -> Option<&[f64]> {
        let found = self.channels.iter().find(|recorded| recorded.channel == channel)?;
        Some(&found.values)
    }

    /// Rows of each part, in order; together all rows.
    pub fn part_rows(&self) -> Vec<Range<usize>> {
        let rows = self.rows();
        let inner = self.parts.iter().copied().filter(|&row| row > 0 && row < rows);
        let starts: Vec<usize> = std::iter::once(0).chain(inner).collect();
        let ends = starts[1..].iter().copied().chain(std::iter::once(rows));
        starts.iter().copied().zip(ends).map(|(start, end)| start..end).collect()
    }

    /// Checks that time, channels and parts fit the rows.
    ///
    /// # Errors
    /// [`PullsError::Length`].
    pub fn check(&self) -> Result<(), PullsError> {
        let rows = self.rows();
        let fits = |what: &str, found: usize| {
            if found == rows {
                return Ok(());
            }
            Err(PullsError::Length { what: what.to_owned(), found, rows })
        };
        if !self.time.is_empty() {
            fits("time", self.time.len())?;
        }
        for channel in &self.channels {
            fits(&channel.heading, channel.values.len())?;
        }
        let rising = self.parts.windows(2).all(|pair| pair[0] < pair[1]);
        match self.parts.last() {
            Some(&found) if !rising || found >= rows => {
                Err(PullsError::Length { what: "list of parts".to_owned(), found, rows })
            }
            _ => Ok(()),
        }
    }
}
