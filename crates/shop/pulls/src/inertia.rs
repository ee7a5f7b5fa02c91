//! Torque that accelerates the rotating parts in a sweep.
//!
//! Equation: `T_engine = T_read + J alpha`, J everything that is accelerated between the combustion
//! and the load cell (engine, coupling, rotor), alpha the rate of change of speed. Newton's second
//! law. Torque is smoothed by the same window as speed is differentiated with, or the two terms
//! would not belong together.

use crate::error::PullsError;
use crate::pull::Pull;
use crate::savgol::{Smoothed, smoothed, window_rows};
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Rates must differ by at least this ratio for a moment of inertia to be seen in torque (ours).
const APART: f64 = 1.2;
/// Half of 5 %.
const ONE_SIDE: f64 = 0.975;

/// A moment of inertia that is stated, and the window for its torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inertia {
    /// Moment of inertia of everything that is accelerated, at the crankshaft, kg·m².
    pub moment: f64,
    /// Window of smoothing and differentiating, s.
    pub window: f64,
}

impl Inertia {
    /// A moment (kg·m²) with a window of half a second: at 300 rpm/s it blurs 150 rpm, and with 1 rpm
    /// of noise at 100 Hz it leaves 1 rpm/s.
    pub fn new(moment: f64) -> Self {
        Self { moment, window: WINDOW }
    }
}

/// Window that rates of a pull are taken over, s.
pub(crate) const WINDOW: f64 = 0.5;

/// Torque of the engine, N·m, from torque as read (N·m), speed (rad/s) and time (s), smoothed. Not a
/// number where readings are missing over a whole window.
pub fn engine_torque(time: &[f64], speed: &[f64], torque: &[f64], inertia: Inertia) -> Vec<f64> {
    let rows = window_rows(time, inertia.window);
    let turning = smoothed(time, speed, rows);
    let read = smoothed(time, torque, rows);
    combined(&turning, &read, inertia.moment)
}

pub(crate) fn combined(turning: &Smoothed, read: &Smoothed, moment: f64) -> Vec<f64> {
    read.value.iter().zip(&turning.slope).map(|(torque, rate)| torque + moment * rate).collect()
}

/// A moment of inertia that was found from pulls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundMoment {
    /// kg·m².
    pub moment: f64,
    /// ± (coverage 95 %), kg·m², by the scatter from pull to pull; `None` from two pulls, which
    /// show no scatter.
    pub plus_minus: Option<f64>,
    /// Pulls it rests on.
    pub pulls: usize,
}

/// Moment of inertia from pulls of one engine at different sweep rates: `T_read = f(n) - J alpha`
/// with f free at every speed.
///
/// The pull is what repeats: each counts once, by its mean distance from the others over the speeds
/// that all of them cover. Drift looks like inertia when the rates are run in rising order; run them
/// up and down again (150, 300, 600, 300, 150 rpm/s).
///
/// # Errors
/// [`PullsError::Moment`] when there are fewer than two pulls with torque, no common speeds, or
/// rates that do not differ by a fifth.
pub fn find_moment(pulls: &[&Pull]) -> Result<FoundMoment, PullsError> {
    let fault = |why| PullsError::Moment { why };
    let torques: Vec<&[f64]> = pulls.iter().filter_map(|pull| pull.torque()).collect();
    if torques.len() < 2 || torques.len() != pulls.len() {
        return Err(fault("it takes two pulls or more, each with torque"));
    }
    let rates: Vec<f64> = pulls.iter().filter_map(|p| p.stretch.rate).map(|r| r.mean).collect();
    let (low, high) = (
        rates.iter().copied().fold(f64::INFINITY, f64::min),
        rates.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    );
    // A sweep down beside one up differs in any case.
    if rates.len() != pulls.len()
        || low > 0.0 && high < APART * low
        || high < 0.0 && low > APART * high
    {
        return Err(fault(
            "the sweep rates are too much alike; run half and double the usual rate",
        ));
    }
    let (x, y) = deviations(pulls, &torques);
    if x.is_empty() {
        return Err(fault("the pulls share no speed"));
    }
    let square: f64 = x.iter().map(|x| x * x).sum();
    let moment = -x.iter().zip(&y).map(|(x, y)| x * y).sum::<f64>() / square;
    let left: f64 = x.iter().zip(&y).map(|(x, y)| (y + moment * x).powi(2)).sum();
    let dof = pulls.len() as f64 - 2.0;
    let student = StudentsT::new(0.0, 1.0, dof).ok();
    let plus_minus = student.map(|t| t.inverse_cdf(ONE_SIDE) * (left / dof / square).sqrt());
    Ok(FoundMoment { moment, plus_minus, pulls: pulls.len() })
}

/// Mean deviation of rate and torque of each pull from the mean of all, over the common speeds; empty
/// when there are none.
fn deviations(pulls: &[&Pull], torques: &[&[f64]]) -> (Vec<f64>, Vec<f64>) {
    let n = pulls.len() as f64;
    let mut x = vec![0.0; pulls.len()];
    let mut y = vec![0.0; pulls.len()];
    let mut shared = 0.0;
    for &speed in &pulls[0].speeds {
        let at = |k: usize| {
            let place = pulls[k].place_of(speed)?;
            let (rate, torque) = (pulls[k].acceleration[place], torques[k][place]);
            (rate.is_finite() && torque.is_finite()).then_some((rate, torque))
        };
        let all: Option<Vec<(f64, f64)>> = (0..pulls.len()).map(at).collect();
        let Some(all) = all else { continue };
        let mean = |value: fn(&(f64, f64)) -> f64| all.iter().map(value).sum::<f64>() / n;
        let (rate, torque) = (mean(|v| v.0), mean(|v| v.1));
        for (k, value) in all.iter().enumerate() {
            x[k] += value.0 - rate;
            y[k] += value.1 - torque;
        }
        shared += 1.0;
    }
    if shared == 0.0 {
        return (Vec::new(), Vec::new());
    }
    x.iter_mut().chain(&mut y).for_each(|value| *value /= shared);
    (x, y)
}
