//! The setting to try next, or to stop.
//!
//! Equation: expected improvement `EI = (mu - y) Phi(z) + s phi(z)`, `z = (mu - y) / s`, with mu and s
//! the fitted torque and its deviation at a setting and y the best fitted torque so far
//! (Jones, Schonlau & Welch, J. Global Optim. 13 (1998) 455, eq. 15, from memory). With noise y is
//! the best *fitted* value, never the best reading.

use crate::answer::{Answer, GIVEN_AWAY, best_setting};
use crate::parabola::Parabola;
use crate::reading::{Reading, Scatter, Setting};
use crate::student::normal_below;

/// Below this share of torque a further reading is not worth its fuel (ours).
const WORTH_TRYING: f64 = 0.002;
/// Candidates between the ends, both included.
const CANDIDATES: usize = 201;

/// Mean gain over `best` at a place where torque is `mean` with standard deviation `deviation`, in
/// the unit of the three; without deviation what the mean is above the best.
pub fn expected_improvement(mean: f64, deviation: f64, best: f64) -> f64 {
    let gain = mean - best;
    if deviation <= 0.0 {
        return gain.max(0.0);
    }
    let z = gain / deviation;
    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    gain * normal_below(z) + deviation * density
}

/// What to do next in a loop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Next {
    /// Try this.
    Try(Proposal),
    /// The loop is done: the top is known better than it matters, or nothing more is to be gained.
    Done,
}

/// A setting to try.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// The setting.
    pub setting: f64,
    /// Expected gain of torque over the best so far, N·m; `None` where there is no fit yet.
    pub gain: Option<f64>,
}

/// The setting to try next. Never more than one [`Setting::step`] past what was tried, never at or
/// above a setting that knocked less the room kept below it.
pub fn next_setting(setting: Setting, readings: &[Reading], history: &Scatter) -> Next {
    match best_setting(setting, readings, history) {
        Answer::Best(best) => {
            let known = best.limits.low > best.window.0 && best.limits.high < best.window.1;
            if known { Next::Done } else { by_improvement(setting, readings, &best.parabola) }
        }
        Answer::KnockLimited(_) | Answer::Flat { .. } => Next::Done,
        Answer::StillRising { last, towards_more } => {
            let sign = if towards_more { 1.0 } else { -1.0 };
            Next::Try(Proposal { setting: last + sign * setting.step(), gain: None })
        }
        Answer::TooFew { .. } => first_steps(setting, readings),
    }
}

/// Before there is a fit: on in the careful direction, more spark from retarded, leaner from rich.
fn first_steps(setting: Setting, readings: &[Reading]) -> Next {
    let tried = readings.iter().filter(|r| !r.knock).map(|r| r.setting).filter(|s| s.is_finite());
    let most = tried.fold(f64::NEG_INFINITY, f64::max);
    if most.is_finite() && !readings.iter().any(|r| r.knock) {
        Next::Try(Proposal { setting: most + setting.step(), gain: None })
    } else {
        Next::Done
    }
}

fn by_improvement(setting: Setting, readings: &[Reading], parabola: &Parabola) -> Next {
    let clear = readings.iter().filter(|r| !r.knock).map(|r| r.setting);
    let knocked = readings.iter().filter(|r| r.knock).map(|r| r.setting);
    let (low, high) =
        clear.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s), h.max(s)));
    let ceiling = knocked.fold(f64::INFINITY, f64::min) - setting.knock_room();
    let (low, high) = (low - setting.step(), (high + setting.step()).min(ceiling));
    let best = parabola.at(parabola.top().clamp(low, high.max(low)));
    let at = |i: usize| low + (high - low) * i as f64 / (CANDIDATES - 1) as f64;
    // A reading carries its own scatter: what it can teach is the deviation of the fit there.
    let gain = |x: f64| expected_improvement(parabola.at(x), parabola.deviation_at(x), best);
    let candidates = (0..CANDIDATES).map(at).map(|x| (x, gain(x)));
    match candidates.max_by(|a, b| a.1.total_cmp(&b.1)) {
        Some((x, gain)) if gain > WORTH_TRYING.min(GIVEN_AWAY) * best.abs() => {
            Next::Try(Proposal { setting: x, gain: Some(gain) })
        }
        _ => Next::Done,
    }
}
