//! The roller: power at the wheels from its speed, its inertia and its absorber.

use super::coast_down::Losses;
use crate::channel::Channel;
use crate::error::PullsError;
use crate::pull::Pull;
use crate::recording::Recording;
use crate::savgol::{smoothed, window_rows};

/// Power that the tyres gave to the roller, W.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct WheelPower(pub f64);

/// A roller, or a pair that turns as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Roller {
    inertia: f64,
    radius: f64,
    /// Drag of the roller itself, where it was found; without it bearings and air count as lost.
    pub drag: Option<Losses>,
}

impl Roller {
    /// A roller of a moment of inertia (kg·m²) and a radius (m).
    ///
    /// # Errors
    /// [`PullsError::NotPositive`].
    pub fn new(inertia: f64, radius: f64) -> Result<Self, PullsError> {
        for (what, value) in
            [("moment of inertia of the roller", inertia), ("roller radius", radius)]
        {
            if !(value.is_finite() && value > 0.0) {
                return Err(PullsError::NotPositive { what, value });
            }
        }
        Ok(Self { inertia, radius, drag: None })
    }

    /// A roller of an equivalent mass (kg) and a radius (m): `J = m r²`.
    ///
    /// # Errors
    /// [`PullsError::NotPositive`].
    pub fn from_equivalent_mass(mass: f64, radius: f64) -> Result<Self, PullsError> {
        Self::new(mass * radius * radius, radius)
    }

    /// The same roller with its own drag.
    pub fn with_drag(self, drag: Losses) -> Self {
        Self { drag: Some(drag), ..self }
    }

    /// Moment of inertia, kg·m².
    pub fn inertia(&self) -> f64 {
        self.inertia
    }

    /// Radius, m.
    pub fn radius(&self) -> f64 {
        self.radius
    }

    /// Equivalent mass, kg.
    pub fn equivalent_mass(&self) -> f64 {
        self.inertia / (self.radius * self.radius)
    }

    /// Power at the wheels at a speed (rad/s of the roller), a rate (rad/s²) and a torque of the
    /// absorber (N·m, 0 without one).
    pub fn wheel_power(&self, speed: f64, rate: f64, absorber: f64) -> WheelPower {
        let drag = self.drag.as_ref().map_or(0.0, |drag| drag.at(speed).torque);
        WheelPower(speed * (self.inertia * rate + absorber + drag))
    }
}

/// Power at the wheels, one a row, from time (s), surface speed (m/s) and, where there is an
/// absorber, its torque at the roller's shaft (N·m). Speed is differentiated and torque smoothed over
/// the same `window` (s).
pub fn wheel_power(
    time: &[f64],
    surface_speed: &[f64],
    absorber: Option<&[f64]>,
    roller: &Roller,
    window: f64,
) -> Vec<WheelPower> {
    let rows = window_rows(time, window);
    let turning: Vec<f64> = surface_speed.iter().map(|v| v / roller.radius).collect();
    let turning = smoothed(time, &turning, rows);
    let absorber = absorber.map(|torque| smoothed(time, torque, rows).value);
    (0..turning.value.len())
        .map(|row| {
            let torque = absorber.as_ref().map_or(0.0, |torque| torque[row]);
            roller.wheel_power(turning.value[row], turning.slope[row], torque)
        })
        .collect()
}

/// Power at the wheels over engine speed.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelCurve {
    /// Engine speeds, rad/s, the points of the pull.
    pub speeds: Vec<f64>,
    /// Mean power at each; not a number where no row was.
    pub power: Vec<WheelPower>,
    /// Standard deviation of the rows of each point, W.
    pub scatter: Vec<f64>,
    /// Rows of each point.
    pub count: Vec<u32>,
    /// What was done, in words.
    pub notes: Vec<String>,
}

/// Power at the wheels of a pull, gathered at its points. `absorber` is the absorber's torque over
/// all rows of the recording, N·m, where there is one.
///
/// # Errors
/// [`PullsError::NoChannel`] without roller speed or time, [`PullsError::Length`] when the absorber
/// does not have all rows, [`PullsError::Rows`] when the pull is not of this recording.
pub fn wheel_curve(
    recording: &Recording,
    pull: &Pull,
    roller: &Roller,
    absorber: Option<&[f64]>,
    window: f64,
) -> Result<WheelCurve, PullsError> {
    let rows = pull.stretch.rows.clone();
    let missing = |channel| PullsError::NoChannel { channel, remedy: "say which column it is" };
    let outside = PullsError::Rows { from: rows.start + 1, to: rows.end, rows: recording.rows() };
    let surface =
        recording.get(Channel::RollerSpeed).ok_or(missing(Channel::RollerSpeed))?.get(rows.clone());
    if recording.time.is_empty() {
        return Err(missing(Channel::Time));
    }
    let (time, surface) = recording.time.get(rows.clone()).zip(surface).ok_or(outside)?;
    let absorber = match absorber {
        Some(torque) if torque.len() != recording.rows() => {
            let (found, rows) = (torque.len(), recording.rows());
            return Err(PullsError::Length { what: "absorber torque".to_owned(), found, rows });
        }
        other => other.map(|torque| &torque[rows]),
    };
    let power = wheel_power(time, surface, absorber, roller, window);
    let power: Vec<f64> = power.iter().map(|power| power.0).collect();
    let points = pull.gather(Channel::WheelPower, &power);
    Ok(WheelCurve {
        speeds: pull.speeds.clone(),
        power: points.mean.into_iter().map(WheelPower).collect(),
        scatter: points.scatter,
        count: points.count,
        notes: notes(pull, roller, absorber.is_some(), window),
    })
}

fn notes(pull: &Pull, roller: &Roller, loaded: bool, window: f64) -> Vec<String> {
    let mut notes: Vec<String> = pull.done.iter().map(ToString::to_string).collect();
    let load = if loaded { "roller accelerated and loaded" } else { "roller accelerated" };
    notes.push(format!(
        "{load}, {:.0} kg·m² ({:.0} kg at the tyre); rate taken over {window:.2} s",
        roller.inertia,
        roller.equivalent_mass()
    ));
    notes.push(match roller.drag {
        Some(_) => "drag of the roller added".to_owned(),
        None => "drag of the roller is not known and not added".to_owned(),
    });
    notes
}
