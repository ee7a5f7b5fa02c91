//! Between engine and roller: their ratio, and whether it holds.

use super::roller::Roller;
use crate::channel::Channel;
use crate::error::PullsError;
use crate::recording::{Recorded, Recording};
use crate::savgol::window_rows;
use std::fmt;
use std::ops::Range;

/// A ratio that drifts by more than this share shows slip or tyre growth (common practice, no
/// source).
const DRIFT: f64 = 0.01;
/// Ratios are averaged over this time before they are looked at, s.
const WINDOW: f64 = 0.25;

/// Heading of an engine speed that was worked out from the roller's.
pub(crate) const WORKED_OUT: &str = "engine speed from roller speed and ratio";

/// Engine speed over roller speed through a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Drive {
    /// Usual ratio of the two angular speeds: the median.
    pub ratio: f64,
    /// The furthest that the ratio, averaged over a quarter of a second, went from it, as a share with
    /// its sign.
    pub drift: f64,
    /// Rows of the stretch, counted from its first, over which it was more than 1 % off.
    pub off: Vec<Range<usize>>,
}

impl Drive {
    /// True when the ratio holds within 1 %.
    pub fn holds(&self) -> bool {
        self.off.is_empty()
    }
}

impl fmt::Display for Drive {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let drift = 100.0 * self.drift;
        if self.holds() {
            return write!(f, "engine to roller {:.3}, steady to {:.1} %", self.ratio, drift.abs());
        }
        let why = if self.drift > 0.0 {
            "the tyres or the clutch slip; strap it down harder, check the clutch"
        } else {
            "the tyres grow, or slipped before; check pressure and straps"
        };
        write!(f, "engine to roller {:.3} drifts by {drift:+.1} %: {why}", self.ratio)
    }
}

/// Finds the ratio of engine speed to roller speed (both rad/s) over a stretch with its time (s);
/// `None` where no row has both.
pub fn drive(time: &[f64], engine: &[f64], roller: &[f64]) -> Option<Drive> {
    let ratio = |(engine, roller): (&f64, &f64)| {
        let ratio = engine / roller;
        if *roller > 0.0 && ratio.is_finite() && ratio > 0.0 { ratio } else { f64::NAN }
    };
    let ratios: Vec<f64> = engine.iter().zip(roller).map(ratio).collect();
    let mut known: Vec<f64> = ratios.iter().copied().filter(|ratio| ratio.is_finite()).collect();
    let middle = known.len() / 2;
    if known.is_empty() {
        return None;
    }
    let usual = *known.select_nth_unstable_by(middle, f64::total_cmp).1;
    let half = window_rows(time, WINDOW) / 2;
    let mut drive = Drive { ratio: usual, drift: 0.0, off: Vec::new() };
    for (row, local) in running_means(&ratios, half).into_iter().enumerate() {
        let share = local / usual - 1.0;
        if share.abs() > drive.drift.abs() {
            drive.drift = share;
        }
        if share.abs() > DRIFT {
            match drive.off.last_mut() {
                Some(last) if last.end == row => last.end = row + 1,
                _ => drive.off.push(row..row + 1),
            }
        }
    }
    Some(drive)
}

/// Means over each row and `half` rows either side, of those that are numbers.
fn running_means(values: &[f64], half: usize) -> Vec<f64> {
    let mut sums = Vec::with_capacity(values.len() + 1);
    let mut sum = (0.0, 0.0);
    sums.push(sum);
    for value in values {
        if value.is_finite() {
            sum = (sum.0 + value, sum.1 + 1.0);
        }
        sums.push(sum);
    }
    (0..values.len())
        .map(|row| {
            let (from, to) = (row.saturating_sub(half), (row + half + 1).min(values.len()));
            (sums[to].0 - sums[from].0) / (sums[to].1 - sums[from].1)
        })
        .collect()
}

/// Engine speed, rad/s, where it was not read: surface speed of the roller (m/s), its radius (m) and
/// the ratio of engine to roller speed. Slip is in it.
pub fn engine_speed(surface_speed: f64, radius: f64, ratio: f64) -> f64 {
    ratio * surface_speed / radius
}

/// Adds engine speed, worked out by [`engine_speed`], to a recording that has roller speed only. Its
/// heading says so.
///
/// # Errors
/// [`PullsError::NoChannel`] without roller speed, [`PullsError::NotPositive`] for a ratio that is
/// none.
pub fn add_engine_speed(
    recording: &mut Recording,
    roller: &Roller,
    ratio: f64,
) -> Result<(), PullsError> {
    let channel = Channel::RollerSpeed;
    let missing = PullsError::NoChannel { channel, remedy: "say which column it is" };
    let surface = recording.get(channel).ok_or(missing)?;
    if !(ratio.is_finite() && ratio > 0.0) {
        let what = "ratio of engine to roller speed";
        return Err(PullsError::NotPositive { what, value: ratio });
    }
    let values = surface.iter().map(|&v| engine_speed(v, roller.radius(), ratio)).collect();
    let heading = WORKED_OUT.to_owned();
    recording.channels.push(Recorded { channel: Channel::EngineSpeed, heading, values });
    Ok(())
}
