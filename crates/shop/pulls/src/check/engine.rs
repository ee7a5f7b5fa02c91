//! Speed, oil, knock, supply, crankcase: what a broken engine shows first.

use super::{Bound, Check, Facts, Figure, Stated, Verdict, least, mean_of, most};
use crate::channel::Channel;
use shortblock_units::Quantity;

/// Oil pressure counts as falling while speed rises below this share of its highest reading.
const FALLING: f64 = 0.90;
/// Oil this much hotter than at the pull before may well have lost pressure for it, K.
const SAME_OIL: f64 = 8.0;

/// A limit with its quantity.
pub(super) fn bound(stated: Stated, quantity: Quantity, at_most: bool) -> Bound {
    Bound { figure: Figure { si: stated.value, quantity }, at_most, from: stated.from }
}

/// Highest engine speed, over the whole recording: an overspeed in the tail counts too.
pub(super) fn speed(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "highest engine speed";
    let all = facts.recording.get(Channel::EngineSpeed).unwrap_or(&[]);
    let rows = &facts.pull.stretch.rows;
    let until = all.len().min(rows.end + (rows.end - rows.start) / 2);
    let seen = all.get(rows.start..until).and_then(most);
    let Some((_, seen)) = seen else {
        return vec![Check::not_seen(WHAT, "the log has no engine speed")];
    };
    let Some(limit) = facts.limits.engine_speed else {
        let check = Check::not_seen(WHAT, "no highest speed is written down for this engine");
        let remedy = "write  engine_speed  under [limits] of the engine's file";
        return vec![check.seen(seen, Quantity::EngineSpeed).remedy(remedy)];
    };
    let over = seen > limit.value;
    let check = if over {
        Check::new(WHAT, Verdict::Stop, "overspeed")
            .remedy("no more pulls until springs, rod bolts and bearings have been judged")
    } else {
        Check::new(WHAT, Verdict::InOrder, "below the limit")
    };
    let limit = bound(limit, Quantity::EngineSpeed, true);
    vec![check.seen(seen, Quantity::EngineSpeed).bound(limit)]
}

/// Mean oil pressure in the upper quarter of speeds with the oil temperature there.
pub(super) fn upper_oil(facts: &Facts) -> Option<(f64, Option<f64>)> {
    let pressure = mean_of(facts.read(Channel::OilPressure)?, facts.upper_quarter())?;
    let heat = facts.read(Channel::OilTemperature);
    Some((pressure, heat.and_then(|h| mean_of(h, facts.upper_quarter()))))
}

pub(super) fn oil_pressure(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "oil pressure";
    let Some(values) = facts.read(Channel::OilPressure) else {
        return vec![
            Check::not_seen(WHAT, "the log has no oil pressure")
                .remedy("log it: it is the one reading that saves the bottom end"),
        ];
    };
    let slope = facts.limits.oil_pressure_slope;
    // The row where the pressure stands lowest against what the speed asks for.
    let asked = |row: usize| facts.speed_at(row).unwrap_or(f64::NAN) * slope.value;
    let ratios: Vec<f64> = values.iter().enumerate().map(|(row, p)| p / asked(row)).collect();
    let Some((row, ratio)) = least(&ratios) else {
        return vec![Check::not_seen(WHAT, "no reading beside an engine speed")];
    };
    let limit = Stated { value: asked(row), ..slope };
    let base = |verdict, reason: &str| {
        Check::new(WHAT, verdict, reason)
            .seen(values[row], Quantity::GaugePressure)
            .at(facts.speed_at(row))
            .bound(bound(limit, Quantity::GaugePressure, false))
    };
    let mut out = vec![stopped(facts, values).unwrap_or_else(|| {
        if let Some(limit) = facts.limits.oil_pressure {
            let (row, low) = least(values).unwrap_or((row, values[row]));
            Check::new(WHAT, Verdict::InOrder, "never below the lowest pressure allowed")
                .seen(low, Quantity::GaugePressure)
                .at(facts.speed_at(row))
                .bound(bound(limit, Quantity::GaugePressure, false))
        } else if ratio < 1.0 {
            base(Verdict::Watch, "below the trade's rule of 10 psi for each 1000 rpm, hot").remedy(
                "compare with what this engine has always shown; if it is new, find out why",
            )
        } else {
            base(Verdict::InOrder, "above the limit all the way")
        }
    })];
    out.extend(dropped(facts));
    out
}

/// Below the engine's own limit, or falling while speed rises: the two stops.
fn stopped(facts: &Facts, values: &[f64]) -> Option<Check> {
    let (row, low) = least(values)?;
    let stop = |reason: &str| {
        Check::new("oil pressure", Verdict::Stop, reason)
            .remedy("stop: oil level, pickup, pump drive, bearings; cut a filter open")
    };
    if let Some(limit) = facts.limits.oil_pressure.filter(|limit| low < limit.value) {
        let check = stop("below the lowest pressure allowed");
        let bound = bound(limit, Quantity::GaugePressure, false);
        let seen = check.seen(low, Quantity::GaugePressure);
        return Some(seen.at(facts.speed_at(row)).bound(bound));
    }
    let (high_row, high) = most(values)?;
    let rising = facts.pull.stretch.to > facts.pull.stretch.from;
    let end = mean_of(values, values.len().saturating_sub(values.len() / 20 + 1)..values.len())?;
    (rising && high_row + values.len() / 8 < values.len() && end < FALLING * high).then(|| {
        stop("it falls while speed rises: the pickup draws air, or a clearance opens")
            .seen(end, Quantity::GaugePressure)
            .at(facts.speed().last().copied())
    })
}

/// Against the pull before, at nearly the same oil temperature.
fn dropped(facts: &Facts) -> Option<Check> {
    const WHAT: &str = "oil pressure beside the pull before";
    let (now, heat) = upper_oil(facts)?;
    let (before, heat_before) = facts.earlier?.oil?;
    let limit = facts.limits.oil_pressure_drop;
    let drop = 1.0 - now / before;
    let hotter = heat.zip(heat_before).is_some_and(|(now, before)| now - before > SAME_OIL);
    let check = if drop > limit.value && hotter {
        Check::new(WHAT, Verdict::Watch, "it fell, but the oil is hotter too")
            .remedy("let the oil come back to the temperature of the pull before and look again")
    } else if drop > limit.value {
        Check::new(WHAT, Verdict::Stop, "it fell at the same oil temperature")
            .remedy("find out why before the next pull: level, filter, bearings")
    } else {
        Check::new(WHAT, Verdict::InOrder, "as before")
    };
    let check = check.seen(-drop, Quantity::Fraction);
    Some(check.bound(bound(Stated { value: -limit.value, ..limit }, Quantity::Fraction, false)))
}

pub(super) fn knock(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "knock";
    let signals = facts.family(Channel::Knock);
    let worst = signals
        .iter()
        .filter_map(|(channel, values)| Some((*channel, most(values)?)))
        .max_by(|a, b| a.1.1.total_cmp(&b.1.1));
    let Some((channel, (row, value))) = worst else {
        return vec![
            Check::not_seen(WHAT, "the log has no knock signal")
                .remedy("listen for it; a quick sweep passes each speed in a few dozen cycles"),
        ];
    };
    let at = facts.speed_at(row);
    let Some(limit) = facts.limits.knock else {
        let reason = format!("{} is in its own scale and no limit is known", channel.name());
        return vec![
            Check::not_seen(WHAT, reason)
                .seen(value, Quantity::Ratio)
                .at(at)
                .remedy("write  knock  under [limits] of the dyno's or the session's file"),
        ];
    };
    let check = if value > limit.value {
        Check::new(WHAT, Verdict::Stop, format!("{} above its limit", channel.name()))
            .remedy("take 3 degrees of spark out, check mixture and fuel, then look at the plugs")
    } else {
        Check::new(WHAT, Verdict::InOrder, "below its limit; a quick sweep proves little")
    };
    vec![check.seen(value, Quantity::Ratio).at(at).bound(bound(limit, Quantity::Ratio, true))]
}

pub(super) fn supply(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "supply voltage in volts";
    let Some((row, volts)) = facts.read(Channel::Battery).and_then(least) else {
        return vec![Check::not_seen(WHAT, "the log has no supply voltage")];
    };
    let limit = facts.limits.supply;
    let check = if volts < limit.value {
        Check::new(WHAT, Verdict::Watch, "low: spark and injectors weaken with it")
            .remedy("charge the battery, check alternator, earth and pump current")
    } else {
        Check::new(WHAT, Verdict::InOrder, "high enough")
    };
    let check = check.seen(volts, Quantity::Ratio).at(facts.speed_at(row));
    vec![check.bound(bound(limit, Quantity::Ratio, false))]
}

pub(super) fn crankcase(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "crankcase pressure";
    let Some((row, value)) = facts.read(Channel::CrankcasePressure).and_then(most) else {
        return vec![Check::not_seen(WHAT, "the log has no crankcase pressure")];
    };
    let limit = facts.limits.crankcase;
    let risen = facts
        .earlier
        .and_then(|e| e.crankcase)
        .is_some_and(|before| value > 1.5 * before && value - before > 0.2 * limit.value);
    let check = if value > limit.value {
        Check::new(WHAT, Verdict::Watch, "high: rings, or a breather that is too small")
            .remedy("look for oil at the breather; do a leak-down test")
    } else if risen {
        Check::new(WHAT, Verdict::Watch, "half as much again as at the pull before")
            .remedy("do a leak-down test before the next pull")
    } else {
        Check::new(WHAT, Verdict::InOrder, "low enough")
    };
    let check = check.seen(value, Quantity::GaugePressure).at(facts.speed_at(row));
    vec![check.bound(bound(limit, Quantity::GaugePressure, true))]
}
