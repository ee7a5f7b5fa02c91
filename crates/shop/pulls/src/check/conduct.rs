//! How the pull was driven: rate, evenness, whether it got to its end.

use super::engine::bound;
use super::{Check, Facts, Verdict};
use crate::channel::Channel;
use crate::sweep::Kind;
use shortblock_units::Quantity;

/// A sweep that ends below this share of the last speed of the pull before is short (ours).
const SHORT: f64 = 0.95;

pub(super) fn sweep(facts: &Facts) -> Vec<Check> {
    let stretch = &facts.pull.stretch;
    let mut out = Vec::new();
    if let Some(reason) = stretch.broken_off {
        let words = match reason {
            crate::sweep::BrokenOff::SignalLost => "the speed signal was lost",
            crate::sweep::BrokenOff::ShortOf(_) => "it ends short of another sweep of this file",
        };
        out.push(
            Check::new("end of the sweep", Verdict::Watch, words)
                .at(Some(stretch.to))
                .remedy("if the engine was shut off for a reason, find it; else pull again"),
        );
    }
    out.extend(end(facts));
    let (Some(rate), Kind::SweepUp | Kind::SweepDown) = (stretch.rate, stretch.kind) else {
        return out;
    };
    out.push(evenness(facts, rate.went_back));
    out.push(rate_check(facts, rate.mean));
    out
}

/// A sweep that nothing else in its log tells to be short.
fn end(facts: &Facts) -> Option<Check> {
    const WHAT: &str = "end of the sweep";
    let stretch = &facts.pull.stretch;
    if stretch.broken_off.is_some() || stretch.kind != Kind::SweepUp {
        return None;
    }
    let speed = |si| super::Figure { si, quantity: Quantity::EngineSpeed };
    let before = facts.earlier.and_then(|e| e.to).filter(|to| stretch.to < SHORT * to);
    let watch = |words: &str| {
        Check::new(WHAT, Verdict::Watch, words)
            .seen(stretch.to, Quantity::EngineSpeed)
            .remedy("if the engine was shut off for a reason, find it; else pull again to the top")
    };
    if let Some(before) = before {
        let figure = speed(SHORT * before);
        let limit = super::Bound { figure, at_most: false, from: super::From::Chosen };
        return Some(watch("it ends short of where the pull before got to").bound(limit));
    }
    let best = "torque is at its best where it ends: broken off, or the engine has more to give";
    facts.pull.ends_at_its_best().then(|| watch(best))
}

fn evenness(facts: &Facts, went_back: f64) -> Check {
    const WHAT: &str = "engine speed going back in the sweep";
    let limit = facts.limits.went_back;
    let check = if went_back > limit.value {
        Check::new(WHAT, Verdict::Watch, "speed went back on its way")
            .remedy("brake control or pickup: a speed that jumps makes power that is not there")
    } else {
        Check::new(WHAT, Verdict::InOrder, "one way all along")
    };
    let limit = bound(limit, Quantity::EngineSpeed, true);
    check.seen(went_back, Quantity::EngineSpeed).bound(limit)
}

fn rate_check(facts: &Facts, rate: f64) -> Check {
    const WHAT: &str = "sweep rate";
    let planned = facts.limits.planned_rate.map(|p| (p.value, "planned"));
    // On a roller that is free to run away the rate follows from power.
    let held = facts.recording.get(Channel::RollerSpeed).is_none();
    let before = facts.earlier.and_then(|e| e.rate).filter(|_| held);
    let before = before.map(|r| (r, "the pull before"));
    let Some((wanted, of)) = planned.or(before) else {
        let reason = match held {
            true => "no rate is planned and there is no pull before",
            false => "no rate is planned; on a roller it follows from power",
        };
        return Check::not_seen(WHAT, reason).seen(rate, Quantity::SweepRate);
    };
    let off = rate.abs() / wanted.abs() - 1.0;
    let check = if off.abs() > facts.limits.rate.value {
        let reason = format!("not the rate of {}", if of == "planned" { "the plan" } else { of });
        Check::new(WHAT, Verdict::Watch, reason).remedy(
            "a faster sweep hides more torque in its own inertia: compare only equal rates, or \
             state the inertia",
        )
    } else {
        Check::new(WHAT, Verdict::InOrder, "as it should be")
    };
    let limit = super::Stated { value: wanted.abs(), from: super::From::PullBefore };
    let limit = facts.limits.planned_rate.unwrap_or(limit);
    check.seen(rate.abs(), Quantity::SweepRate).bound(bound(limit, Quantity::SweepRate, off > 0.0))
}
