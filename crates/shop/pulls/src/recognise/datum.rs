//! What a pressure is counted from: vacuum, or the air outside.

use super::columns::Working;
use super::finding::{Confidence, Doubt};
use super::scale::Datum;
use super::settle::STANDARD_ATMOSPHERE;
use crate::channel::Channel;
use shortblock_units::Quantity;

/// Whether pressures are counted from vacuum or from the air outside: by the unit where it says so,
/// else by what they read with the engine standing, else as is usual.
pub(crate) fn datums(
    all: &mut [Working],
    stands: impl Fn(usize, usize) -> bool,
    barometer: Option<f64>,
) -> Vec<Doubt> {
    let air = barometer.unwrap_or(STANDARD_ATMOSPHERE);
    let mut doubts = Vec::new();
    for found in all.iter_mut() {
        let (Some(channel), Some(scale), group) = (found.channel, found.scale, found.group) else {
            continue;
        };
        if !has_datum(channel) {
            continue;
        }
        if found.datum.is_none() {
            let standing = found.middle(|row| stands(group, row)).map(|v| scale.to_si(v));
            found.datum = standing.and_then(|si| by_standing(found, si, air));
        }
        if found.datum.is_none() && is_manifold(channel) {
            let ends = found.ends().map(|(low, high)| (scale.to_si(low), scale.to_si(high)));
            doubts.extend(ends.and_then(|ends| manifold(found, ends, air)));
        }
        if is_manifold(channel) {
            rename(found);
        }
    }
    doubts
}

fn has_datum(channel: Channel) -> bool {
    channel.quantity() == Some(Quantity::GaugePressure) || channel == Channel::ManifoldPressure
}

fn is_manifold(channel: Channel) -> bool {
    matches!(channel, Channel::ManifoldPressure | Channel::Boost)
}

fn by_standing(found: &mut Working, si: f64, air: f64) -> Option<Datum> {
    if (si - air).abs() < 0.06 * air {
        found.because("with the engine standing it reads the air outside: absolute");
        found.confidence = Confidence::Proved;
        Some(Datum::Absolute)
    } else if si.abs() < 0.06 * air {
        found.because("with the engine standing it reads nothing: gauge");
        found.confidence = Confidence::Proved;
        Some(Datum::Gauge)
    } else {
        None
    }
}

/// A manifold without a standing engine in the log: below zero is gauge, all above a third of the
/// air and reaching it is absolute.
fn manifold(found: &mut Working, (low, high): (f64, f64), air: f64) -> Option<Doubt> {
    if low < -0.02 * air || high < 0.15 * air {
        found.datum = Some(Datum::Gauge);
        found.because("it goes to zero or below: gauge");
        return None;
    }
    if low > 0.15 * air && high > 0.75 * air && high < 1.1 * air {
        found.datum = Some(Datum::Absolute);
        found.because("it comes up to the air outside: absolute");
        return None;
    }
    found.confidence = found.confidence.min(Confidence::Guess);
    let said = if found.channel == Some(Channel::Boost) { "gauge" } else { "absolute" };
    Some(Doubt {
        heading: found.heading().to_owned(),
        question: format!(
            "manifold pressure between {:.0} and {:.0} kPa: absolute or gauge? Until somebody says \
             so it is read as {said}. A log that begins before the engine is started proves it.",
            low / 1e3,
            high / 1e3
        ),
    })
}

/// What is counted from vacuum is manifold pressure, what is counted from the air is boost.
fn rename(found: &mut Working) {
    found.channel = match found.datum {
        Some(Datum::Absolute) => Some(Channel::ManifoldPressure),
        Some(Datum::Gauge) => Some(Channel::Boost),
        None => found.channel,
    };
}

/// Offset to add to a pressure in Pa so that it stands as its channel wants it.
pub(crate) fn datum_shift(found: &Working, barometer: Option<f64>) -> f64 {
    let gauge = found.channel.and_then(Channel::quantity) == Some(Quantity::GaugePressure);
    match (gauge, found.datum) {
        (true, Some(Datum::Absolute)) => -barometer.unwrap_or(STANDARD_ATMOSPHERE),
        _ => 0.0,
    }
}
