//! A pull: a stretch of a recording at points of speed, with what was done to it.

use crate::channel::Channel;
use crate::error::PullsError;
use crate::grid::{self, Places, Points, local_line};
use crate::inertia::{Inertia, WINDOW, combined};
use crate::lag::{Delay, Lag, shifted};
use crate::recording::Recording;
use crate::savgol::{smoothed, window_rows};
use crate::sweep::{Found, Kind, Stretch};
use crate::{IMPOSSIBLE, RPM};
use shortblock_curve::{Curve, Measured};
use std::fmt;
use std::ops::Range;

/// What is to be done to a stretch on its way to a pull.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Treatment {
    /// Channels that come late.
    pub lags: Vec<Lag>,
    /// Moment of inertia, where it is known.
    pub inertia: Option<Inertia>,
}

/// One thing that was done, for the sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Done {
    /// Means in bins of 50 rpm.
    Bins,
    /// Means over each dwell, the settling left out.
    Dwells,
    /// Rows taken as they stand.
    Rows,
    /// This many rows left out for their speed.
    Masked(usize),
    /// A channel was shifted.
    Shifted(Lag),
    /// The torque that accelerates the rotating parts was added.
    Inertia(Inertia),
}

/// A stretch at points of speed.
///
/// The readings themselves stay in the recording: [`Pull::as_read`].
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// What it was made of.
    pub stretch: Stretch,
    /// Speed of each point, rad/s, rising: multiples of 50 rpm for a sweep, mean speeds for a step
    /// test, as in the file for rows without a time.
    pub speeds: Vec<f64>,
    /// Every channel, in the order of the recording.
    pub channels: Vec<Points>,
    /// Mean rate of change of speed at each point, rad/s²; empty without a time.
    pub acceleration: Vec<f64>,
    /// Torque of the engine with the torque that accelerates the rotating parts added, N·m; where a
    /// moment of inertia is stated and torque was read.
    pub with_inertia: Option<Points>,
    /// The torque of [`Pull::best_torque`] by a local straight line at each speed of a sweep, N·m,
    /// for comparisons; not a number at the very ends.
    pub fitted_torque: Option<Vec<f64>>,
    /// What was done, in order.
    pub done: Vec<Done>,
    places: Places,
}

/// Which torque a curve is to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// Torque as read, or power as read over speed.
    AsRead,
    /// Torque with the torque of the rotating parts added.
    WithInertia,
    /// Torque or power as corrected by the file's own factor.
    AsFiled,
}

impl Pull {
    /// A stretch at points of speed.
    ///
    /// # Errors
    /// [`PullsError::NoChannel`] without engine speed, or when a lag is stated for what is not there;
    /// [`PullsError::Length`] when a channel does not have all rows; [`PullsError::Rows`] when the stretch is not of this recording; [`PullsError::Empty`] when no
    /// row has a speed; [`PullsError::Roller`] for a coast-down of a roller;
    /// [`PullsError::NotPositive`] for a moment that is none.
    pub fn new(
        recording: &Recording,
        found: &Found,
        stretch: &Stretch,
        treatment: &Treatment,
    ) -> Result<Self, PullsError> {
        recording.check()?;
        let rows = stretch.rows.clone();
        let speed = speed_of(recording, found, stretch)?;
        let timed = !recording.time.is_empty() && stretch.kind != Kind::Table;
        let (places, speeds) = places(stretch, &speed);
        if speeds.is_empty() {
            return Err(PullsError::Empty { what: stretch.kind.word().to_owned() });
        }
        let shifts = Shifts::new(recording, stretch, treatment)?;
        let mut pull = Self {
            stretch: stretch.clone(),
            speeds,
            channels: Vec::with_capacity(recording.channels.len()),
            acceleration: Vec::new(),
            with_inertia: None,
            fitted_torque: None,
            done: done(stretch, found, treatment, is_dense(&speed)),
            places,
        };
        let mut torque = None;
        for recorded in &recording.channels {
            let moved = shifts.shift(recorded.channel, &recorded.values);
            let values = moved.as_deref().unwrap_or(&recorded.values[rows.clone()]);
            let points = pull.places.gather(recorded.channel, &recorded.heading, values);
            pull.channels.push(points);
            if recorded.channel == Channel::Torque && torque.is_none() {
                torque = Some(values.to_vec());
            }
        }
        if timed {
            let time = &recording.time[rows];
            pull.rates(time, &speed, torque.as_mut(), treatment)?;
        }
        if let (Some(torque), Kind::SweepUp | Kind::SweepDown) = (torque, stretch.kind) {
            let width = grid::bandwidth(&speed);
            pull.fitted_torque = Some(local_line(&speed, &torque, &pull.speeds, width));
        }
        Ok(pull)
    }

    /// Rates of change, and torque with inertia where a moment is stated; `torque` then becomes that.
    fn rates(
        &mut self,
        time: &[f64],
        speed: &[f64],
        torque: Option<&mut Vec<f64>>,
        treatment: &Treatment,
    ) -> Result<(), PullsError> {
        let window = treatment.inertia.map_or(WINDOW, |inertia| inertia.window);
        let rows = window_rows(time, window);
        let turning = smoothed(time, speed, rows);
        self.acceleration = self.places.gather(Channel::SweepRate, "", &turning.slope).mean;
        let (Some(inertia), Some(torque)) = (treatment.inertia, torque) else { return Ok(()) };
        for (what, value) in
            [("moment of inertia", inertia.moment), ("window of smoothing", inertia.window)]
        {
            if !(value.is_finite() && value > 0.0) {
                return Err(PullsError::NotPositive { what, value });
            }
        }
        let read = smoothed(time, torque, rows);
        *torque = combined(&turning, &read, inertia.moment);
        self.with_inertia = Some(self.places.gather(Channel::Torque, "", torque));
        Ok(())
    }

    /// A channel at the points, or `None` where the recording has none.
    pub fn points(&self, channel: Channel) -> Option<&Points> {
        self.channels.iter().find(|points| points.channel == channel)
    }

    /// Values of the rows of the stretch at the points.
    pub(crate) fn gather(&self, channel: Channel, values: &[f64]) -> Points {
        self.places.gather(channel, "", values)
    }

    /// Torque as read at the points, N·m.
    pub(crate) fn torque(&self) -> Option<&[f64]> {
        self.points(Channel::Torque).map(|points| points.mean.as_slice())
    }

    /// Torque with inertia where it is known, else as read.
    pub fn best_torque(&self) -> Option<&Points> {
        self.with_inertia.as_ref().or_else(|| self.points(Channel::Torque))
    }

    /// Whether torque, over three points, is at its best where a sweep up ends: then it was broken off,
    /// or the engine has more to give.
    pub fn ends_at_its_best(&self) -> bool {
        let torque = self.best_torque().or_else(|| self.points(Channel::CorrectedTorque));
        let (Some(torque), Kind::SweepUp) = (torque, self.stretch.kind) else { return false };
        let good: Vec<f64> = torque.mean.iter().copied().filter(|t| t.is_finite()).collect();
        let three: Vec<f64> = good.windows(3).map(|w| w.iter().sum::<f64>() / 3.0).collect();
        let best = three.iter().copied().fold(0.0, f64::max);
        let ends = three.iter().rev().take(2).copied().fold(0.0, f64::max);
        three.len() > 3 && best > 0.0 && ends >= best
    }

    /// The point at a speed (rad/s), within a tenth of a bin.
    pub(crate) fn place_of(&self, speed: f64) -> Option<usize> {
        let at = self.speeds.partition_point(|&s| s < speed - 0.1 * grid::BIN);
        (self.speeds.get(at)? - speed).abs().le(&(0.1 * grid::BIN)).then_some(at)
    }

    /// The readings of a channel over the stretch as they stand in the recording, in SI, nothing left
    /// out; `None` where it has none.
    pub fn as_read<'a>(&self, recording: &'a Recording, channel: Channel) -> Option<&'a [f64]> {
        recording.get(channel)?.get(self.stretch.rows.clone())
    }

    /// A measured curve over the points that have a reading. Its notes say what was done. No ± is
    /// put on it: scatter within a pull is neither that beside another pull nor that against the
    /// world.
    ///
    /// # Errors
    /// [`PullsError::NoChannel`] where the torque asked for is not there, [`PullsError::Empty`] when
    /// no point has it.
    pub fn curve(&self, label: &str, of: Of) -> Result<Curve<Measured>, PullsError> {
        let (torque, power) = match of {
            Of::AsRead => (self.points(Channel::Torque), Channel::Power),
            Of::AsFiled => (self.points(Channel::CorrectedTorque), Channel::CorrectedPower),
            Of::WithInertia => {
                let remedy = "read torque and state the moment of inertia";
                let missing = PullsError::NoChannel { channel: Channel::Torque, remedy };
                (Some(self.with_inertia.as_ref().ok_or(missing)?), Channel::Power)
            }
        };
        let remedy = "say which column is torque or power";
        let missing = PullsError::NoChannel { channel: power, remedy };
        let points = torque.or_else(|| self.points(power)).ok_or(missing)?;
        let good = self.speeds.iter().zip(&points.mean).filter(|(_, value)| value.is_finite());
        let (speed, values): (Vec<f64>, Vec<f64>) = good.map(|(s, v)| (*s, *v)).unzip();
        if speed.is_empty() {
            return Err(PullsError::Empty { what: points.channel.name() });
        }
        let curve = match torque {
            Some(_) => Curve::from_torque(label, speed, values)?,
            None => Curve::from_power(label, speed, values)?,
        };
        Ok(self.notes(of).into_iter().fold(curve, Curve::with_note))
    }

    /// What was done, in words, for a curve.
    fn notes(&self, of: Of) -> Vec<String> {
        let mut notes: Vec<String> = self.done.iter().map(ToString::to_string).collect();
        match of {
            Of::AsRead => notes.retain(|note| !note.starts_with(INERTIA)),
            Of::WithInertia => {}
            Of::AsFiled => {
                notes.retain(|note| !note.starts_with(INERTIA));
                notes.push("corrected by the factor in the file".to_owned());
            }
        }
        notes
    }
}

/// Speeds of a stretch, rad/s, one a row, not numbers in rows that are masked.
fn speed_of(
    recording: &Recording,
    found: &Found,
    stretch: &Stretch,
) -> Result<Vec<f64>, PullsError> {
    if stretch.of_roller {
        return Err(PullsError::Roller);
    }
    let rows = stretch.rows.clone();
    let channel = Channel::EngineSpeed;
    let speed = recording
        .get(channel)
        .ok_or(PullsError::NoChannel { channel, remedy: "say which column it is" })?;
    let outside =
        || PullsError::Rows { from: rows.start + 1, to: rows.end, rows: recording.rows() };
    let mut speed = speed.get(rows.clone()).ok_or_else(outside)?.to_vec();
    for row in masked_in(found, &rows) {
        speed[row - rows.start] = f64::NAN;
    }
    for speed in speed.iter_mut().filter(|speed| !(**speed > 0.0 && **speed <= IMPOSSIBLE)) {
        *speed = f64::NAN;
    }
    Ok(speed)
}

/// Masked rows of a stretch.
fn masked_in<'a>(found: &'a Found, rows: &Range<usize>) -> &'a [usize] {
    let from = found.masked.partition_point(|&row| row < rows.start);
    let to = found.masked.partition_point(|&row| row < rows.end);
    &found.masked[from..to]
}

/// Which point every row of a stretch belongs to, and the speeds of the points.
fn places(stretch: &Stretch, speed: &[f64]) -> (Places, Vec<f64>) {
    let rows = stretch.rows.clone();
    let ranges: Vec<Range<usize>> = match stretch.kind {
        Kind::Steps => stretch.dwells.clone(),
        Kind::Hold => vec![rows.clone()],
        Kind::Table if !is_dense(speed) => rows.clone().map(|row| row..row + 1).collect(),
        _ => return Places::bins(speed),
    };
    let own = |range: Range<usize>| {
        range.start.saturating_sub(rows.start)..range.end.saturating_sub(rows.start)
    };
    let mean = |range: Range<usize>| {
        let good: Vec<f64> =
            speed.get(range.clone())?.iter().copied().filter(|s| s.is_finite()).collect();
        let mean = good.iter().sum::<f64>() / good.len() as f64;
        mean.is_finite().then_some((mean, range))
    };
    let mut ranges: Vec<(f64, Range<usize>)> =
        ranges.into_iter().map(own).filter_map(mean).collect();
    // A test that goes down comes with its speeds falling.
    ranges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (speeds, ranges): (Vec<f64>, Vec<Range<usize>>) = ranges.into_iter().unzip();
    (Places::ranges(&ranges, speed), speeds)
}

/// Whether rows of a table lie closer than points do: then it is a sweep without its time.
fn is_dense(speed: &[f64]) -> bool {
    let good: Vec<f64> = speed.iter().copied().filter(|s| s.is_finite()).collect();
    let ends = good.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), s| (l.min(*s), h.max(*s)));
    let span = ends.1 - ends.0;
    // Readings held at one speed are no sweep, however many there are.
    span > 10.0 * grid::BIN && span < 0.5 * grid::BIN * (good.len() - 1) as f64
}

/// Lags of a stretch, worked out row by row.
struct Shifts<'a> {
    recording: &'a Recording,
    part: Range<usize>,
    rows: Range<usize>,
    delays: Vec<(Channel, RowDelay)>,
}

enum RowDelay {
    Fixed(f64),
    Rows(Vec<f64>),
}

impl<'a> Shifts<'a> {
    fn new(
        recording: &'a Recording,
        stretch: &Stretch,
        treatment: &Treatment,
    ) -> Result<Self, PullsError> {
        let mut delays = Vec::new();
        for lag in &treatment.lags {
            let (channel, remedy) = (lag.channel, "take the lag stated for it away");
            if recording.get(channel).is_none() {
                return Err(PullsError::NoChannel { channel, remedy });
            }
            if recording.time.is_empty() {
                return Err(PullsError::NoChannel { channel: Channel::Time, remedy });
            }
            let delay = match lag.delay {
                Delay::Fixed(delay) => RowDelay::Fixed(delay),
                Delay::Mixture(path) => RowDelay::Rows(path.delays(recording)?),
            };
            delays.push((channel, delay));
        }
        let parts = recording.part_rows();
        let part = parts.get(stretch.part).cloned().unwrap_or(0..recording.rows());
        Ok(Self { recording, part, rows: stretch.rows.clone(), delays })
    }

    /// Values of the stretch where the channel has a lag; `None` where not.
    fn shift(&self, channel: Channel, values: &[f64]) -> Option<Vec<f64>> {
        let (_, delay) = self.delays.iter().find(|(of, _)| *of == channel)?;
        let at = |row: usize| match delay {
            RowDelay::Fixed(delay) => *delay,
            RowDelay::Rows(delays) => delays[row],
        };
        Some(shifted(&self.recording.time, values, self.part.clone(), self.rows.clone(), at))
    }
}

fn done(stretch: &Stretch, found: &Found, treatment: &Treatment, dense: bool) -> Vec<Done> {
    let points = match stretch.kind {
        Kind::Steps | Kind::Hold => Done::Dwells,
        Kind::Table if !dense => Done::Rows,
        _ => Done::Bins,
    };
    let masked = masked_in(found, &stretch.rows).len();
    let masked = (masked > 0).then_some(Done::Masked(masked));
    let shifts = treatment.lags.iter().map(|lag| Done::Shifted(*lag));
    let inertia = treatment.inertia.filter(|_| stretch.kind != Kind::Table).map(Done::Inertia);
    std::iter::once(points).chain(masked).chain(shifts).chain(inertia).collect()
}

/// How the note of inertia begins.
const INERTIA: &str = "torque that accelerates";

impl fmt::Display for Done {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Bins => write!(f, "average in {:.0} rpm steps", grid::BIN / RPM),
            Self::Dwells => write!(f, "average over each held speed, settling left out"),
            Self::Rows => write!(f, "rows as they stand in the file, which has no time"),
            Self::Masked(1) => write!(f, "1 row left out: its engine speed is a spike or dropout"),
            Self::Masked(rows) => {
                write!(f, "{rows} rows left out: their engine speed is a spike or dropout")
            }
            Self::Shifted(Lag { channel, delay: Delay::Fixed(delay) }) => {
                write!(f, "{} read {:.0} ms later", channel.name(), delay * 1e3)
            }
            Self::Shifted(Lag { channel, delay: Delay::Mixture(path) }) => write!(
                f,
                "{} read later by the way through {:.1} L of exhaust pipe and {:.0} ms of sensor",
                channel.name(),
                path.volume * 1e3,
                path.time_constant * 1e3
            ),
            Self::Inertia(Inertia { moment, window }) => write!(
                f,
                "{INERTIA} {moment:.3} kg·m² added; torque and rate smoothed over {window:.2} s"
            ),
        }
    }
}
