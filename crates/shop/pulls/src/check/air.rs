//! Manifold, throttle, weather: whether the engine got its air, and which.

use super::engine::bound;
use super::{Check, Facts, Stated, Verdict, Weather, mean_of, most};
use crate::channel::Channel;
use shortblock_units::Quantity;

/// Pressure of the air when nobody read it, Pa: ISO 2533.
const STANDARD: f64 = 101_325.0;

pub(super) fn manifold(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "manifold at full throttle";
    if facts.limits.boosted {
        return Vec::new();
    }
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
    let limit = facts.limits.manifold_depression;
    let check = if depression > limit.value {
        Check::new(WHAT, Verdict::Watch, "well below the air outside: the engine is strangled")
            .remedy("throttle fully open? cleaner, duct, restrictor as meant?")
    } else if depression < -0.03 * STANDARD {
        Check::new(WHAT, Verdict::Watch, "above the air outside, in an engine without compressor")
            .remedy(
                "check the sensor's zero and the barometer; with a compressor, write  induction  in \
                 the session's file",
            )
    } else {
        Check::new(WHAT, Verdict::InOrder, "close to the air outside")
    };
    let check = check.seen(-depression, Quantity::GaugePressure);
    let limit = Stated { value: -limit.value, ..limit };
    vec![check.bound(bound(limit, Quantity::GaugePressure, false))]
}

/// Highest boost, of an engine with a compressor or with a limit on it.
pub(super) fn boost(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "highest boost";
    let limit = facts.limits.boost;
    if limit.is_none() && !facts.limits.boosted {
        return Vec::new();
    }
    let gauge = facts.read(Channel::Boost).map(<[f64]>::to_vec).or_else(|| {
        let absolute = facts.read(Channel::ManifoldPressure)?;
        let outside = mean_of(facts.read(Channel::Barometer)?, 0..absolute.len())?;
        Some(absolute.iter().map(|p| p - outside).collect())
    });
    let Some((row, value)) = gauge.as_deref().and_then(most) else {
        return vec![Check::not_seen(WHAT, "the log has neither boost nor manifold and barometer")];
    };
    let check = match limit {
        None => {
            let remedy = "write  boost  under [limits] of the session's or the dyno's file";
            Check::not_seen(WHAT, "no highest boost is written down").remedy(remedy)
        }
        Some(limit) if value > limit.value => {
            Check::new(WHAT, Verdict::Stop, "more than is allowed").remedy(
                "find out why before the next pull: wastegate, bypass, pulley, hose, sensor",
            )
        }
        Some(_) => Check::new(WHAT, Verdict::InOrder, "below the limit"),
    };
    let check = check.seen(value, Quantity::GaugePressure).at(facts.speed_at(row));
    vec![match limit {
        Some(limit) => check.bound(bound(limit, Quantity::GaugePressure, true)),
        None => check,
    }]
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
        Weather::InTheFile => {
            vec![
                Check::new(WHAT, Verdict::Watch, "corrected by the file, by a factor not stated")
                    .remedy("export it as read, or write  corrected_by  at its [[pull]]"),
            ]
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
