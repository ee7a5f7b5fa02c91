//! Units that nobody wrote: chosen by what the numbers can be, and asked about where two fit.

use super::clock::by_step;
use super::columns::Working;
use super::expected::{self, Expected};
use super::finding::{Confidence, Doubt};
use super::scale::{Datum, PETROL_SCALE, Scale};
use crate::channel::Channel;
use shortblock_units::{Quantity, Unit, unit};

/// Pressure of the air when the log has no barometer, Pa: standard atmosphere, ISO 2533.
pub(crate) const STANDARD_ATMOSPHERE: f64 = 101_325.0;
/// Below this speed an engine is not running, rpm (ours).
pub(crate) const STANDS_RPM: f64 = 150.0;

/// Times the usual range beyond which a value is absurd.
const ABSURD: f64 = 10.0;

/// Settles the units of all columns whose channel is known; columns that two units fit come last,
/// so that their like can speak for them.
pub(crate) fn units(all: &mut [Working], pulling: impl Fn(usize, usize) -> bool) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    let mut open = Vec::new();
    let temperature = temperature_scale(all, &pulling);
    for (i, found) in all.iter_mut().enumerate() {
        let (Some(channel), group) = (found.channel, found.group) else { continue };
        if channel == Channel::Time {
            found.scale = found.scale.or_else(|| by_step(found));
            continue;
        }
        let Some(expected) = expected::of(channel) else { continue };
        let Some(middle) = found.middle(|row| pulling(group, row)) else {
            found.because("it has no numbers");
            found.confidence = found.confidence.min(Confidence::Guess);
            found.scale = found.scale.or_else(|| units_of(channel, &expected).first().copied());
            continue;
        };
        if found.scale.is_some() {
            doubts.extend(agrees(found, channel, &expected, middle));
        } else if is_mixture(channel) {
            mixture(found, middle);
            doubts.extend(of_no_petrol(found, middle));
        } else if !settled(found, channel, &expected, middle, temperature) {
            open.push((i, middle));
        }
    }
    for (i, middle) in open {
        doubts.extend(like_the_others_or_ask(all, i, middle));
    }
    doubts
}

fn is_mixture(channel: Channel) -> bool {
    matches!(channel, Channel::Lambda(_) | Channel::CylinderLambda(_))
}

fn units_of(channel: Channel, expected: &Expected) -> Vec<Scale> {
    let Some(quantity) = channel.quantity() else { return Vec::new() };
    let scale = |symbol: &&str| match (quantity, *symbol) {
        (Quantity::Fraction, "") => Some(Scale::Share),
        (_, symbol) => unit(quantity, symbol).map(Scale::Unit),
    };
    expected.units.iter().filter_map(scale).collect()
}

/// A unit that is written, tried against the numbers.
fn agrees(
    found: &mut Working,
    channel: Channel,
    expected: &Expected,
    middle: f64,
) -> Option<Doubt> {
    let scale = found.scale?;
    let value = si(scale, found.datum, channel, middle);
    if expected.middle.contains(&value) || found.said && !is_absurd(value, expected) {
        return None;
    }
    if let Some(constant) = found.constant().filter(|_| !expected.middle.contains(&0.0)) {
        return Some(never_moves(found, channel, constant));
    }
    if is_mixture(channel) {
        return mixture_unlike_its_unit(found, middle);
    }
    if expected.middle.contains(&-value) && *expected.middle.start() > 0.0 {
        return Some(of_other_sign(found, channel, middle));
    }
    let others = units_of(channel, expected);
    let better = others
        .into_iter()
        .find(|other| expected.middle.contains(&si(*other, found.datum, channel, middle)));
    found.confidence = found.confidence.min(Confidence::Guess);
    let (written, figure) = (scale.word(), short(middle));
    found.because(format!("{figure} {written} is not usual for {}", channel.name()));
    let instead = better.map_or(String::new(), |b| format!(" As {} it would be usual.", b.word()));
    Some(Doubt {
        heading: found.heading().to_owned(),
        question: format!(
            "{} reads {figure} {written} in the middle of the pull, which is not usual.{instead} \
             Until somebody says otherwise it stays {written}.",
            channel.name()
        ),
    })
}

/// A channel that would be usual with the other sign: of the brake, or of an engine that is driven.
fn of_other_sign(found: &mut Working, channel: Channel, middle: f64) -> Doubt {
    found.confidence = found.confidence.min(Confidence::Guess);
    let (heading, name) = (found.heading().to_owned(), channel.name());
    let unit = found.scale.map(Scale::word).unwrap_or_default();
    found.because("it is below zero where the engine pulls");
    let question = format!(
        "{name} reads {} {unit} in the middle of the pull: is that the brake's sign, or was the engine \
         driven? For the brake's:  --column \"{heading}={name}, -{unit}\"",
        short(middle)
    );
    Doubt { heading, question }
}

/// A channel of which every row reads the same, and not as one that is connected does.
fn never_moves(found: &mut Working, channel: Channel, constant: f64) -> Doubt {
    found.confidence = found.confidence.min(Confidence::Guess);
    found.because(format!("it reads {constant} on every row"));
    if constant == 0.0 && !found.said {
        found.drop_channel("nothing can be made of it");
    }
    Doubt {
        heading: found.heading().to_owned(),
        question: format!(
            "{} reads {constant} on every row: nothing was connected, or the export left it out. Nothing \
             can be made of it",
            channel.name()
        ),
    }
}

/// Whether a value is so far off that even what a person said is asked about (ours).
fn is_absurd(value: f64, expected: &Expected) -> bool {
    let (low, high) = (*expected.middle.start(), *expected.middle.end());
    low > 0.0 && !(low / ABSURD..=high * ABSURD).contains(&value)
}

/// An air-fuel ratio that petrol does not burn at: asks what the meter is scaled by.
fn of_no_petrol(found: &mut Working, middle: f64) -> Option<Doubt> {
    let Some(Scale::AirFuel(scale)) = found.scale else { return None };
    let lambda = middle / scale;
    if expected::of(Channel::Lambda(0))?.middle.contains(&lambda) {
        return None;
    }
    found.confidence = Confidence::Guess;
    Some(Doubt {
        heading: found.heading().to_owned(),
        question: format!(
            "the mixture reads {middle:.2}; over {scale}, the ratio of petrol, that is lambda {lambda:.2}, \
             at which no engine runs. What is the meter scaled by? Ethanol has 9.0, E85 9.8, methanol \
             6.5. Answer with its ratio behind the unit:  --column \"{}={}, AFR 9.0\"",
            found.heading(),
            found.channel.map_or_else(String::new, Channel::name),
        ),
    })
}

fn mixture_unlike_its_unit(found: &mut Working, middle: f64) -> Option<Doubt> {
    let before = found.scale.map(Scale::word).unwrap_or_default();
    mixture(found, middle);
    if let Some(doubt) = of_no_petrol(found, middle) {
        return Some(doubt);
    }
    found.confidence = Confidence::Guess;
    let now = found.scale.map(Scale::word).unwrap_or_default();
    Some(Doubt {
        heading: found.heading().to_owned(),
        question: format!(
            "the mixture reads {middle:.3}, which can't be in \"{}\"{}. It is read as {}; say so if \
             it is not.",
            found.source.unit,
            if before == now { " for an engine that runs" } else { "" },
            if now.is_empty() { "lambda" } else { &now },
        ),
    })
}

/// Lambda or air-fuel ratio by the size of the number.
fn mixture(found: &mut Working, middle: f64) {
    let scale = if (2.0..40.0).contains(&middle) {
        found.because(format!(
            "{middle:.2} is an air-fuel ratio; divided by {PETROL_SCALE}, the scale mixture meters \
             usually have, it is lambda"
        ));
        Some(Scale::AirFuel(PETROL_SCALE))
    } else {
        found.because(format!("{middle:.3} is a lambda"));
        unit(Quantity::Ratio, "").map(Scale::Unit)
    };
    found.scale = scale;
}

/// SI value as the channel wants it, whatever the datum.
fn si(scale: Scale, datum: Option<Datum>, channel: Channel, number: f64) -> f64 {
    let value = scale.to_si(number);
    match (datum, channel.quantity()) {
        (Some(Datum::Gauge), Some(Quantity::AbsolutePressure)) => value + STANDARD_ATMOSPHERE,
        (Some(Datum::Absolute), Some(Quantity::GaugePressure)) => value - STANDARD_ATMOSPHERE,
        _ => value,
    }
}

/// True when only one unit is possible, which is then taken.
fn settled(
    found: &mut Working,
    channel: Channel,
    expected: &Expected,
    middle: f64,
    temperature: Option<&'static Unit>,
) -> bool {
    if let (Some(Quantity::Temperature), Some(scale)) = (channel.quantity(), temperature) {
        found.scale = Some(Scale::Unit(scale));
        found.because(format!("all temperatures together read like {}", scale.symbol));
        return true;
    }
    let [only] = fitting(channel, expected, middle)[..] else { return false };
    found.scale = Some(only);
    if !only.word().is_empty() {
        found.because(format!("{} can only be {}", short(middle), only.word()));
    }
    true
}

/// Units in which the middle value is a usual one.
fn fitting(channel: Channel, expected: &Expected, middle: f64) -> Vec<Scale> {
    let usual = |scale: &Scale| expected.middle.contains(&scale.to_si(middle));
    units_of(channel, expected).into_iter().filter(usual).collect()
}

/// Takes the unit of another column of the same quantity where that is one of those that fit.
fn like_the_others_or_ask(all: &mut [Working], i: usize, middle: f64) -> Option<Doubt> {
    let channel = all[i].channel?;
    let expected = expected::of(channel)?;
    let fits = fitting(channel, &expected, middle);
    let of_its_kind = |f: &&Working| f.channel.and_then(Channel::quantity) == channel.quantity();
    let like = all.iter().filter(of_its_kind).find_map(|other| {
        let scale = other.scale.filter(|s| fits.contains(s))?;
        Some((scale, other.heading().to_owned()))
    });
    let found = &mut all[i];
    if let Some((scale, heading)) = like {
        found.scale = Some(scale);
        found.because(format!("in {} like \"{heading}\"", scale.word()));
        return None;
    }
    let which = if fits.is_empty() { "is usual in none of" } else { "could be any of" };
    let units = if fits.is_empty() { units_of(channel, &expected) } else { fits };
    found.scale = units.first().copied();
    found.confidence = Confidence::Guess;
    Some(ask(found, channel, middle, &units, which))
}

/// A number to four figures.
fn short(value: f64) -> String {
    let places = match value.abs() {
        size if size >= 1000.0 => 0,
        size if size >= 100.0 => 1,
        size if size >= 10.0 => 2,
        _ => 3,
    };
    let text = format!("{value:.places$}");
    let bare = if places > 0 { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    bare.to_owned()
}

fn ask(found: &mut Working, channel: Channel, middle: f64, units: &[Scale], which: &str) -> Doubt {
    let words: Vec<String> = units.iter().map(|u| u.word()).filter(|w| !w.is_empty()).collect();
    let taken = words.first().cloned().unwrap_or_default();
    let figure = short(middle);
    found.because(format!("{figure} {which} {}", words.join(", ")));
    let without = match found.source.unit.as_str() {
        "" | "-" | "1" => "has no unit".to_owned(),
        unit => format!("stands beside \"{unit}\", which is no unit that is known"),
    };
    Doubt {
        heading: found.heading().to_owned(),
        question: format!(
            "{} {without}, and {figure} {which} {}. Which one? Until somebody says so \
             it is read in {taken}.",
            channel.name(),
            words.join(", "),
        ),
    }
}

/// The one scale in which most of the temperatures without a unit are usual, or `None` without any.
fn temperature_scale(
    all: &[Working],
    pulling: &impl Fn(usize, usize) -> bool,
) -> Option<&'static Unit> {
    let bare = all.iter().filter(|f| {
        f.scale.is_none() && f.channel.and_then(Channel::quantity) == Some(Quantity::Temperature)
    });
    let columns: Vec<(Expected, f64)> = bare
        .filter_map(|f| {
            let middle = f.middle(|row| pulling(f.group, row))?;
            Some((expected::of(f.channel?)?, middle))
        })
        .collect();
    let usual = |u: &Unit| columns.iter().filter(|(e, m)| e.middle.contains(&u.to_si(*m))).count();
    let scales = ["degC", "degF", "K"].into_iter().filter_map(|s| unit(Quantity::Temperature, s));
    let mut ranked: Vec<(usize, &'static Unit)> = scales.map(|u| (usual(u), u)).collect();
    ranked.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
    match ranked.as_slice() {
        [(best, unit), (next, _), ..] if *best > 0 && best > next => Some(unit),
        _ => None,
    }
}
