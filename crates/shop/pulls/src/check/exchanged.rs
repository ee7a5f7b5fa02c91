//! Channels whose plugs or columns are exchanged: each reads as the other should.

use super::{Bound, Check, Facts, Figure, From, Verdict, ends, mean_of};
use crate::channel::Channel;
use shortblock_units::Quantity;

const CELSIUS: f64 = 273.15;
/// Inlet air above this is no air of a cell, K, and coolant below it is of no warm engine (ours).
const WARM: f64 = 50.0 + CELSIUS;
/// Apart by this they are not both in between, K (ours).
const APART: f64 = 20.0;
/// A cylinder unlike its own last pull by this, and like its neighbour's by [`LIKE`], K (ours).
const UNLIKE: f64 = 20.0;
const LIKE: f64 = 7.0;
/// Power beside torque times speed, as a share (ours: both of three figures).
const POWER: f64 = 0.01;
/// Rising this much over a pull a pressure goes with speed; below [`FLAT`] it does not (ours).
const RISES: f64 = 0.2;
const FLAT: f64 = 0.05;

const WHAT: &str = "exchanged channels";

pub(super) fn exchanged(facts: &Facts) -> Vec<Check> {
    let mut looked = false;
    let mut out = Vec::new();
    for one in [inlet_and_coolant, oil_and_fuel, exhausts, barometer_and_manifold] {
        match one(facts) {
            None => {}
            Some(None) => looked = true,
            Some(Some(check)) => out.push(check),
        }
    }
    if out.is_empty() {
        out.push(match looked {
            true => Check::new(WHAT, Verdict::InOrder, "each reads as itself"),
            false => Check::not_seen(WHAT, "no two channels that could be told from each other"),
        });
    }
    out.extend(power(facts));
    out
}

/// `None` where the channels are not there, else what is wrong with them.
type Looked = Option<Option<Check>>;

fn mean(facts: &Facts, channel: Channel) -> Option<f64> {
    let values = facts.read(channel)?;
    mean_of(values, 0..values.len())
}

fn limit(si: f64, quantity: Quantity, at_most: bool) -> Bound {
    Bound { figure: Figure { si, quantity }, at_most, from: From::Chosen }
}

fn inlet_and_coolant(facts: &Facts) -> Looked {
    let inlet = mean(facts, Channel::IntakeAirTemperature)?;
    let coolant = mean(facts, Channel::CoolantTemperature)?;
    let swapped = inlet > WARM && coolant < WARM && inlet - coolant > APART;
    Some(swapped.then(|| {
        Check::new(WHAT, Verdict::Watch, "inlet air reads like coolant, and coolant like air")
            .seen(inlet, Quantity::Temperature)
            .bound(limit(WARM, Quantity::Temperature, true))
            .remedy(
                "look at the two plugs and at the headings of the log; until then its correction for \
                 the weather is wrong, and nobody watches the coolant",
            )
    }))
}

/// Change over the speeds of the pull, as a share of the greatest reading.
fn rise(facts: &Facts, channel: Channel) -> Option<f64> {
    let values = facts.read(channel)?;
    let third = values.len() / 3;
    let (low, high) =
        (mean_of(values, 0..third)?, mean_of(values, values.len() - third..values.len())?);
    let (_, most) = ends(values)?;
    (most > 0.0 && facts.sweeps()).then(|| (high - low) / most)
}

/// Oil pressure goes with speed below its relief valve, fuel pressure is held by its regulator.
fn oil_and_fuel(facts: &Facts) -> Looked {
    let (oil, fuel) = (rise(facts, Channel::OilPressure)?, rise(facts, Channel::FuelPressure)?);
    let swapped = fuel > RISES && oil.abs() < FLAT;
    Some(swapped.then(|| {
        Check::new(
            WHAT,
            Verdict::Watch,
            "fuel pressure rises with speed, and oil pressure does not",
        )
        .seen(fuel, Quantity::Fraction)
        .bound(limit(RISES, Quantity::Fraction, true))
        .remedy("look at the two plugs and at the headings: a fall of either would be missed")
    }))
}

/// Two cylinders of which each reads as the other did in the pull before.
fn exhausts(facts: &Facts) -> Looked {
    let now = pattern(facts);
    let before = &facts.earlier?.exhausts;
    let both: Vec<(u8, f64, f64)> = now
        .iter()
        .filter_map(|(n, now)| Some((*n, *now, before.iter().find(|(m, _)| m == n)?.1)))
        .collect();
    if both.len() < 2 {
        return None;
    }
    let pairs =
        both.iter().enumerate().flat_map(|(i, a)| both[i + 1..].iter().map(move |b| (a, b)));
    let mut swapped = pairs.filter(|(a, b)| {
        let unlike = (a.1 - a.2).abs() > UNLIKE && (b.1 - b.2).abs() > UNLIKE;
        unlike && (a.1 - b.2).abs() < LIKE && (b.1 - a.2).abs() < LIKE
    });
    Some(swapped.next().map(|(a, b)| {
        let reason =
            format!("exhaust temperatures of cylinders {} and {} read as each other's before", a.0, b.0);
        Check::new(WHAT, Verdict::Watch, reason)
            .seen(a.1 - a.2, Quantity::TemperatureDifference)
            .bound(limit(UNLIKE.copysign(a.1 - a.2), Quantity::TemperatureDifference, a.1 > a.2))
            .remedy("were the two sensors put back into each other's place? If not, look at both cylinders")
    }))
}

/// Exhaust temperature of each cylinder over the upper quarter of speeds beside their mean, K.
pub(super) fn pattern(facts: &Facts) -> Vec<(u8, f64)> {
    let means: Vec<(u8, f64)> = (1..=24)
        .filter_map(|n| {
            let values = facts.read(Channel::ExhaustTemperature(n))?;
            Some((n, mean_of(values, facts.upper_quarter())?))
        })
        .collect();
    let mean = means.iter().map(|(_, t)| t).sum::<f64>() / means.len().max(1) as f64;
    means.into_iter().map(|(n, t)| (n, t - mean)).collect()
}

/// The air outside stands still; the manifold goes with the throttle.
fn barometer_and_manifold(facts: &Facts) -> Looked {
    let span = |channel| {
        let (low, high) = ends(facts.recording.get(channel)?)?;
        (high > 0.0).then(|| (high - low) / high)
    };
    let (air, manifold) = (span(Channel::Barometer)?, span(Channel::ManifoldPressure)?);
    let swapped = air > RISES && manifold < FLAT;
    Some(swapped.then(|| {
        Check::new(WHAT, Verdict::Watch, "the barometer moves with the throttle, and the manifold does not")
            .seen(air, Quantity::Fraction)
            .bound(limit(FLAT, Quantity::Fraction, true))
            .remedy("look at the two plugs and headings; until then the correction for the weather is wrong")
    }))
}

/// The file's power beside its torque times speed; nothing where it has not both.
fn power(facts: &Facts) -> Option<Check> {
    const WHAT: &str = "power beside torque times speed";
    let (torque, power) = (facts.read(Channel::Torque)?, facts.read(Channel::Power)?);
    let rows = facts.speed().iter().zip(torque).zip(power);
    let mut ratios: Vec<f64> = rows
        .filter(|((_, t), p)| **t > 0.0 && **p > 0.0)
        .map(|((w, t), p)| p / (t * w) - 1.0)
        .filter(|r| r.is_finite())
        .collect();
    if ratios.is_empty() {
        return None;
    }
    ratios.sort_by(f64::total_cmp);
    let off = ratios[ratios.len() / 2];
    let check = if off.abs() > POWER {
        Check::new(WHAT, Verdict::Watch, "the file's power is not its torque times speed").remedy(
            "corrected beside observed, another unit, at the wheels beside the crank, or columns \
             exchanged: say what they are with --column. Power shown here follows from torque",
        )
    } else {
        Check::new(WHAT, Verdict::InOrder, "they agree")
    };
    let bound = limit(POWER.copysign(off), Quantity::Fraction, off >= 0.0);
    Some(check.seen(off, Quantity::Fraction).bound(bound))
}
