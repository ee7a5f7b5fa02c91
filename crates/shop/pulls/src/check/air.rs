//! Manifold, throttle, weather: whether the engine got its air, and which.

use super::engine::bound;
use super::{Check, Facts, Stated, Verdict, Weather, mean_of, most};
use crate::channel::Channel;
use shortblock_units::Quantity;

/// Pressure of the air when nobody read it, Pa: ISO 2533.
const STANDARD: f64 = 101_325.0;

pub(super) fn manifold(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "manifold at full throttle";
    let depression = match (facts.read(Channel::ManifoldPressure), facts.read(Channel::Boost)) {
        (Some(absolute), _) => {
            let Some(air) = facts.read(Channel::Barometer).and_then(|b| mean_of(b, 0..b.len()))
            else {
                return vec![Check::not_seen(WHAT, "absolute, and the log has no barometer")];
            };
            mean_of(absolute, facts.upper_quarter()).map(|p| air - p)
        }
        (None, Some(gauge)) => mean_of(gauge, facts.upper_quarter()).map(|p| -p),
        (None, None) => None,
    };
    let Some(depression) = depression else {
        return vec![Check::not_seen(WHAT, "the log has no manifold pressure")];
    };
    if facts.limits.boosted {
        let reason = "boost; no target is written down";
        return vec![Check::not_seen(WHAT, reason).seen(-depression, Quantity::GaugePressure)];
    }
    let limit = facts.limits.manifold_depression;
    let check = if depression > limit.value {
        Check::new(WHAT, Verdict::Watch, "well below the air outside: the engine is strangled")
            .remedy("throttle fully open? cleaner, duct, restrictor as meant?")
    } else if depression < -0.03 * STANDARD {
        Check::new(WHAT, Verdict::Watch, "above the air outside, in an engine without compressor")
            .remedy("check the sensor's zero and the barometer")
    } else {
        Check::new(WHAT, Verdict::InOrder, "close to the air outside")
    };
    let check = check.seen(-depression, Quantity::GaugePressure);
    let limit = Stated { value: -limit.value, ..limit };
    vec![check.bound(bound(limit, Quantity::GaugePressure, false))]
}

pub(super) fn throttle(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "throttle";
    let Some(values) = facts.read(Channel::Throttle) else {
        return vec![
            Check::not_seen(WHAT, "the log has no throttle position")
                .remedy("look at the blades with the pedal down"),
        ];
    };
    let reached = mean_of(values, facts.upper_quarter()).or_else(|| most(values).map(|m| m.1));
    let limit = facts.limits.throttle;
    let Some(reached) = reached else { return vec![Check::not_seen(WHAT, "no reading")] };
    let check = if reached < limit.value {
        Check::new(WHAT, Verdict::Watch, "not fully open")
            .remedy("adjust cable or stop, or scale the sensor from shut to open")
    } else {
        Check::new(WHAT, Verdict::InOrder, "open")
    };
    vec![check.seen(reached, Quantity::Fraction).bound(bound(limit, Quantity::Fraction, false))]
}

pub(super) fn weather(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "weather";
    match facts.weather {
        Weather::Unknown => {
            vec![Check::new(
            WHAT,
            Verdict::Watch,
            "no pressure, temperature and humidity: torque stays as read",
        )
        .remedy("read station pressure, temperature and humidity at the inlet within half an hour")]
        }
        Weather::Known(remarks) if remarks.is_empty() => {
            vec![Check::new(WHAT, Verdict::InOrder, "read, fresh, within the standard's window")]
        }
        Weather::Known(remarks) => {
            vec![
                Check::new(WHAT, Verdict::Watch, remarks.join("; "))
                    .remedy("read the weather again at the inlet"),
            ]
        }
    }
}
