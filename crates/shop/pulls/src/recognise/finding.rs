//! What was found out about the columns of a log, with the reasons.

use crate::channel::Channel;
use crate::log::Column;
use crate::recording::Recording;
use crate::source::split;

/// How sure a column's channel and unit are, rising.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// Nothing fits, or another column fits better.
    None,
    /// One thing speaks for it; look at it.
    Guess,
    /// Heading or unit say so and the numbers agree.
    Likely,
    /// Heading and unit say so and the numbers agree.
    Sure,
    /// Other columns prove it, or a person said so.
    Proved,
}

impl Confidence {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "not used",
            Self::Guess => "guess",
            Self::Likely => "likely",
            Self::Sure => "sure",
            Self::Proved => "proved",
        }
    }
}

/// One column and what it is taken for.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// Index of the group in the log.
    pub group: usize,
    /// Index of the column in the group.
    pub column: usize,
    /// Heading as written.
    pub heading: String,
    /// Unit as written, empty where none is.
    pub written_unit: String,
    /// What it is taken for; `None` is kept as an unknown column.
    pub channel: Option<Channel>,
    /// The unit it is read in; empty where its own scale is kept.
    pub unit: String,
    /// How sure that is.
    pub confidence: Confidence,
    /// Why, in sentences.
    pub reasons: Vec<String>,
}

/// Something that only a person can settle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Heading of the column.
    pub heading: String,
    /// The question, with what is done until it is answered.
    pub question: String,
}

/// Whether torque and power of the log are as read, or corrected by the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Standing {
    /// As read: the log says so, or its numbers prove it.
    Observed,
    /// Only corrected values are there; by this factor where the log has it.
    Corrected(Option<f64>),
    /// Nothing in the log says; taken as read.
    NotSaid,
}

/// What all columns were taken for, and the recording that follows.
#[derive(Debug, Clone, PartialEq)]
pub struct Recognition {
    /// One for each column, in the order of the log.
    pub matches: Vec<Match>,
    /// What only a person can settle.
    pub doubts: Vec<Doubt>,
    /// Whether torque and power are as read.
    pub standing: Standing,
    /// The channels in SI on one clock.
    pub recording: Recording,
}

impl Recognition {
    /// Takes torque that the file corrected, by a factor that it does not state, back to what was
    /// read; nothing where the file has torque as read or states its factor.
    pub fn take_back(&mut self, factor: f64) {
        if self.standing == Standing::Corrected(None) {
            super::complete::complete_by(&mut self.recording, factor);
            self.standing = Standing::Corrected(Some(factor));
        }
    }
}

/// What a person says of a column; stronger than anything worked out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// Heading as written in the log.
    pub heading: String,
    /// What it is; `None` keeps it as an unknown column.
    pub channel: Option<Channel>,
    /// Its unit in the words of `units`, or "AFR"; `None` leaves that to the log.
    pub unit: Option<String>,
}

impl Said {
    /// Whether a column is meant: by its heading alone, or as written with the unit in it.
    pub fn is_about(&self, column: &Column) -> bool {
        let whole = || split(&self.heading);
        self.heading == column.name
            || !column.unit.is_empty() && whole().name == column.name && whole().unit == column.unit
    }
}
