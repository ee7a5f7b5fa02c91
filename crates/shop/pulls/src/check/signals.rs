//! Channels that stand still, rows that are missing.

use super::{Check, Facts, Verdict};
use crate::channel::Channel;
use shortblock_units::Quantity;

/// A reading that never moves for this long, s, while engine speed does, is stuck.
const STUCK_FOR: f64 = 1.0;
/// Rows further apart than this many usual steps are a gap.
const GAP: f64 = 3.0;
/// Share of rows that may be missing.
const MISSING: f64 = 0.02;

/// Channels whose reading may well stand still over a pull.
fn may_stand_still(channel: Channel) -> bool {
    matches!(
        channel,
        Channel::Throttle
            | Channel::Barometer
            | Channel::RelativeHumidity
            | Channel::DryPressure
            | Channel::VapourPressure
            | Channel::DewPoint
            | Channel::WetBulb
            | Channel::CellAirTemperature
            | Channel::IntakeAirTemperature
            | Channel::CoolantTemperature
            | Channel::CoolantInTemperature
            | Channel::OilTemperature
            | Channel::FuelTemperature
            | Channel::CorrectionFactor
            | Channel::SparkAdvance
            | Channel::Gear
            | Channel::Battery
            | Channel::DriveRatio
            | Channel::SweepRate
            | Channel::Knock(_)
    )
}

pub(super) fn frozen(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "stuck readings";
    let time = facts.time();
    if time.is_empty() || !facts.sweeps() {
        return vec![Check::not_seen(
            WHAT,
            "only a sweep shows them: held readings may stand still",
        )];
    }
    let rows = facts.pull.stretch.rows.clone();
    let worst = facts
        .recording
        .channels
        .iter()
        .filter(|recorded| !may_stand_still(recorded.channel))
        .filter_map(|recorded| {
            let (row, lasted) = longest_still(recorded.values.get(rows.clone())?, time)?;
            Some((recorded.channel, row, lasted))
        })
        .filter(|(_, _, lasted)| *lasted > STUCK_FOR)
        .max_by(|a, b| a.2.total_cmp(&b.2));
    vec![match worst {
        Some((channel, row, lasted)) => {
            let reason =
                format!("{} reads the same while the engine's speed changes", channel.name());
            Check::new(WHAT, Verdict::Watch, reason)
                .seen(lasted, Quantity::Time)
                .at(facts.speed_at(row))
                .remedy("sensor, plug or cable; do not believe that channel of this pull")
        }
        None => Check::new(WHAT, Verdict::InOrder, "every reading that should move does"),
    }]
}

/// First row and length, s, of the longest run of exactly equal readings. A reading that has few
/// steps over the whole pull (a coarse scale) is not stuck but coarse.
fn longest_still(values: &[f64], time: &[f64]) -> Option<(usize, f64)> {
    let mut from = 0;
    let mut longest: Option<(usize, f64)> = None;
    let mut runs = 0usize;
    for row in 1..=values.len().min(time.len()) {
        if row < values.len() && values[row] == values[from] {
            continue;
        }
        if values[from].is_finite() {
            let lasted = time[row - 1] - time[from];
            runs += 1;
            if longest.is_none_or(|(_, l)| lasted > l) {
                longest = Some((from, lasted));
            }
        }
        from = row;
    }
    let (row, lasted) = longest?;
    let whole = time[values.len().min(time.len()) - 1] - time[0];
    // In a coarse scale every step lasts; a stuck one lasts much longer than the others.
    let usual = (whole - lasted) / runs.saturating_sub(1).max(1) as f64;
    (runs == 1 || lasted > 5.0 * usual).then_some((row, lasted))
}

pub(super) fn gaps(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "lost samples";
    let time = facts.time();
    let mut steps: Vec<f64> =
        time.windows(2).map(|w| w[1] - w[0]).filter(|s| s.is_finite()).collect();
    if steps.is_empty() {
        return vec![Check::not_seen(WHAT, "the log has no time")];
    }
    let widest = super::most(&steps).unwrap_or((0, 0.0));
    steps.sort_by(f64::total_cmp);
    let usual = steps[steps.len() / 2];
    let missing = missing_share(facts);
    let check = if usual > 0.0 && widest.1 > GAP * usual {
        Check::new(WHAT, Verdict::Watch, "rows are missing: the widest gap")
            .seen(widest.1, Quantity::Time)
            .at(facts.speed_at(widest.0))
            .remedy("logger too slow, or its memory full: pull again if it matters there")
    } else if let Some((channel, share)) = missing.filter(|(_, share)| *share > MISSING) {
        Check::new(WHAT, Verdict::Watch, format!("{} has empty cells", channel.name()))
            .seen(share, Quantity::Fraction)
            .remedy("sensor or cable; its averages rest on what is left")
    } else {
        Check::new(WHAT, Verdict::InOrder, "none; readings come every").seen(usual, Quantity::Time)
    };
    vec![check]
}

/// The channel with the greatest share of missing readings; channels of a slower group that ends
/// early are whole columns and count like any other.
fn missing_share(facts: &Facts) -> Option<(Channel, f64)> {
    let rows = facts.pull.stretch.rows.clone();
    let share = |values: &[f64]| {
        values.iter().filter(|v| !v.is_finite()).count() as f64 / values.len().max(1) as f64
    };
    let channels = facts.recording.channels.iter();
    let shares = channels.filter_map(|c| Some((c.channel, share(c.values.get(rows.clone())?))));
    shares.max_by(|a, b| a.1.total_cmp(&b.1))
}
