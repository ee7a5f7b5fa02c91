//! What the columns of a log are: by heading, unit, size of the numbers and by what other columns
//! prove, with the reasons, and a question only where all of these leave two answers.

mod clock;
mod columns;
mod complete;
mod datum;
mod expected;
mod finding;
mod layout;
mod name;
mod power;
mod proved;
mod scale;
mod settle;
mod times;

pub use finding::{Confidence, Doubt, Match, Recognition, Said, Standing};
pub use layout::Layout;
pub use scale::is_unit_of;

use crate::channel::Channel;
use crate::log::Log;
use columns::Working;
use settle::STANDS_RPM;
use shortblock_units::{Quantity, unit};

/// Rows above this share of the highest speed count as pulling (ours).
const PULLING: f64 = 0.4;

/// Finds what every column of a log is. What is `said` of a column is taken before anything else.
/// Never fails: what cannot be told stays an unknown column, or is asked about.
pub fn recognise(log: &Log, said: &[Said]) -> Recognition {
    let mut all = columns::examine(log, said);
    let speed = main_speed(&mut all);
    let turns = speed.map(|i| (all[i].group, rpm(&all[i])));
    let top = turns.as_ref().map_or(0.0, |(_, n)| n.iter().copied().fold(0.0, f64::max));
    let at = |group: usize, row: usize| match &turns {
        Some((of, n)) if *of == group => n.get(row).copied(),
        _ => None,
    };
    let pulling = |group: usize, row: usize| at(group, row).is_none_or(|n| n > PULLING * top);
    let stands = |group: usize, row: usize| at(group, row).is_some_and(|n| n < STANDS_RPM);
    let mut doubts = Vec::new();
    let mut worked = proved::Worked::default();
    if let (Some(speed), Some((_, rpm))) = (speed, &turns) {
        worked = proved::power(&mut all, speed, rpm, &mut doubts);
    }
    doubts.extend(settle::units(&mut all, pulling));
    doubts.extend(all.iter().filter_map(questioned));
    one_column_a_channel(&mut all);
    let barometer = barometer(&all);
    doubts.extend(datum::datums(&mut all, stands, barometer));
    one_column_a_channel(&mut all);
    let standing = proved::standing(&all, worked, log, &mut doubts);
    let mut recording = clock::recording(&all, log, speed, barometer, &mut doubts);
    complete::complete(&mut recording, standing);
    Recognition {
        matches: all.into_iter().map(Working::into_match).collect(),
        doubts,
        standing,
        recording,
    }
}

/// What a column asks by itself, where nothing proved the answer.
fn questioned(found: &Working) -> Option<Doubt> {
    let question = found.question.clone().filter(|_| found.confidence < Confidence::Proved)?;
    Some(Doubt { heading: found.heading().to_owned(), question })
}

/// The column of engine speed that all else is measured by.
fn main_speed(all: &mut [Working]) -> Option<usize> {
    let speeds = all.iter().enumerate().filter(|(_, f)| f.channel == Some(Channel::EngineSpeed));
    let rank = |f: &Working| (f.confidence, f.values().len());
    let (best, _) = speeds.max_by(|(i, a), (j, b)| rank(a).cmp(&rank(b)).then(j.cmp(i)))?;
    if all[best].scale.is_none() {
        all[best].scale = unit(Quantity::EngineSpeed, "rpm").map(scale::Scale::Unit);
        all[best].because("read in rpm");
    }
    Some(best)
}

/// Engine speed in rpm, not a number where missing.
fn rpm(found: &Working) -> Vec<f64> {
    let scale = found.scale.unwrap_or(scale::Scale::Own);
    let factor = unit(Quantity::EngineSpeed, "rpm").map_or(1.0, |u| u.factor);
    found.values().iter().map(|v| scale.to_si(*v) / factor).collect()
}

/// Of several columns that claim a channel the surest keeps it, of equal ones the first.
fn one_column_a_channel(all: &mut [Working]) {
    for i in 0..all.len() {
        let Some(channel) = all[i].channel.filter(|c| *c != Channel::Time) else { continue };
        let better = |j: &usize| {
            let other = &all[*j];
            other.channel == Some(channel)
                && (other.confidence > all[i].confidence
                    || other.confidence == all[i].confidence && *j < i)
        };
        if let Some(winner) = (0..all.len()).filter(|j| *j != i).find(better) {
            let heading = all[winner].heading();
            all[i].drop_channel(format!("{} is taken from \"{heading}\"", channel.name()));
        }
    }
}

/// Middle of the barometer column, Pa, where it is one.
fn barometer(all: &[Working]) -> Option<f64> {
    let found = all.iter().find(|f| f.channel == Some(Channel::Barometer))?;
    let pressure = found.scale?.to_si(found.middle(|_| true)?);
    expected::of(Channel::Barometer)?.middle.contains(&pressure).then_some(pressure)
}
