//! The pulls of a day as a picture.

use super::{day_curve, left_out, notes::footing};
use crate::failure::Failure;
use crate::logs::{Day, DayPull};
use crate::manner::Manner;
use crate::text::counted;
use shortblock_curve::{Curve, Measured};
use shortblock_sheets::{Axis, Chart, Crowd, Slot, Theme, Unit, svg_chart};
use shortblock_units::Quantity;

/// Crowds of pulls, one for each build.
fn crowds(day: &Day, builds: &[String]) -> Result<Vec<Crowd>, Failure> {
    let mut out = Vec::new();
    for (slot, build) in Slot::ALL.into_iter().zip(builds) {
        let of_build = |p: &&DayPull| p.build == *build && left_out(day, p).is_none();
        let curves: Vec<Curve<Measured>> = day
            .pulls
            .iter()
            .filter(of_build)
            .filter_map(|p| day_curve(day, p).map(|(curve, _)| curve))
            .collect();
        let label = if build.is_empty() { "pulls" } else { build };
        let crowd = Crowd::of(slot, label, curves)
            .map_err(|error| Failure::NotWorkedOut(format!("{label} can't be drawn: {error}")))?;
        out.push(crowd);
    }
    Ok(out)
}

/// Builds in the order of their first pull, at most four.
fn builds(day: &Day) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for pull in day.pulls.iter().filter(|p| left_out(day, p).is_none()) {
        if !all.contains(&pull.build) {
            all.push(pull.build.clone());
        }
    }
    all.truncate(Slot::ALL.len());
    all
}

/// All pulls of a day as one picture.
pub fn picture(day: &Day, manner: &Manner) -> Result<String, Failure> {
    let unit = |of| Unit::of(manner.unit(of));
    let session = day.session.as_ref().and_then(|s| s.name.clone()).unwrap_or_default();
    let at = if day.roller.is_some() { ", WHEEL power" } else { "" };
    let chart = Chart {
        title: format!("{session}, {}{at}", counted(day.pulls.len(), "pull"))
            .trim_start_matches(", ")
            .to_owned(),
        axes: match day.roller {
            Some(_) => vec![Axis::power(unit(Quantity::Power))],
            None => vec![Axis::torque(unit(Quantity::Torque)), Axis::power(unit(Quantity::Power))],
        },
        crowds: crowds(day, &builds(day))?,
        notes: vec![footing(day)],
        ..Chart::default()
    };
    Ok(svg_chart(&chart, Theme::Light))
}
