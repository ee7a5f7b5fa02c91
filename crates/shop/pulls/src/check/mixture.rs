//! Mixture and fuel: the fastest ways to hurt an engine.

use super::engine::bound;
use super::{Check, Facts, Stated, Verdict, first, least, mean_of, most};
use crate::channel::Channel;
use crate::derived::{Agreement, AirFlows, air_flow_from_fuel};
use shortblock_units::Quantity;

/// A lean mixture counts from this long on, s.
const LEAN_FOR: f64 = 0.2;
/// So long after the throttle opened a sensor still tells of what was before, s (common practice, no
/// source).
const SETTLES: f64 = 1.0;
/// Share of its widest opening below which a throttle is not open.
const OPEN: f64 = 0.9;

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
    let reason = match value > limit.value {
        true => "leaner than the limit for a moment only",
        false => "never too lean",
    };
    let check = Check::new("mixture", Verdict::InOrder, reason);
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
    let settled = settled(facts, values.len());
    let mut start: Option<usize> = None;
    for row in 0..=values.len() {
        let above = values.get(row).is_some_and(|v| *v > limit);
        let lean = facts.counts(row) && above && settled.get(row) != Some(&false);
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

/// For each of `count` rows, whether the throttle has been open for long enough, also before the
/// stretch; true where nothing is known of it.
fn settled(facts: &Facts, count: usize) -> Vec<bool> {
    let (recording, from) = (facts.recording, facts.pull.stretch.rows.start);
    let widest = facts.read(Channel::Throttle).and_then(most).map(|(_, widest)| widest);
    let Some((throttle, widest)) = recording.get(Channel::Throttle).zip(widest) else {
        return vec![true; count];
    };
    let mut shut: Option<f64> = None;
    let mut out = Vec::with_capacity(count);
    for (row, (time, opening)) in recording.time.iter().zip(throttle).enumerate() {
        if row >= from + count {
            break;
        }
        if *opening < OPEN * widest {
            shut = Some(*time);
        }
        if row >= from {
            out.push(shut.is_none_or(|shut| time - shut > SETTLES));
        }
    }
    out
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
    let mut out: Vec<Check> = least_pressure(facts, values).into_iter().collect();
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
    out.push(if drop > stop.value {
        base(Verdict::Stop, "it falls as the engine asks for more", stop).remedy(
            "pump, filter, line, voltage at the pump: a lean engine melts; look before pulling",
        )
    } else if drop > watch.value {
        base(Verdict::Watch, "it falls as the engine asks for more", watch)
            .remedy("look at the filter, the pump's voltage and the mixture at the top")
    } else {
        base(Verdict::InOrder, "it holds", watch)
    });
    out
}

/// The lowest reading against the lowest that is allowed, where somebody wrote one down.
fn least_pressure(facts: &Facts, values: &[f64]) -> Option<Check> {
    const WHAT: &str = "lowest fuel pressure";
    let limit = facts.limits.fuel_pressure?;
    let (row, low) = least(values)?;
    let check = if low < limit.value {
        Check::new(WHAT, Verdict::Stop, "below the lowest that is allowed")
            .remedy("pump, filter, line, regulator: a lean engine melts; look before pulling")
    } else {
        Check::new(WHAT, Verdict::InOrder, "never below the lowest that is allowed")
    };
    let check = check.seen(low, Quantity::GaugePressure).at(facts.speed_at(row));
    Some(check.bound(bound(limit, Quantity::GaugePressure, false)))
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

/// Air flow told by the meter and by fuel and mixture: instruments that must tell the same.
pub(super) fn triangle(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "air meter beside fuel and mixture";
    let (Some(air), Some(fuel), Some(lambda)) =
        (facts.read(Channel::AirFlow), facts.read(Channel::FuelFlow), mean_lambda(facts))
    else {
        return vec![Check::not_seen(WHAT, "the log has not all of air flow, fuel flow, lambda")];
    };
    let ratio = facts.fuel.stoichiometric_ratio;
    let rows = fuel.iter().zip(&lambda);
    let by_fuel: Vec<f64> = rows.map(|(f, l)| air_flow_from_fuel(*f, *l, ratio)).collect();
    let meter = mean_of(air, facts.upper_quarter());
    let fuel_and_lambda = mean_of(&by_fuel, facts.upper_quarter());
    let limit = facts.limits.triangle;
    let agreement = AirFlows { meter, fuel_and_lambda, speed_density: None }.agreement(limit.value);
    let reason = format!("{agreement}, for {}", facts.fuel.name);
    let (check, gap) = match agreement {
        Agreement::NothingToCompare => {
            return vec![Check::not_seen(WHAT, "no rows with all three")];
        }
        Agreement::Agree(gap) => (Check::new(WHAT, Verdict::InOrder, reason), gap),
        Agreement::TwoDiffer(_, _, gap) | Agreement::NoneAgree(gap) => (
            Check::new(WHAT, Verdict::Watch, reason)
                .remedy("one of the three is wrong, or it is another fuel: check the meters"),
            gap,
        ),
        Agreement::Odd { off, .. } => {
            let remedy = "check the one that stands alone";
            (Check::new(WHAT, Verdict::Watch, reason).remedy(remedy), off)
        }
    };
    vec![check.seen(gap, Quantity::Fraction).bound(bound(limit, Quantity::Fraction, true))]
}

/// Mean lambda of the banks, one a row.
fn mean_lambda(facts: &Facts) -> Option<Vec<f64>> {
    let banks = facts.family(Channel::Lambda);
    let rows = banks.iter().map(|(_, values)| values.len()).min()?;
    let mean = |row: usize| banks.iter().map(|(_, v)| v[row]).sum::<f64>() / banks.len() as f64;
    Some((0..rows).map(mean).collect())
}
