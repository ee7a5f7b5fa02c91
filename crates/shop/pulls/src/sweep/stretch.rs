//! A stretch of a recording, what it is and how it went.

use crate::RPM;
use std::fmt;
use std::ops::Range;

/// What a stretch of a recording is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Speed is brought to where a sweep starts.
    RunUp,
    /// Speed is held.
    Hold,
    /// Speed rises under load.
    SweepUp,
    /// Speed falls under load.
    SweepDown,
    /// Speed is held at one speed after the other.
    Steps,
    /// Speed falls by itself: nothing drives, nothing brakes but losses.
    CoastDown,
    /// Speed falls after a sweep, the load taken off or the throttle closed.
    Tail,
    /// Rows of speed without a time: held speeds, or the printed curve of a sweep; the file cannot
    /// tell.
    Table,
}

impl Kind {
    /// True for what a curve can be made of.
    pub fn is_pull(self) -> bool {
        matches!(self, Self::SweepUp | Self::SweepDown | Self::Steps | Self::Table)
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::RunUp => "run-up",
            Self::Hold => "hold",
            Self::SweepUp => "sweep",
            Self::SweepDown => "downward sweep",
            Self::Steps => "step test",
            Self::CoastDown => "coast-down",
            Self::Tail => "tail",
            Self::Table => "no time",
        }
    }
}

/// How fast speed changed over a stretch, and how evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// Slope of speed over time, rad/s², below zero when speed falls.
    pub mean: f64,
    /// Standard deviation of the rate taken over half a second, as a share of the mean.
    pub spread: f64,
    /// The furthest that speed went back against its way, rad/s.
    pub went_back: f64,
}

/// Why a sweep is not all that it might have been.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BrokenOff {
    /// The speed signal was lost.
    SignalLost,
    /// It ends short of where another sweep of this recording got to, rad/s.
    ShortOf(f64),
}

/// A stretch of a recording.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// What it is.
    pub kind: Kind,
    /// Rows of the recording, counted from 0.
    pub rows: Range<usize>,
    /// Speed at the start, rad/s: of the engine, or of the roller (as the recording has it, m/s)
    /// when [`Stretch::of_roller`].
    pub from: f64,
    /// Speed at the end, as `from`.
    pub to: f64,
    /// Rate of change; `None` where there is no time or speed is held.
    pub rate: Option<Rate>,
    /// Rows of each dwell of a step test with settling left out; empty for other kinds.
    pub dwells: Vec<Range<usize>>,
    /// Set when a sweep was broken off.
    pub broken_off: Option<BrokenOff>,
    /// Part of the recording, counted from 0.
    pub part: usize,
    /// The speed is that of a roller.
    pub of_roller: bool,
}

impl fmt::Display for Stretch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (unit, scale) = if self.of_roller { ("m/s", 1.0) } else { ("rpm", RPM) };
        write!(f, "{}, rows {} to {}, ", self.kind.word(), self.rows.start + 1, self.rows.end)?;
        if self.kind == Kind::Hold {
            write!(f, "{:.0} {unit}", 0.5 * (self.from + self.to) / scale)?;
        } else {
            write!(f, "{:.0} to {:.0} {unit}", self.from / scale, self.to / scale)?;
        }
        if !self.dwells.is_empty() {
            write!(f, ", {} held speeds", self.dwells.len())?;
        }
        if let Some(rate) = self.rate {
            let digits = if self.of_roller { 2 } else { 0 };
            let per = if self.of_roller { "m/s²" } else { "rpm/s" };
            write!(f, ", {:.digits$} {per}", rate.mean / scale)?;
            if self.kind.is_pull() {
                write!(f, ", scatter of the rate {:.0} %", rate.spread * 100.0)?;
            }
        }
        match self.broken_off {
            Some(BrokenOff::SignalLost) => write!(f, "; broken off: the speed signal was lost"),
            Some(BrokenOff::ShortOf(other)) => {
                write!(f, "; broken off: another sweep got to {:.0} {unit}", other / scale)
            }
            None => Ok(()),
        }
    }
}
