//! The torque signal itself: holes, noise, zero.

use super::engine::bound;
use super::{Check, Facts, Stated, Verdict, mean_of, most};
use crate::channel::Channel;
use shortblock_units::Quantity;
use std::f64::consts::PI;

/// Torque that drops within this time is no curve, s.
const WITHIN: f64 = 0.3;
/// Below this speed the engine stands, rad/s.
const STANDS: f64 = 150.0 * PI / 30.0;
/// As a sweep sets off, part of the torque goes into the rotating parts at once; that is no hole, s.
const SETS_OFF: f64 = 0.6;
/// Readings that make a zero.
const ZERO_ROWS: usize = 5;

pub(super) fn shape(facts: &Facts) -> Vec<Check> {
    vec![hole(facts), noise(facts)]
}

/// Torque and power against what dyno or session allow; nothing where they allow anything.
pub(super) fn most_allowed(facts: &Facts) -> Vec<Check> {
    let torque = facts.read(Channel::Torque);
    let of_torque = |torque: &[f64]| -> Vec<f64> {
        torque.iter().zip(facts.speed()).map(|(torque, speed)| torque * speed).collect()
    };
    let power = facts.read(Channel::Power).map(<[f64]>::to_vec).or_else(|| torque.map(of_torque));
    let highest = |values: &[f64]| most(values).map(|(row, v)| (v, facts.speed_at(row)));
    let at_wheels = facts.wheel.and_then(|wheel| {
        let powers: Vec<f64> = wheel.power.iter().map(|power| power.0).collect();
        most(&powers).map(|(point, power)| (power, wheel.speeds.get(point).copied()))
    });
    let limits = facts.limits;
    let torque = limits
        .torque
        .map(|limit| over("highest torque", torque.and_then(highest), limit, Quantity::Torque));
    let power = limits.power.map(|limit| {
        let seen = power.as_deref().and_then(highest).or(at_wheels);
        over("highest power", seen, limit, Quantity::Power)
    });
    torque.into_iter().chain(power).collect()
}

/// The highest reading and its engine speed against a limit.
fn over(
    what: &'static str,
    seen: Option<(f64, Option<f64>)>,
    limit: Stated,
    quantity: Quantity,
) -> Check {
    let Some((value, at)) = seen else { return Check::not_seen(what, "the log does not hold it") };
    let check = if value > limit.value {
        Check::new(what, Verdict::Stop, "more than is allowed").remedy(
            "no more pulls to this load: shaft, coupling, absorber or straps are not for it",
        )
    } else {
        Check::new(what, Verdict::InOrder, "below the limit")
    };
    check.seen(value, quantity).at(at).bound(bound(limit, quantity, true))
}

/// A drop of torque within 0.3 s that comes back: misfire, valve float, fuel that runs out.
fn hole(facts: &Facts) -> Check {
    const WHAT: &str = "holes in torque";
    let (Some(torque), time) = (facts.read(Channel::Torque), facts.time()) else {
        return Check::not_seen(WHAT, "the log has no torque as read");
    };
    if time.is_empty() || !facts.sweeps() {
        return Check::not_seen(WHAT, "only a sweep shows them");
    }
    let Some((row, share)) = deepest(torque, time) else {
        return Check::not_seen(WHAT, "too few readings");
    };
    let limit = facts.limits.torque_drop;
    let check = if share > limit.value {
        Check::new(WHAT, Verdict::Stop, "torque drops at once, more than any curve does")
            .remedy("misfire, valve float, fuel or ignition break-up: look before the next pull")
    } else {
        Check::new(WHAT, Verdict::InOrder, "none")
    };
    let check = check.seen(-share, Quantity::Fraction).at(facts.speed_at(row));
    let limit = Stated { value: -limit.value, ..limit };
    check.bound(bound(limit, Quantity::Fraction, false))
}

/// Row and depth of the deepest fall of the local middle of torque within [`WITHIN`], as a share of
/// the middle before; the setting off and the last tenth, in which the operator closes the throttle,
/// are left out.
fn deepest(torque: &[f64], time: &[f64]) -> Option<(usize, f64)> {
    let until = torque.len() - torque.len() / 10;
    let smooth: Vec<f64> = (0..until).map(|row| middle(torque, row)).collect();
    let mut worst = None;
    let first = time.partition_point(|t| t - time[0] < SETS_OFF);
    let mut from = first;
    for row in first..until {
        while time[row] - time[from] > WITHIN {
            from += 1;
        }
        if let Some((_, before)) = most(&smooth[from..=row]).filter(|(_, b)| *b > 0.0) {
            let share = 1.0 - smooth[row] / before;
            if worst.is_none_or(|(_, w)| share > w) {
                worst = Some((row, share));
            }
        }
    }
    worst
}

/// Median of three readings: a single odd one is no hole.
fn middle(values: &[f64], row: usize) -> f64 {
    let near = &values[row.saturating_sub(1)..(row + 2).min(values.len())];
    let mut near: Vec<f64> = near.iter().copied().filter(|v| v.is_finite()).collect();
    near.sort_by(f64::total_cmp);
    near.get(near.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Scatter of torque within bins, the middle one.
fn noise(facts: &Facts) -> Check {
    const WHAT: &str = "noise of torque";
    let Some(points) = facts.pull.points(Channel::Torque) else {
        return Check::not_seen(WHAT, "the log has no torque as read");
    };
    let bins = points.mean.iter().zip(&points.scatter).zip(&points.count);
    let mut shares: Vec<f64> = bins
        .filter(|((mean, scatter), count)| **count > 2 && **mean > 0.0 && scatter.is_finite())
        .map(|((mean, scatter), _)| scatter / mean)
        .collect();
    if shares.is_empty() {
        return Check::not_seen(WHAT, "fewer than three readings in every step of 50 rpm");
    }
    shares.sort_by(f64::total_cmp);
    let share = shares[shares.len() / 2];
    let limit = facts.limits.torque_scatter;
    let check = if share > limit.value {
        Check::new(WHAT, Verdict::Watch, "readings scatter widely within 50 rpm")
            .remedy("load cell, its cable, arm and coupling; a brake that hunts")
    } else {
        Check::new(WHAT, Verdict::InOrder, "quiet")
    };
    check.seen(share, Quantity::Fraction).bound(bound(limit, Quantity::Fraction, true))
}

/// Torque with the engine standing, before and after.
pub(super) fn zero(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "zero of the load cell";
    let torque = facts.recording.get(Channel::Torque);
    let (Some(torque), Some(speed)) = (torque, facts.recording.get(Channel::EngineSpeed)) else {
        return vec![Check::not_seen(WHAT, "the log has no torque as read")];
    };
    let stands: Vec<usize> = (0..speed.len()).filter(|&row| speed[row].abs() < STANDS).collect();
    let best = facts.read(Channel::Torque).and_then(most).map_or(f64::NAN, |(_, t)| t);
    let mean = mean_of(torque, stands.iter().copied());
    let (Some(mean), true) = (mean, stands.len() >= ZERO_ROWS) else {
        return vec![
            Check::not_seen(WHAT, "the log does not reach to a standing engine")
                .remedy("let it record with the engine standing before and after"),
        ];
    };
    let share = mean / best;
    let limit = facts.limits.torque_zero;
    let check = if share.abs() > limit.value {
        Check::new(WHAT, Verdict::Watch, "torque is not nothing with the engine standing")
            .remedy("zero the cell, check that arm and hoses hang free, calibrate again")
    } else {
        Check::new(WHAT, Verdict::InOrder, "nothing with the engine standing")
    };
    vec![check.seen(share, Quantity::Fraction).bound(bound(limit, Quantity::Fraction, true))]
}
