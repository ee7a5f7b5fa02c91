//! Temperatures: coolant, oil, inlet air, exhaust.

use super::engine::bound;
use super::{Bound, Check, Facts, Stated, Verdict, first, last, mean_of, most};
use crate::channel::Channel;
use shortblock_units::Quantity;

/// One temperature that is watched.
struct Watched {
    what: &'static str,
    channel: Channel,
    /// Place in the lists of starts.
    place: usize,
}

const WATCHED: [Watched; 2] = [
    Watched { what: "coolant temperature", channel: Channel::CoolantTemperature, place: 0 },
    Watched { what: "oil temperature", channel: Channel::OilTemperature, place: 1 },
];

pub(super) fn temperatures(facts: &Facts) -> Vec<Check> {
    WATCHED.iter().flat_map(|one| one_temperature(facts, one)).collect()
}

fn one_temperature(facts: &Facts, one: &Watched) -> Vec<Check> {
    let Some(values) = facts.read(one.channel) else {
        return vec![Check::not_seen(one.what, "not in the log")];
    };
    let (window, stop) = match one.place {
        0 => (facts.limits.coolant, facts.limits.coolant_stop),
        _ => (facts.limits.oil, facts.limits.oil_stop),
    };
    let (Some(start), Some((row, top))) = (first(values), most(values)) else {
        return vec![Check::not_seen(one.what, "no reading")];
    };
    let limit = |stated: Stated, at_most| bound(stated, Quantity::Temperature, at_most);
    let check = if top > stop.value {
        Check::new(one.what, Verdict::Stop, "too hot")
            .seen(top, Quantity::Temperature)
            .at(facts.speed_at(row))
            .bound(limit(stop, true))
            .remedy("idle it down, then find out why before the next pull")
    } else {
        started(one.what, start, window)
    };
    let mut out = vec![check];
    out.extend(moved(facts, one, start));
    out
}

fn started(what: &'static str, start: f64, [from, to]: [Stated; 2]) -> Check {
    let limit = |stated, at_most| bound(stated, Quantity::Temperature, at_most);
    let check = |verdict, reason: &str, bound: Bound| {
        Check::new(what, verdict, reason).seen(start, Quantity::Temperature).bound(bound)
    };
    if start < from.value {
        check(Verdict::Watch, "cold at the start: a cold engine makes less", limit(from, false))
            .remedy("warm it up and pull again; keep this one out of comparisons with warm ones")
    } else if start > to.value {
        check(Verdict::Watch, "hot at the start", limit(to, true))
            .remedy("let it cool to where the other pulls started")
    } else {
        check(Verdict::InOrder, "within the window at the start", limit(to, true))
    }
}

/// Start against the start of the pull before.
fn moved(facts: &Facts, one: &Watched, start: f64) -> Option<Check> {
    let before = facts.earlier?.starts[one.place]?;
    let limit = facts.limits.between_pulls[one.place];
    let change = start - before;
    (change.abs() > limit.value).then(|| {
        let what = if one.place == 0 {
            "coolant beside the pull before"
        } else {
            "oil temperature beside the pull before"
        };
        Check::new(what, Verdict::Watch, "it started at another temperature than the pull before")
            .seen(change, Quantity::TemperatureDifference)
            .bound(bound(limit, Quantity::TemperatureDifference, true))
            .remedy("start every pull of a comparison at the same temperature")
    })
}

pub(super) fn inlet_rise(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "inlet air";
    let Some(values) = facts.read(Channel::IntakeAirTemperature) else {
        return vec![
            Check::not_seen(WHAT, "the log has no inlet air temperature")
                .remedy("put a sensor at the inlet: the correction lives on it"),
        ];
    };
    let (Some(from), Some(to)) = (first(values), last(values)) else {
        return vec![Check::not_seen(WHAT, "no reading")];
    };
    let limit = facts.limits.inlet_rise;
    let mut out = vec![
        if to - from > limit.value {
            Check::new(WHAT, Verdict::Watch, "it rises over the pull").remedy(
                "more air through the cell, or keep the inlet away from exhaust and radiator",
            )
        } else {
            Check::new(WHAT, Verdict::InOrder, "steady over the pull")
        }
        .seen(to - from, Quantity::TemperatureDifference)
        .bound(bound(limit, Quantity::TemperatureDifference, true)),
    ];
    let before = facts.earlier.and_then(|e| e.starts[2]);
    let between = facts.limits.between_pulls[2];
    out.extend(before.filter(|b| (from - b).abs() > between.value).map(|before| {
        Check::new("inlet air beside the pull before", Verdict::Watch, "other air than before")
            .seen(from - before, Quantity::TemperatureDifference)
            .bound(bound(between, Quantity::TemperatureDifference, true))
            .remedy("read the weather again; wait until the cell is as it was")
    }));
    out
}

/// Hottest less coldest cylinder, each as its mean over the upper quarter of speeds, K.
pub(super) fn exhaust_spread(facts: &Facts) -> Option<f64> {
    let cylinders = facts.family(Channel::ExhaustTemperature);
    let means: Vec<f64> = cylinders
        .iter()
        .filter(|(channel, _)| *channel != Channel::ExhaustTemperature(0))
        .filter_map(|(_, values)| mean_of(values, facts.upper_quarter()))
        .collect();
    let (low, high) = super::ends(&means)?;
    (means.len() > 1).then_some(high - low)
}

pub(super) fn exhaust(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "exhaust temperature";
    let cylinders = facts.family(Channel::ExhaustTemperature);
    let hottest = cylinders
        .iter()
        .filter_map(|(channel, values)| Some((*channel, most(values)?)))
        .max_by(|a, b| a.1.1.total_cmp(&b.1.1));
    let Some((channel, (row, value))) = hottest else {
        return vec![Check::not_seen(WHAT, "the log has no exhaust temperature")];
    };
    let limit = facts.limits.exhaust;
    let check = if value > limit.value {
        Check::new(WHAT, Verdict::Watch, format!("{} is hot", channel.name()))
            .remedy("look at the mixture and the spark of that cylinder")
    } else {
        Check::new(WHAT, Verdict::InOrder, format!("{} is the hottest", channel.name()))
    };
    let check = check.seen(value, Quantity::Temperature).at(facts.speed_at(row));
    let mut out = vec![check.bound(bound(limit, Quantity::Temperature, true))];
    out.extend(exhaust_spread(facts).map(|spread| spread_check(facts, spread)));
    out
}

fn spread_check(facts: &Facts, spread: f64) -> Check {
    const WHAT: &str = "exhaust temperatures, cylinder to cylinder";
    let limit = facts.limits.exhaust_spread;
    let before = facts.earlier.and_then(|e| e.exhaust_spread);
    let (seen, reason) = match before {
        Some(before) => ((spread - before).abs(), "changed from the pull before"),
        None => (spread, "spread over the cylinders"),
    };
    let check = if seen > limit.value {
        Check::new(WHAT, Verdict::Watch, reason)
            .remedy("one cylinder is unlike the others: injector, plug, leak, valve")
    } else {
        Check::new(WHAT, Verdict::InOrder, "much alike")
    };
    let check = check.seen(seen, Quantity::TemperatureDifference);
    check.bound(bound(limit, Quantity::TemperatureDifference, true))
}
