//! The columns of a log with what their names, units and numbers say, before anything is decided.

use super::finding::{Confidence, Match, Said};
use super::name::{Named, named};
use super::power::median;
use super::scale::{Datum, Scale, Written, written};
use crate::channel::Channel;
use crate::log::{Column, Log};

/// A column under examination.
pub(crate) struct Working<'a> {
    pub group: usize,
    pub column: usize,
    pub source: &'a Column,
    pub channel: Option<Channel>,
    pub scale: Option<Scale>,
    pub datum: Option<Datum>,
    pub confidence: Confidence,
    pub reasons: Vec<String>,
    /// True when a person said what it is.
    pub said: bool,
    /// Whether the unit was written beside the column, or said.
    pub unit_given: bool,
}

impl<'a> Working<'a> {
    pub fn heading(&self) -> &'a str {
        &self.source.name
    }

    pub fn values(&self) -> &'a [f64] {
        &self.source.values
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
            unit: self.scale.map(Scale::word).unwrap_or_default(),
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
                channel: None,
                scale: None,
                datum: None,
                confidence: Confidence::None,
                reasons: Vec::new(),
                said: false,
                unit_given: false,
            };
            match said.iter().find(|s| s.is_about(source)) {
                Some(said) => take_said(&mut found, said),
                None => take_written(&mut found),
            }
            all.push(found);
        }
    }
    all
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
    let text = said.unit.as_deref().unwrap_or(&found.source.unit);
    take_unit(found, channel, text);
}

fn take_written(found: &mut Working) {
    let heading = found.heading();
    if let Some((name, unit)) = unit_in_heading(heading) {
        found.channel = Some(name.channel);
        found.confidence = if name.plain { Confidence::Likely } else { Confidence::Guess };
        found.because(format!("\"{heading}\" names {} and its unit", name.channel.name()));
        let beside = &found.source.unit;
        take_unit(found, name.channel, if beside.is_empty() { unit } else { beside });
        return;
    }
    if found.source.unit.is_empty() && by_unit_alone(found, heading) {
        found.confidence = Confidence::Likely;
        return;
    }
    let Some(name) = named(heading) else {
        if !by_unit_alone(found, &found.source.unit) {
            found.because("heading and unit name no channel");
        }
        return;
    };
    found.channel = Some(name.channel);
    found.confidence = if name.plain { Confidence::Likely } else { Confidence::Guess };
    found.because(format!("\"{heading}\" names {}", name.channel.name()));
    let text = &found.source.unit;
    take_unit(found, name.channel, text);
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

/// Takes a unit that only one channel has for that channel: beside a heading that says nothing, or
/// as the heading (`U/min`, `Nm`, `PS`). False where it is none.
fn by_unit_alone(found: &mut Working, unit: &str) -> bool {
    let only = [Channel::EngineSpeed, Channel::Torque, Channel::Power];
    let unit = unit.trim();
    let fits = |c: &Channel| !unit.is_empty() && matches!(written(*c, unit), Written::Fits(..));
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
            if found.confidence == Confidence::Likely {
                found.confidence = Confidence::Sure;
            }
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
        Written::Contradicts(quantity) => found.drop_channel(format!(
            "its unit {} is of {}; kept as an unknown column",
            text.trim(),
            quantity.with_article()
        )),
        Written::Strange => found.because(format!("its unit \"{}\" is not known", text.trim())),
    }
}
