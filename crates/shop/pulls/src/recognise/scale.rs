//! The unit of a column, as written beside it, as far as it fits a channel.

use crate::channel::Channel;
use shortblock_units::{Quantity, Unit, unit};

/// Where a pressure is counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Datum {
    Gauge,
    Absolute,
}

/// How the numbers of a column are to be read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Scale {
    /// In this unit.
    Unit(&'static Unit),
    /// As mass of air over mass of fuel; divided by the stoichiometric ratio it is lambda.
    AirFuel(f64),
    /// As a share of one.
    Share,
    /// In the file's own scale.
    Own,
}

impl Scale {
    /// SI value of a number as written.
    pub fn to_si(self, number: f64) -> f64 {
        match self {
            Self::Unit(unit) => unit.to_si(number),
            Self::AirFuel(stoichiometric) => number / stoichiometric,
            Self::Share | Self::Own => number,
        }
    }

    /// The unit in words for a table; said of a column they mean the same.
    pub fn word(self) -> String {
        match self {
            Self::Unit(unit) => unit.symbol.to_owned(),
            Self::AirFuel(PETROL_SCALE) => "AFR".to_owned(),
            Self::AirFuel(ratio) => format!("AFR {ratio}"),
            Self::Share => "share".to_owned(),
            Self::Own => String::new(),
        }
    }
}

/// What the unit beside a column says for a channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Written {
    /// Nothing, or nothing that helps ("deg" beside a temperature).
    Nothing,
    /// A unit of the channel, with the datum where the unit says it.
    Fits(Scale, Option<Datum>),
    /// The channel's sister in this unit: fuel by volume instead of by mass.
    FitsOther(Channel, Scale),
    /// A unit of another kind.
    Contradicts(Quantity),
    /// No unit that is known.
    Strange,
}

/// Air-fuel ratio of petrol that mixture meters are usually scaled by; common practice, no source.
pub(crate) const PETROL_SCALE: f64 = 14.7;

/// What `text` means beside a column that is taken for `channel`.
pub(crate) fn written(channel: Channel, text: &str) -> Written {
    let text = text.trim();
    if text.is_empty() || text == "-" || text == "1" {
        return Written::Nothing;
    }
    let Some(quantity) = channel.quantity() else {
        return Written::Fits(Scale::Own, None);
    };
    if matches!(channel, Channel::Lambda(_) | Channel::CylinderLambda(_)) {
        return mixture(text);
    }
    if quantity == Quantity::Temperature && matches!(text, "deg" | "°" | "degrees") {
        return Written::Nothing;
    }
    if quantity == Quantity::Fraction && text == "share" {
        return Written::Fits(Scale::Share, None);
    }
    if let Some(found) = unit(quantity, text).or_else(|| by_custom(channel, text)) {
        return Written::Fits(Scale::Unit(found), datum(text));
    }
    sister(channel, quantity, text)
}

/// Whether a column of `channel` can be read in the unit `text`, as it may stand beside one in a log
/// (`mkp`, `AFR`, `U/min` among them), with a minus before it where its numbers have the other sign. Any
/// text is one of a channel that keeps its own scale.
pub fn is_unit_of(channel: Channel, text: &str) -> bool {
    let bare = text.strip_prefix('-').filter(|unit| !unit.is_empty()).unwrap_or(text);
    matches!(written(channel, bare), Written::Fits(..))
}

/// Units that are right only beside one channel: turns a second written as `1/s`, degrees of crank
/// with what they are counted from (`°KW`, `deg BTDC`), metre-kiloponds (`mkp`).
fn by_custom(channel: Channel, text: &str) -> Option<&'static Unit> {
    let bare = text.to_lowercase().replace([' ', '.'], "");
    match channel {
        Channel::EngineSpeed | Channel::BoostSpeed
            if matches!(bare.as_str(), "1/s" | "hz" | "u/s") =>
        {
            unit(Quantity::EngineSpeed, "rev/s")
        }
        Channel::EngineSpeed | Channel::BoostSpeed
            if matches!(bare.as_str(), "u/min" | "tr/min" | "giri/min") =>
        {
            unit(Quantity::EngineSpeed, "rpm")
        }
        Channel::Torque | Channel::CorrectedTorque if matches!(bare.as_str(), "mkp" | "mkg") => {
            unit(Quantity::Torque, "kgf.m")
        }
        Channel::SparkAdvance if bare.starts_with('°') || bare.starts_with("deg") => {
            unit(Quantity::Angle, "deg")
        }
        _ => None,
    }
}

fn mixture(text: &str) -> Written {
    match text.to_lowercase().as_str() {
        "λ" | "lambda" | "la" | "lam" => ratio(),
        "afr" | "a/f" | "air/fuel" | ":1" | "kg/kg" => {
            Written::Fits(Scale::AirFuel(PETROL_SCALE), None)
        }
        other => scaled_by(other)
            .map_or_else(|| other_kind(other), |r| Written::Fits(Scale::AirFuel(r), None)),
    }
}

/// The stoichiometric ratio that a meter is scaled by, behind its unit: `AFR 9.0`.
fn scaled_by(text: &str) -> Option<f64> {
    let ratio = text.strip_prefix("afr")?.trim().replace(',', ".").parse().ok()?;
    (1.0..40.0).contains(&ratio).then_some(ratio)
}

fn ratio() -> Written {
    unit(Quantity::Ratio, "").map_or(Written::Strange, |u| Written::Fits(Scale::Unit(u), None))
}

fn sister(channel: Channel, quantity: Quantity, text: &str) -> Written {
    let other = match quantity {
        Quantity::AbsolutePressure => Quantity::GaugePressure,
        Quantity::GaugePressure => Quantity::AbsolutePressure,
        Quantity::MassFlow if channel == Channel::FuelFlow => Quantity::VolumeFlow,
        _ => return other_kind(text),
    };
    match (unit(other, text), other) {
        (Some(found), Quantity::VolumeFlow) => {
            Written::FitsOther(Channel::FuelVolumeFlow, Scale::Unit(found))
        }
        (Some(found), _) => Written::Fits(Scale::Unit(found), datum(text)),
        (None, _) => other_kind(text),
    }
}

fn other_kind(text: &str) -> Written {
    let kind = Quantity::ALL.into_iter().find(|&q| unit(q, text).is_some());
    kind.map_or(Written::Strange, Written::Contradicts)
}

/// Gauge or absolute where the unit says so: `psig`, `bar abs`, `kPa(a)`.
fn datum(text: &str) -> Option<Datum> {
    let text = text.to_lowercase().replace(['(', ')', ' ', '.'], "");
    let pressure = ["psi", "bar", "kpa", "hg", "mpa"];
    let after = pressure.iter().find_map(|p| text.split_once(p).map(|(_, rest)| rest))?;
    match after {
        "a" | "abs" | "absolute" => Some(Datum::Absolute),
        "g" | "gauge" | "gage" => Some(Datum::Gauge),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(channel: Channel, text: &str) -> Option<(String, Option<Datum>)> {
        match written(channel, text) {
            Written::Fits(scale, datum) => Some((scale.word(), datum)),
            _ => None,
        }
    }

    #[test]
    fn a_unit_says_what_it_can() {
        let fits = |word: &str, datum| Some((word.to_owned(), datum));
        assert_eq!(scale(Channel::Torque, "ft-lb"), fits("lb.ft", None));
        assert_eq!(scale(Channel::OilPressure, "psig"), fits("psi", Some(Datum::Gauge)));
        assert_eq!(scale(Channel::OilPressure, "bar (abs)"), fits("bar", Some(Datum::Absolute)));
        assert_eq!(scale(Channel::ManifoldPressure, "kPa"), fits("kPa", None));
        assert_eq!(scale(Channel::Lambda(0), "AFR"), fits("AFR", None));
        assert_eq!(scale(Channel::Lambda(0), "AFR 9.0"), fits("AFR 9", None));
        assert_eq!(scale(Channel::Lambda(0), "AFR 9"), fits("AFR 9", None));
        assert_eq!(written(Channel::OilTemperature, "°"), Written::Nothing);
        assert_eq!(written(Channel::OilTemperature, "bar"), {
            Written::Contradicts(Quantity::AbsolutePressure)
        });
        assert_eq!(written(Channel::Torque, "zorkmid"), Written::Strange);
        let Written::FitsOther(Channel::FuelVolumeFlow, _) = written(Channel::FuelFlow, "L/h")
        else {
            panic!("litres an hour are a volume of fuel");
        };
    }
}
