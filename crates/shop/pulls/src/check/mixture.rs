//! Mixture and fuel: the fastest ways to hurt an engine.

use super::engine::bound;
use super::{Check, Facts, Stated, Verdict, first, least, mean_of, most};
use crate::channel::Channel;
use shortblock_units::Quantity;

/// A lean mixture counts from this long on, s.
const LEAN_FOR: f64 = 0.2;

pub(super) fn lambda(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "mixture";
    let mut sensors = facts.family(Channel::Lambda);
    sensors.extend(facts.family(Channel::CylinderLambda));
    if sensors.is_empty() {
        return vec![
            Check::not_seen(WHAT, "the log has no mixture")
                .remedy("no full-load pull without a mixture sensor that works"),
        ];
    }
    let limit = facts.limits.lambda;
    let leanest = sensors
        .iter()
        .filter_map(|(channel, values)| {
            let rows = longest_lean(facts, values, limit.value);
            rows.map(|row| (*channel, row, values[row]))
        })
        .max_by(|a, b| a.2.total_cmp(&b.2));
    let mut out = vec![match leanest {
        Some((channel, row, value)) => {
            Check::new(WHAT, Verdict::Stop, format!("{} is too lean at full load", channel.name()))
                .seen(value, Quantity::Ratio)
                .at(facts.speed_at(row))
                .bound(bound(limit, Quantity::Ratio, true))
                .remedy("stop: find the fuel before the next pull (pressure, pump, filter, jets)")
        }
        None => safe(facts, &sensors, limit),
    }];
    out.extend(banks(facts, &sensors));
    out
}

/// In order, or away from the target that was stated.
fn safe(facts: &Facts, sensors: &[(Channel, &[f64])], limit: Stated) -> Check {
    let leanest = sensors.iter().filter_map(|(_, v)| most(v)).max_by(|a, b| a.1.total_cmp(&b.1));
    let (row, value) = leanest.unwrap_or((0, f64::NAN));
    let check = Check::new("mixture", Verdict::InOrder, "never too lean for long");
    let check = check.seen(value, Quantity::Ratio).at(facts.speed_at(row));
    let check = check.bound(bound(limit, Quantity::Ratio, true));
    let Some(target) = facts.limits.lambda_target else { return check };
    let away = sensors
        .iter()
        .filter_map(|(channel, values)| Some((*channel, mean_of(values, 0..values.len())?)))
        .max_by(|a, b| (a.1 - target.value).abs().total_cmp(&(b.1 - target.value).abs()));
    match away {
        Some((channel, mean)) if (mean - target.value).abs() > facts.limits.lambda_spread.value => {
            let reason = format!("{} is away from what was wanted, on average", channel.name());
            Check::new("mixture", Verdict::Watch, reason)
                .seen(mean, Quantity::Ratio)
                .bound(bound(target, Quantity::Ratio, mean > target.value))
                .remedy("set the mixture before the pull counts")
        }
        _ => check,
    }
}

/// The leanest row of a stretch longer than [`LEAN_FOR`] in which lambda is above the limit.
fn longest_lean(facts: &Facts, values: &[f64], limit: f64) -> Option<usize> {
    let time = facts.time();
    let mut start: Option<usize> = None;
    for row in 0..=values.len() {
        let lean = facts.counts(row) && values.get(row).is_some_and(|v| *v > limit);
        match (lean, start) {
            (true, None) => start = Some(row),
            (false, Some(from)) => {
                let lasted = match (time.get(from), time.get(row - 1)) {
                    (Some(from), Some(to)) => to - from > LEAN_FOR,
                    _ => true,
                };
                if lasted {
                    return most(&values[from..row]).map(|(i, _)| from + i);
                }
                start = None;
            }
            _ => {}
        }
    }
    None
}

/// Banks against each other.
fn banks(facts: &Facts, sensors: &[(Channel, &[f64])]) -> Option<Check> {
    let bank = |n| sensors.iter().find(|(channel, _)| *channel == Channel::Lambda(n));
    let (one, two) = (bank(1)?.1, bank(2)?.1);
    let difference: Vec<f64> = one.iter().zip(two).map(|(a, b)| a - b).collect();
    let mean = mean_of(&difference, 0..difference.len())?;
    let limit = facts.limits.lambda_spread;
    let check = if mean.abs() > limit.value {
        Check::new("mixture, bank 1 less bank 2", Verdict::Watch, "the banks differ")
            .remedy("swap the sensors to see whether it moves with them")
    } else {
        Check::new("mixture, bank 1 less bank 2", Verdict::InOrder, "the banks agree")
    };
    Some(check.seen(mean, Quantity::Ratio).bound(bound(limit, Quantity::Ratio, true)))
}

pub(super) fn fuel_pressure(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "fuel pressure over the pull";
    let Some(values) = facts.read(Channel::FuelPressure) else {
        return vec![Check::not_seen(WHAT, "the log has no fuel pressure")];
    };
    // Pressure above the manifold is what an injector sees; a regulator that refers to it holds that.
    let above: Vec<f64> = match facts.read(Channel::Boost) {
        Some(boost) if facts.limits.boosted => {
            values.iter().zip(boost).map(|(p, b)| p - b).collect()
        }
        _ => values.to_vec(),
    };
    let start = mean_of(&above, 0..(above.len() / 10).max(1)).or_else(|| first(&above));
    let (Some(start), Some((row, low))) = (start, least(&above)) else {
        return vec![Check::not_seen(WHAT, "no reading")];
    };
    let drop = 1.0 - low / start;
    let [watch, stop] = facts.limits.fuel_pressure_drop;
    let base = |verdict, reason: &str, limit: Stated| {
        let limit = Stated { value: -limit.value, ..limit };
        Check::new(WHAT, verdict, reason)
            .seen(-drop, Quantity::Fraction)
            .at(facts.speed_at(row))
            .bound(bound(limit, Quantity::Fraction, false))
    };
    vec![if drop > stop.value {
        base(Verdict::Stop, "it falls as the engine asks for more", stop).remedy(
            "pump, filter, line, voltage at the pump: a lean engine melts; look before pulling",
        )
    } else if drop > watch.value {
        base(Verdict::Watch, "it falls as the engine asks for more", watch)
            .remedy("look at the filter, the pump's voltage and the mixture at the top")
    } else {
        base(Verdict::InOrder, "it holds", watch)
    }]
}

pub(super) fn injectors(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "injector duty";
    let duty = facts.read(Channel::InjectorDuty).map(<[f64]>::to_vec).or_else(|| {
        let pulse = facts.read(Channel::InjectorPulse)?;
        // A four-stroke engine has one cycle in two turns, 4 pi radians.
        let cycles = facts.speed().iter().map(|speed| speed / (4.0 * std::f64::consts::PI));
        Some(pulse.iter().zip(cycles).map(|(pulse, rate)| pulse * rate).collect())
    });
    let Some((row, value)) = duty.as_deref().and_then(most) else {
        return vec![Check::not_seen(WHAT, "the log has neither injector duty nor opening time")];
    };
    let [watch, stop] = facts.limits.injector_duty;
    let base = |verdict, reason: &str, limit: Stated| {
        Check::new(WHAT, verdict, reason)
            .seen(value, Quantity::Fraction)
            .at(facts.speed_at(row))
            .bound(bound(limit, Quantity::Fraction, true))
    };
    vec![if value > stop.value {
        base(Verdict::Stop, "the injectors hardly close any more", stop)
            .remedy("larger injectors or more pressure; no further pull at this speed")
    } else if value > watch.value {
        base(Verdict::Watch, "little is left", watch).remedy("plan larger injectors")
    } else {
        base(Verdict::InOrder, "enough is left", watch)
    }]
}

/// Air meter against fuel and mixture: two instruments that must tell the same.
pub(super) fn triangle(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "air meter beside fuel and mixture";
    let sensor = (0..=2).find_map(|bank| facts.read(Channel::Lambda(bank)));
    let (Some(air), Some(fuel), Some(lambda)) =
        (facts.read(Channel::AirFlow), facts.read(Channel::FuelFlow), sensor)
    else {
        return vec![Check::not_seen(WHAT, "the log has not all of air flow, fuel flow, lambda")];
    };
    let rows = air.iter().zip(fuel).zip(lambda);
    let ratios: Vec<f64> = rows.map(|((a, f), l)| a / (f * l)).collect();
    let Some(mean) = mean_of(&ratios, facts.upper_quarter()) else {
        return vec![Check::not_seen(WHAT, "no rows with all three")];
    };
    let off = mean / PETROL - 1.0;
    let limit = facts.limits.triangle;
    let check = if off.abs() > limit.value {
        let reason = "air flow and fuel flow times lambda disagree, for petrol";
        Check::new(WHAT, Verdict::Watch, reason)
            .remedy("one of the three is wrong, or the fuel is not petrol: check the meters")
    } else {
        Check::new(WHAT, Verdict::InOrder, "they agree, for petrol")
    };
    vec![check.seen(off, Quantity::Fraction).bound(bound(limit, Quantity::Fraction, true))]
}

/// Stoichiometric air-fuel ratio of petrol: 14.6 (Heywood 1988, table D.4, from memory).
const PETROL: f64 = 14.6;
