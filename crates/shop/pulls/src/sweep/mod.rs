//! Finding pulls: run-up, hold, sweep and tail, step tests, coast-downs.
//!
//! The speed signal alone decides where a stretch begins and ends; torque only says whether a fall
//! was under load. The usual rate of a stretch is the measure of what moves and what is held, so
//! that a slow sweep is no hold and a hunting brake is no sweep. Smallest steps that are told
//! apart: about 100 rpm.

mod classify;
mod clean;
mod moves;
mod rules;
mod slope;
mod stretch;
mod trace;

pub use rules::Rules;
pub use stretch::{BrokenOff, Kind, Rate, Stretch};

use crate::channel::Channel;
use crate::error::PullsError;
use crate::recording::Recording;
use crate::{IMPOSSIBLE, RPM};
use classify::{Signal, classify};
use clean::{cleaned, median};
use std::ops::Range;

/// Longest usual time between rows of a recording in which speed can be followed, s.
const SLOWEST: f64 = 5.0;
/// A sweep that ends below this share of another's last speed was broken off.
const SHORT: f64 = 0.95;
/// Shortest coast-down of a roller, s.
const COASTING: f64 = 3.0;

/// What was found in a recording.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Stretches in the order of their rows; coast-downs of a roller may lie over others.
    pub stretches: Vec<Stretch>,
    /// Rows whose engine speed was a spike, a dropout or frozen, or whose clock did not go on;
    /// rising. They are left out of everything made of a stretch.
    pub masked: Vec<usize>,
}

impl Found {
    /// The stretches that a curve can be made of.
    pub fn pulls(&self) -> impl Iterator<Item = &Stretch> {
        self.stretches.iter().filter(|stretch| stretch.kind.is_pull())
    }
}

/// Finds sweeps, step tests and coast-downs.
///
/// # Errors
/// [`PullsError::NoChannel`] without engine speed, [`PullsError::Length`] when a channel, the time
/// or the parts do not fit the rows, [`PullsError::Speed`] when most speeds are none of an engine.
pub fn find(recording: &Recording, rules: &Rules) -> Result<Found, PullsError> {
    recording.check()?;
    let channel = Channel::EngineSpeed;
    let remedy = match recording.get(Channel::RollerSpeed) {
        Some(_) => {
            "state the ratio of engine to roller speed: settings = { ratio = \"6.4\" }, turns of the \
             engine in one of the roller, of the pull in session.toml"
        }
        None => "say which column it is",
    };
    let raw = recording.get(channel).ok_or(PullsError::NoChannel { channel, remedy })?;
    let mut found = Found::default();
    check_speeds(raw)?;
    let parts = recording.part_rows();
    if !can_follow(&recording.time) {
        for (part, rows) in parts.into_iter().enumerate() {
            tables(raw, rows, part, rules, &mut found.stretches);
        }
        return Ok(found);
    }
    let load = load(recording);
    for (part, rows) in parts.iter().enumerate() {
        let time = &recording.time[rows.clone()];
        let cleaned = cleaned(time, &raw[rows.clone()], rules);
        found.masked.extend(cleaned.masked.iter().map(|row| row + rows.start));
        let signal = Signal {
            time,
            load: load.map(|load| &load[rows.clone()]),
            has_roller: recording.get(Channel::RollerSpeed).is_some(),
            part,
            first: rows.start,
        };
        classify(&signal, &cleaned, rules, &mut found.stretches);
        coast_downs(recording, &signal, rows.clone(), rules, &mut found.stretches);
    }
    found.stretches.sort_by_key(|stretch| (stretch.rows.start, stretch.rows.end));
    mark_short(&mut found.stretches);
    Ok(found)
}

/// Single rows may be spikes; when most are, the column is something else.
fn check_speeds(raw: &[f64]) -> Result<(), PullsError> {
    let finite = raw.iter().filter(|speed| speed.is_finite()).count();
    let over = raw.iter().filter(|&&speed| speed > IMPOSSIBLE && speed.is_finite()).count();
    let first = raw.iter().position(|&speed| speed > IMPOSSIBLE && speed.is_finite());
    match first {
        Some(row) if 2 * over > finite => {
            Err(PullsError::Speed { row: row + 1, rpm: raw[row] / RPM })
        }
        _ => Ok(()),
    }
}

/// Whether rows lie close enough in time to follow speed between them.
fn can_follow(time: &[f64]) -> bool {
    let mut steps: Vec<f64> =
        time.windows(2).map(|w| w[1] - w[0]).filter(|step| *step > 0.0).collect();
    median(&mut steps).is_some_and(|usual| usual <= SLOWEST)
}

/// What tells a loaded stretch from an unloaded one, in any scale.
fn load(recording: &Recording) -> Option<&[f64]> {
    use Channel::{
        BrakeLoad, CorrectedTorque, Power, Torque, TractiveForce, WheelPower, WheelTorque,
    };
    [Torque, BrakeLoad, CorrectedTorque, WheelTorque, TractiveForce, Power, WheelPower]
        .into_iter()
        .find_map(|channel| recording.get(channel))
}

/// Runs of speed one way in rows without a time; going back by less than a reversal is noise.
fn tables(raw: &[f64], rows: Range<usize>, part: usize, rules: &Rules, found: &mut Vec<Stretch>) {
    let good: Vec<usize> = rows.filter(|&row| raw[row] > 0.0 && raw[row] <= IMPOSSIBLE).collect();
    for run in runs(&good, raw, rules.reversal) {
        // A single row is no curve.
        let [first, .., last] = *run else { continue };
        found.push(Stretch {
            kind: Kind::Table,
            rows: first..last + 1,
            from: raw[first],
            to: raw[last],
            rate: None,
            dwells: Vec::new(),
            broken_off: None,
            part,
            of_roller: false,
        });
    }
}

/// Cuts rows where speed turns, at the row from which it goes the other way.
fn runs<'a>(good: &'a [usize], raw: &[f64], reversal: f64) -> Vec<&'a [usize]> {
    let mut cuts = vec![0];
    let (mut furthest, mut up) = (0, None);
    for at in 1..good.len() {
        let gone = raw[good[at]] - raw[good[furthest]];
        match up {
            None if gone.abs() >= reversal => (up, furthest) = (Some(gone > 0.0), at),
            Some(rises) if (gone > 0.0) == rises => furthest = at,
            Some(rises) if gone.abs() >= reversal => {
                cuts.push(furthest + 1);
                up = (at > furthest + 1).then_some(!rises);
                furthest = at;
            }
            _ => {}
        }
    }
    cuts.push(good.len());
    cuts.windows(2).filter_map(|cut| good.get(cut[0]..cut[1])).collect()
}

/// Falls of the roller's speed with nothing driving it.
fn coast_downs(
    recording: &Recording,
    signal: &Signal,
    rows: Range<usize>,
    rules: &Rules,
    found: &mut Vec<Stretch>,
) {
    let Some(roller) = recording.get(Channel::RollerSpeed) else { return };
    let roller = &roller[rows];
    let top = roller.iter().copied().filter(|v| v.is_finite()).fold(0.0, f64::max);
    // The rules are for engines; the roller's top speed stands for 8000 rpm.
    let scale = top / (8000.0 * RPM);
    let scaled = Rules {
        reversal: rules.reversal * scale,
        span: 0.3 * top,
        spike: rules.spike * scale,
        stopped: rules.stopped * scale,
        ..*rules
    };
    if top > 0.0 {
        let cleaned = cleaned(signal.time, roller, &scaled);
        classify::coasting(signal, &cleaned, &scaled, COASTING, found);
    }
}

/// Marks sweeps that end well short of the furthest one.
fn mark_short(stretches: &mut [Stretch]) {
    let up = |s: &Stretch| s.kind == Kind::SweepUp;
    let furthest = stretches.iter().filter(|s| up(s)).map(|s| s.to).fold(0.0, f64::max);
    for stretch in stretches.iter_mut().filter(|s| up(s)) {
        if stretch.broken_off.is_none() && stretch.to < SHORT * furthest {
            stretch.broken_off = Some(BrokenOff::ShortOf(furthest));
        }
    }
}
