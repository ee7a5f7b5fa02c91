//! What a loop says: the best setting with its limits, or why there is none.

use crate::parabola::{Limits, Parabola};
use crate::reading::{Reading, Scatter, Setting};
use crate::student::nineteen_in_twenty;

/// Torque that may be given away for margin: half a per cent (ours).
pub(crate) const GIVEN_AWAY: f64 = 0.005;
/// Fits made again as the readings near the top change; more do not settle.
const ROUNDS: usize = 10;

/// The answer of a loop.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// The loop goes over the top.
    Best(Best),
    /// Knock came before the top: there is no best setting, only a limit.
    KnockLimited(KnockLimited),
    /// Torque still rises at the end of what was tried: go on that way.
    StillRising {
        /// The last setting tried on that side.
        last: f64,
        /// True when it rises towards more of the setting.
        towards_more: bool,
    },
    /// Torque does not change by more than the scatter over what was tried.
    Flat {
        /// From the least to the most setting tried.
        range: (f64, f64),
        /// The setting to choose: of those tried the last on the careful side that by the fit loses
        /// less than half a per cent.
        choose: f64,
    },
    /// Too few readings without knock, or nothing known of the scatter.
    TooFew {
        /// Readings that could be used.
        usable: usize,
    },
}

/// A top that the loop goes over.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// Setting of the most torque.
    pub setting: f64,
    /// Where it lies 19 times in 20.
    pub limits: Limits,
    /// Torque there, N·m.
    pub torque: f64,
    /// ± of that torque as a fit, N·m, 19 times in 20.
    pub torque_plus_minus: f64,
    /// Settings between which less than half a per cent is lost.
    pub window: (f64, f64),
    /// The end of the window to choose, within what was tried and clear of knock.
    pub choose: f64,
    /// The parabola.
    pub parabola: Box<Parabola>,
    /// Readings that were fitted, by their place in the loop.
    pub fitted: Vec<usize>,
    /// Least setting that knocked, where one did.
    pub knocked_from: Option<f64>,
    /// From the least to the most setting tried without knock: the limits may lie beyond.
    pub tried: (f64, f64),
}

/// A loop that ends at knock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnockLimited {
    /// Least setting that knocked.
    pub knocked_from: f64,
    /// Most setting below it that was clear.
    pub clear_to: f64,
    /// The setting to choose: room below the least that knocked, and never above what was clear.
    pub choose: f64,
    /// Mean torque read at the clear settings nearest to that choice, N·m.
    pub torque: f64,
}

/// What a loop over `setting` at one speed says, with the scatter of the dyno's history.
///
/// Readings with knock are not fitted: knock takes torque and bends the curve. Of the rest those
/// within [`Setting::reach`] of the top are. Settings and torques that are not numbers are left
/// out.
pub fn best_setting(setting: Setting, readings: &[Reading], history: &Scatter) -> Answer {
    let clear: Vec<usize> = (0..readings.len())
        .filter(|&i| {
            let r = &readings[i];
            !r.knock && r.setting.is_finite() && r.torque.is_finite()
        })
        .collect();
    let knocked = least_knocking(setting, readings);
    let Some((parabola, fitted)) = near_the_top(setting, readings, &clear, history) else {
        return limited(setting, readings, &clear, knocked)
            .unwrap_or(Answer::TooFew { usable: clear.len() });
    };
    let ends = ends(readings, &clear);
    match parabola.limits() {
        Some(limits) if inside(parabola.top(), ends) => {
            let top = over_the_top(setting, parabola, fitted, limits, (ends, knocked));
            match knocked.filter(|k| *k <= top.setting) {
                Some(_) => limited(setting, readings, &clear, knocked).unwrap_or(Answer::Best(top)),
                None => Answer::Best(top),
            }
        }
        _ => limited(setting, readings, &clear, knocked).unwrap_or_else(|| {
            let tried: Vec<f64> = clear.iter().map(|&i| readings[i].setting).collect();
            no_top(setting, &parabola, &tried, ends)
        }),
    }
}

/// Fits the readings near the top, and again as their choice moves the top.
fn near_the_top(
    setting: Setting,
    readings: &[Reading],
    clear: &[usize],
    history: &Scatter,
) -> Option<(Parabola, Vec<usize>)> {
    let fit = |chosen: &[usize]| {
        let x: Vec<f64> = chosen.iter().map(|&i| readings[i].setting).collect();
        let y: Vec<f64> = chosen.iter().map(|&i| readings[i].torque).collect();
        Parabola::fit(&x, &y, history)
    };
    let mut chosen = clear.to_vec();
    let mut parabola = fit(&chosen)?;
    for _ in 0..ROUNDS {
        if parabola.coefficients[2] >= 0.0 {
            break;
        }
        let top = parabola.top();
        let near = |i: &usize| (readings[*i].setting - top).abs() <= setting.reach() * (1.0 + 1e-9);
        let next: Vec<usize> = clear.iter().copied().filter(near).collect();
        if next == chosen {
            break;
        }
        let Some(better) = fit(&next) else { break };
        (chosen, parabola) = (next, better);
    }
    Some((parabola, chosen))
}

fn over_the_top(
    setting: Setting,
    parabola: Parabola,
    fitted: Vec<usize>,
    limits: Limits,
    (ends, knocked): ((f64, f64), Option<f64>),
) -> Best {
    let top = parabola.top();
    let half = parabola.reach_of_loss(GIVEN_AWAY);
    let window = (top - half, top + half);
    let wanted = if setting.smaller_is_better() { window.0 } else { window.1 };
    let most = knocked.map_or(ends.1, |k| (k - setting.knock_room()).min(ends.1));
    Best {
        setting: top,
        limits,
        torque: parabola.at(top),
        torque_plus_minus: nineteen_in_twenty(parabola.dof) * parabola.deviation_at(top),
        window,
        choose: wanted.min(most).max(ends.0),
        parabola: Box::new(parabola),
        fitted,
        knocked_from: knocked,
        tried: ends,
    }
}

/// Only spark brings knock with more of it in a loop; a mixture that knocks is a fault of another
/// setting and is only kept out of the fit.
fn least_knocking(setting: Setting, readings: &[Reading]) -> Option<f64> {
    let knocked = readings.iter().filter(|r| r.knock && r.setting.is_finite());
    let least = knocked.map(|r| r.setting).fold(f64::INFINITY, f64::min);
    (setting == Setting::Spark && least.is_finite()).then_some(least)
}

fn limited(
    setting: Setting,
    readings: &[Reading],
    clear: &[usize],
    knocked: Option<f64>,
) -> Option<Answer> {
    let knocked_from = knocked?;
    let below = clear.iter().map(|&i| readings[i].setting).filter(|s| *s < knocked_from);
    let clear_to = below.fold(f64::NEG_INFINITY, f64::max);
    if !clear_to.is_finite() {
        return None;
    }
    let choose = clear_to.min(knocked_from - setting.knock_room());
    let nearest = clear
        .iter()
        .map(|&i| &readings[i])
        .min_by(|a, b| (a.setting - choose).abs().total_cmp(&(b.setting - choose).abs()))?;
    let same = clear.iter().map(|&i| &readings[i]).filter(|r| r.setting == nearest.setting);
    let (sum, count) = same.fold((0.0, 0.0), |(s, n), r| (s + r.torque, n + 1.0));
    Some(Answer::KnockLimited(KnockLimited { knocked_from, clear_to, choose, torque: sum / count }))
}

/// No top within what was tried: rising on one side, or flat.
fn no_top(setting: Setting, parabola: &Parabola, tried: &[f64], ends: (f64, f64)) -> Answer {
    let t = nineteen_in_twenty(parabola.dof);
    let rises = |at: f64, sign: f64| {
        let (slope, deviation) = parabola.slope_at(at);
        sign * slope > t * deviation
    };
    let change = (parabola.at(ends.1) - parabola.at(ends.0)) / (ends.1 - ends.0);
    if rises(ends.1, 1.0) || change > 0.0 && rises(0.5 * (ends.0 + ends.1), 1.0) {
        Answer::StillRising { last: ends.1, towards_more: true }
    } else if rises(ends.0, -1.0) || change < 0.0 && rises(0.5 * (ends.0 + ends.1), -1.0) {
        Answer::StillRising { last: ends.0, towards_more: false }
    } else {
        Answer::Flat { range: ends, choose: careful(setting, parabola, tried) }
    }
}

/// The setting of those tried that leaves most knock margin or fuel and by the fit loses less than half
/// a per cent: that no loss shows beside the scatter is no leave to go all the way.
fn careful(setting: Setting, parabola: &Parabola, tried: &[f64]) -> f64 {
    let most = tried.iter().map(|x| parabola.at(*x)).fold(f64::NEG_INFINITY, f64::max);
    let good = tried.iter().copied().filter(|x| parabola.at(*x) >= most - GIVEN_AWAY * most.abs());
    if setting.smaller_is_better() {
        good.fold(f64::INFINITY, f64::min)
    } else {
        good.fold(f64::NEG_INFINITY, f64::max)
    }
}

fn ends(readings: &[Reading], clear: &[usize]) -> (f64, f64) {
    let settings = clear.iter().map(|&i| readings[i].setting);
    settings.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| (low.min(s), high.max(s)))
}

fn inside(top: f64, (low, high): (f64, f64)) -> bool {
    top > low && top < high
}
