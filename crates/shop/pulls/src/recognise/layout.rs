//! A confirmed reading of a heading row, kept for the next log that has the same one.

use super::finding::{Match, Said};
use crate::log::Log;

/// Headings and units of a log with what a person confirmed of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// Heading and unit of every column, in order.
    pub headings: Vec<(String, String)>,
    /// What was said of them.
    pub said: Vec<Said>,
}

impl Layout {
    /// The layout of a log as it was recognised, every match confirmed.
    pub fn confirmed(log: &Log, matches: &[Match]) -> Self {
        let said = matches.iter().map(|found| Said {
            heading: found.heading.clone(),
            channel: found.channel,
            unit: (!found.unit.is_empty()).then(|| found.unit.clone()),
        });
        Self { headings: headings(log), said: said.collect() }
    }

    /// True when the log has the same headings **and** the same units in the same order: a file
    /// that was switched from one unit to another is a stranger.
    pub fn fits(&self, log: &Log) -> bool {
        self.headings == headings(log)
    }
}

fn headings(log: &Log) -> Vec<(String, String)> {
    let columns = log.groups.iter().flat_map(|group| &group.columns);
    columns.map(|column| (column.name.clone(), column.unit.clone())).collect()
}
