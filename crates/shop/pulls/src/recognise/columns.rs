//! The columns of a log with what their names, units and numbers say, before anything is decided.

use super::finding::{Confidence, Match, Said};
use super::name::{Named, named};
use super::power::median;
use super::scale::{Datum, Scale, Written, written};
use super::times;
use crate::channel::Channel;
use crate::log::{Column, Log};
use crate::source::split;
use shortblock_units::Quantity;
use std::borrow::Cow;

/// A column under examination.
pub(crate) struct Working<'a> {
    pub group: usize,
    pub column: usize,
    pub source: &'a Column,
    /// Heading and unit without a scale that stood in them.
    bare: (String, String),
    /// Numbers as written, times that scale.
    values: Cow<'a, [f64]>,
    pub channel: Option<Channel>,
    pub scale: Option<Scale>,
    pub datum: Option<Datum>,
    pub confidence: Confidence,
    pub reasons: Vec<String>,
    /// True when a person said what it is.
    pub said: bool,
    /// True when a person said that its numbers have the other sign.
    pub negated: bool,
    /// What is to be asked of it, unless other columns prove the answer.
    pub question: Option<String>,
    /// Whether the unit was written beside the column, or said.
    pub unit_given: bool,
}

impl<'a> Working<'a> {
    pub fn heading(&self) -> &'a str {
        &self.source.name
    }

    pub fn values(&self) -> &[f64] {
        &self.values
    }

    pub fn because(&mut self, reason: impl Into<String>) {
        self.reasons.push(reason.into());
    }

    /// Middle value as written over the rows that are kept by `rows`.
    pub fn middle(&self, rows: impl Fn(usize) -> bool) -> Option<f64> {
        let kept = self.values().iter().enumerate().filter(|(i, v)| v.is_finite() && rows(*i));
        let mut values: Vec<f64> = kept.map(|(_, v)| *v).collect();
        (!values.is_empty()).then(|| median(&mut values))
    }

    /// Smallest and largest value as written.
    pub fn ends(&self) -> Option<(f64, f64)> {
        let finite = self.values().iter().copied().filter(|v| v.is_finite());
        let ends = finite
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        (ends.0 <= ends.1).then_some(ends)
    }

    /// The number that every row reads, where there are several rows and they all read the same.
    pub fn constant(&self) -> Option<f64> {
        let (low, high) = self.ends()?;
        let rows = self.values().iter().filter(|v| v.is_finite()).count();
        (low == high && rows > 1).then_some(low)
    }

    pub fn drop_channel(&mut self, reason: impl Into<String>) {
        self.channel = None;
        self.scale = None;
        self.confidence = Confidence::None;
        self.because(reason);
    }

    pub fn into_match(self) -> Match {
        Match {
            group: self.group,
            column: self.column,
            heading: self.source.name.clone(),
            written_unit: self.source.unit.clone(),
            channel: self.channel,
            unit: {
                let sign = if self.negated { "-" } else { "" };
                format!("{sign}{}", self.scale.map(Scale::word).unwrap_or_default())
            },
            confidence: self.confidence,
            reasons: self.reasons,
        }
    }
}

/// All columns with what heading and unit say.
pub(crate) fn examine<'a>(log: &'a Log, said: &[Said]) -> Vec<Working<'a>> {
    let mut all = Vec::new();
    for (group, columns) in log.groups.iter().enumerate() {
        for (column, source) in columns.columns.iter().enumerate() {
            let mut found = Working {
                group,
                column,
                source,
                bare: (source.name.clone(), source.unit.clone()),
                values: Cow::Borrowed(&source.values),
                channel: None,
                scale: None,
                datum: None,
                confidence: Confidence::None,
                reasons: Vec::new(),
                said: false,
                negated: false,
                question: None,
                unit_given: false,
            };
            let scale = part_scale(&mut found);
            match said.iter().find(|s| s.is_about(source)) {
                Some(said) => take_said(&mut found, said),
                None => take_written(&mut found),
            }
            take_scale(&mut found, scale);
            all.push(found);
        }
        time_by_unit(&mut all, group);
    }
    all
}

/// Where no heading of a group names a time, the first column in a unit of time that only rises.
fn time_by_unit(all: &mut [Working], group: usize) {
    let mut own = all.iter_mut().filter(|found| found.group == group);
    if own.by_ref().any(|found| found.channel == Some(Channel::Time)) {
        return;
    }
    let rises = |found: &Working| {
        let finite: Vec<f64> = found.values().iter().copied().filter(|v| v.is_finite()).collect();
        let back = finite.windows(2).filter(|w| w[1] < w[0]).count();
        finite.last() > finite.first() && 20 * back <= finite.len()
    };
    let in_time = |found: &&mut Working| {
        let unit = &found.bare.1;
        let fits = matches!(written(Channel::Time, unit), Written::Fits(..));
        found.group == group && found.channel.is_none() && !found.said && fits && rises(found)
    };
    if let Some(found) = all.iter_mut().find(in_time) {
        let unit = found.bare.1.clone();
        found.channel = Some(Channel::Time);
        found.confidence = Confidence::Likely;
        found.because("it only rises, in a unit of time, and no other column is called one");
        take_unit(found, Channel::Time, &unit);
    }
}

/// Parts a scale from unit or heading.
fn part_scale(found: &mut Working) -> Option<f64> {
    let (name, unit) = (&found.source.name, &found.source.unit);
    if let Some((unit, scale)) = times::apart(unit) {
        found.bare.1 = unit;
        return Some(scale);
    }
    let (whole, scale) = times::apart(name)?;
    // A unit in brackets can be told once the scale has gone.
    let heading = split(&whole);
    let unit = if unit.is_empty() { heading.unit } else { unit.clone() };
    found.bare = (heading.name, unit);
    Some(scale)
}

/// Multiplies the numbers by a scale, where they show that it is meant so.
fn take_scale(found: &mut Working, scale: Option<f64>) {
    let (Some(scale), Some(channel)) = (scale, found.channel) else { return };
    let unit = match found.scale {
        Some(Scale::Unit(unit)) => unit.symbol,
        _ => "",
    };
    let factor = times::factor(channel, unit, &found.source.values, scale);
    found.values = times::multiplied(&found.source.values, factor);
    if factor != 1.0 {
        found.because(format!("its heading says so: numbers times {factor}"));
    }
}

fn take_said(found: &mut Working, said: &Said) {
    found.said = true;
    found.channel = said.channel;
    found.confidence = Confidence::Proved;
    found.because("said");
    let Some(channel) = said.channel else {
        found.confidence = Confidence::None;
        return;
    };
    let text = said.unit.clone().unwrap_or_else(|| found.bare.1.clone());
    let bare = text.strip_prefix('-').filter(|unit| !unit.is_empty());
    if bare.is_some() {
        found.negated = true;
        found.values = times::multiplied(&found.source.values, -1.0);
        found.because("with the other sign");
    }
    take_unit(found, channel, bare.unwrap_or(&text));
}

fn take_written(found: &mut Working) {
    let (heading, beside) = found.bare.clone();
    if let Some((name, unit)) = unit_in_heading(&heading) {
        found.channel = Some(name.channel);
        found.confidence = if name.plain { Confidence::Likely } else { Confidence::Guess };
        found.because(format!("its heading names {} and the unit", name.channel.name()));
        take_unit(found, name.channel, if beside.is_empty() { unit } else { &beside });
        found.question = two_units(name.channel, unit, &beside);
        return;
    }
    if beside.is_empty() && by_unit_alone(found, &heading) {
        found.confidence = Confidence::Likely;
        return;
    }
    let Some(name) = named(&heading) else {
        if !by_unit_alone(found, &beside) {
            found.because("heading and unit name no channel");
        }
        return;
    };
    found.channel = Some(name.channel);
    found.confidence = if name.plain { Confidence::Likely } else { Confidence::Guess };
    found.because(format!("its heading names {}", name.channel.name()));
    take_unit(found, name.channel, &beside);
}

/// A heading that ends in a unit of what it names, in one word or two: `Torque Nm`, `Torque lb ft`.
fn unit_in_heading(heading: &str) -> Option<(Named, &str)> {
    let blanks: Vec<usize> = heading.trim_end().match_indices(' ').map(|(i, _)| i).collect();
    blanks.iter().rev().take(2).find_map(|&at| {
        let (name, unit) = (named(&heading[..at])?, heading[at..].trim());
        matches!(written(name.channel, unit), Written::Fits(Scale::Unit(_), _))
            .then_some((name, unit))
    })
}

/// What to ask where the heading ends in one unit and another stands beside it.
fn two_units(channel: Channel, heading: &str, beside: &str) -> Option<String> {
    let (Written::Fits(a, _), Written::Fits(b, _)) =
        (written(channel, heading), written(channel, beside))
    else {
        return None;
    };
    (a != b).then(|| {
        format!("the heading says {heading} and the unit beside it {beside}: which? It is read in {beside}")
    })
}

/// Takes a unit that only one channel has for that channel: beside a heading that says nothing, or
/// as the heading (`U/min`, `Nm`, `PS`). False where it is none.
fn by_unit_alone(found: &mut Working, unit: &str) -> bool {
    let only = [Channel::EngineSpeed, Channel::Torque, Channel::Power, Channel::RollerSpeed];
    let unit = unit.trim();
    // Metres a second may be of air or of a piston.
    let of_road =
        |c: &Channel| *c != Channel::RollerSpeed || !unit.starts_with('m') || unit == "mph";
    let fits = |c: &Channel| {
        !unit.is_empty() && of_road(c) && matches!(written(*c, unit), Written::Fits(..))
    };
    let Some(channel) = only.into_iter().find(fits) else {
        return false;
    };
    found.channel = Some(channel);
    found.confidence = Confidence::Guess;
    found.because(format!("only its unit {unit} speaks for {}", channel.name()));
    take_unit(found, channel, unit);
    true
}

fn take_unit(found: &mut Working, channel: Channel, text: &str) {
    match written(channel, text) {
        Written::Fits(scale, datum) => {
            (found.scale, found.datum, found.unit_given) = (Some(scale), datum, true);
            found.confidence = match found.confidence {
                Confidence::Likely => Confidence::Sure,
                // A letter and the unit that goes with it: `t [ms]`, `n [1/s]`.
                Confidence::Guess if found.bare.0.trim().chars().count() == 1 => Confidence::Likely,
                other => other,
            };
            found.because(match scale {
                Scale::Own => "its own scale is kept".to_owned(),
                _ => format!("its unit {} fits", text.trim()),
            });
        }
        Written::FitsOther(channel, scale) => {
            (found.channel, found.scale, found.unit_given) = (Some(channel), Some(scale), true);
            found.because(format!("by its unit {} it is {}", text.trim(), channel.name()));
        }
        Written::Nothing if channel.quantity().is_none() => {
            found.scale = Some(Scale::Own);
            found.because("its own scale is kept");
        }
        Written::Nothing => found.because("no unit stands beside it"),
        // "Speed" alone is the engine's where it turns.
        Written::Contradicts(Quantity::EngineSpeed)
            if channel == Channel::RollerSpeed && !found.bare.0.trim().contains(' ') =>
        {
            found.channel = Some(Channel::EngineSpeed);
            found.because("by its unit it is engine speed");
            take_unit(found, Channel::EngineSpeed, text);
        }
        Written::Contradicts(quantity) => found.drop_channel(format!(
            "its unit {} is of {}; kept as an unknown column",
            text.trim(),
            quantity.with_article()
        )),
        Written::Strange => found.because(format!("its unit \"{}\" is not known", text.trim())),
    }
}
