//! Whether the channels of a log tell of the same moment.
//!
//! Opening and closing the throttle moves manifold, torque, fuel and mixture at once; each is read
//! against it by the lag of their rates. What is stated for a channel is taken off.

use super::{Bound, Check, Facts, Figure, From, Verdict, ends};
use crate::channel::Channel;
use crate::lag::{Delay, estimate_lag};
use crate::pull::Done;
use shortblock_units::Quantity;
use std::ops::Range;

/// Time looked at before and after the pull, s: the throttle opens before and closes after it.
const AROUND: (f64, f64) = (10.0, 5.0);
/// Lags up to this are looked for, s.
const REACH: f64 = 2.0;
/// A lead that moves by less than this share of its greatest is none.
const MOVES: f64 = 0.3;
/// Lags are looked for in steps of at least this, s: rates are taken over five times as much, so that a
/// finer step tells no more.
const STEP: f64 = 0.02;
/// Away from the lag that is stated, s (common practice, no source).
const STATED: f64 = 0.05;
/// Without a stated lag, s: manifolds fill and load cells settle within less (ours).
const UNSTATED: f64 = 0.5;
/// The same of a mixture sensor: exhaust comes down a long pipe to a slow sensor within less (ours).
const MIXTURE: f64 = 1.0;

/// Channels that follow the throttle.
const FOLLOW: [Channel; 7] = [
    Channel::Torque,
    Channel::ManifoldPressure,
    Channel::FuelFlow,
    Channel::AirFlow,
    Channel::Lambda(0),
    Channel::Lambda(1),
    Channel::Lambda(2),
];

/// A channel beside the lead.
struct Late {
    channel: Channel,
    /// Beyond what is stated, s.
    off: f64,
    plus_minus: f64,
    limit: f64,
}

pub(super) fn alignment(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "time alignment of the channels";
    let rows = around(facts);
    let moves = |channel: &Channel| {
        let span = facts.recording.get(*channel)?.get(rows.clone()).and_then(ends)?;
        (span.1 > 0.0 && span.1 - span.0 > MOVES * span.1).then_some(*channel)
    };
    let lead = [Channel::Throttle, Channel::ManifoldPressure].iter().find_map(moves);
    let (Some(lead), true) = (lead, rows.len() > 1) else {
        let reason = "needs a throttle that opens or closes in the log";
        return vec![Check::not_seen(WHAT, reason)];
    };
    let mut told: Vec<Late> =
        FOLLOW.into_iter().filter_map(|channel| late(facts, lead, channel, &rows)).collect();
    // The clearest breach first.
    told.sort_by(|a, b| beyond(b).total_cmp(&beyond(a)));
    let Some(worst) = told.first() else {
        return vec![Check::not_seen(
            WHAT,
            "nothing changes quickly enough with the throttle to tell",
        )];
    };
    let name = worst.channel.name();
    let behind = lead.name();
    let check = if beyond(worst) > 0.0 {
        let way = if worst.off > 0.0 { "late" } else { "early" };
        let than =
            if worst.limit == STATED { ", beside the lag that is stated for it" } else { "" };
        Check::new(WHAT, Verdict::Watch, format!("{name} comes {way} behind {behind}{than}")).remedy(
            "a channel of another logger, a filter, a long pipe: state its lag under  lags  of the \
             dyno's record, or its curve lies at the wrong speeds",
        )
    } else {
        Check::new(WHAT, Verdict::InOrder, format!("{name} is the latest behind {behind}"))
    };
    let (figure, early) = (worst.limit.copysign(worst.off), worst.off < 0.0);
    let from = if worst.limit == STATED { From::CommonPractice } else { From::Chosen };
    let figure = Figure { si: figure, quantity: Quantity::Time };
    let bound = Bound { figure, at_most: !early, from };
    // No log is read to less than a millisecond.
    vec![check.seen((1e3 * worst.off).round() / 1e3, Quantity::Time).bound(bound)]
}

/// How far a lag lies beyond its limit with its ± taken off, s.
fn beyond(late: &Late) -> f64 {
    late.off.abs() - late.plus_minus - late.limit
}

fn late(facts: &Facts, lead: Channel, channel: Channel, rows: &Range<usize>) -> Option<Late> {
    if channel == lead {
        return None;
    }
    let time = facts.recording.time.get(rows.clone())?;
    let every = stride(time);
    let thinned = |values: &[f64]| values.iter().step_by(every).copied().collect::<Vec<f64>>();
    let read = |channel| Some(thinned(facts.recording.get(channel)?.get(rows.clone())?));
    let found = estimate_lag(&thinned(time), &read(lead)?, &read(channel)?, REACH).ok()?;
    let stated = facts.pull.done.iter().find_map(|done| match done {
        Done::Shifted(lag) if lag.channel == channel => Some(lag.delay),
        _ => None,
    });
    // A lag that goes with the flow is no one figure.
    let (stated, limit) = match stated {
        Some(Delay::Fixed(lag)) => (lag, STATED),
        Some(Delay::Mixture(_)) => return None,
        None if matches!(channel, Channel::Lambda(_)) => (0.0, MIXTURE),
        None => (0.0, UNSTATED),
    };
    let (off, plus_minus) = (found.lag - stated, found.plus_minus);
    found.is_clear().then_some(Late { channel, off, plus_minus, limit })
}

/// Rows in one step of [`STEP`]: a log of thousands of rows a second tells no more of a lag, and takes
/// its square longer.
fn stride(time: &[f64]) -> usize {
    let step = match time {
        [first, .., last] => (last - first) / (time.len() - 1) as f64,
        _ => return 1,
    };
    if step > 0.0 { ((STEP / step) as usize).max(1) } else { 1 }
}

/// Rows around the pull, within its part of the recording.
fn around(facts: &Facts) -> Range<usize> {
    let stretch = &facts.pull.stretch;
    let parts = facts.recording.part_rows();
    let part = parts.get(stretch.part).cloned().unwrap_or(0..facts.recording.rows());
    let time = &facts.recording.time;
    let (Some(first), Some(last)) =
        (time.get(stretch.rows.start), time.get(stretch.rows.end.saturating_sub(1)))
    else {
        return 0..0;
    };
    let near = |row: &usize| {
        time.get(*row).is_some_and(|t| (first - AROUND.0..=last + AROUND.1).contains(t))
    };
    let mut rows = part.filter(near);
    let from = rows.next().unwrap_or(0);
    from..rows.next_back().map_or(from, |last| last + 1)
}
