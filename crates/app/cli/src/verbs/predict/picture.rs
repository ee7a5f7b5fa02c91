//! The prediction as a picture.

use super::Answer;
use super::heading::{air_of, title};
use super::laid::{lines, why};
use crate::manner::Manner;
use crate::text::counted;
use shortblock_engine::{Build, Wish};
use shortblock_sheets::{
    Axis, Chart, DifferenceSeries, Goal, Series, Slot, Theme, Unit, svg_chart,
};
use shortblock_units::Quantity;

/// Power in the unit that is shown.
pub fn power_axis(manner: &Manner) -> Axis {
    Axis::power(Unit::of(manner.unit(Quantity::Power)))
}

/// Torque in the unit that is shown.
pub fn torque_axis(manner: &Manner) -> Axis {
    Axis::torque(Unit::of(manner.unit(Quantity::Torque)))
}

/// Torque over power on one axis of engine speed, with goals and what the reader must know; below
/// them the difference in power of each build that is laid over the first.
pub fn svg(answer: &Answer, manner: &Manner) -> String {
    let chart = Chart {
        title: heading(answer),
        axes: vec![torque_axis(manner), power_axis(manner)],
        series: match answer.others.is_empty() {
            true => vec![Series::predicted(Slot::A, answer.prediction.curve.clone())],
            false => lines(answer),
        },
        goals: all_goals(answer),
        differences: answer
            .laid()
            .map(|(one, difference)| {
                let named = difference.curve.clone().relabelled(one.letter, 'A');
                DifferenceSeries::new(&named, power_axis(manner), one.slot)
            })
            .collect(),
        notes: notes(answer, manner),
        ..Chart::default()
    };
    svg_chart(&chart, Theme::Light)
}

/// The one build's title, or all of them by letter.
fn heading(answer: &Answer) -> String {
    match answer.others.is_empty() {
        true => title(&answer.question.subject),
        false => {
            let each = answer.each().map(|one| format!("{}: {}", one.letter, title(one.subject)));
            each.collect::<Vec<String>>().join("; ")
        }
    }
}

fn notes(answer: &Answer, manner: &Manner) -> Vec<String> {
    let asked = answer.question.ask.conditions.as_ref();
    let mut notes: Vec<String> =
        answer.each().map(|one| air_of(one.subject, asked, manner)).collect();
    notes.dedup();
    if answer.prediction.band.is_some() {
        notes.push("± 19 times in 20, from uncertain values, model and mesh.".to_owned());
        if !answer.others.is_empty() {
            notes.push(why(answer).to_owned());
        }
    }
    let assumed = answer.each().map(|one| counted(one.prediction.assumed, "assumed value"));
    let assumed: Vec<String> = assumed.collect();
    let assumed = assumed.join(" and ");
    notes.push(format!("Predicted, with {assumed}; not run on a dynamometer."));
    notes
}

/// The goals of all builds, each once.
fn all_goals(answer: &Answer) -> Vec<Goal> {
    let mut all: Vec<Goal> = Vec::new();
    for goal in answer.each().flat_map(|one| goals(&one.subject.opened.build)) {
        if !all.contains(&goal) {
            all.push(goal);
        }
    }
    all
}

fn goals(build: &Build) -> Vec<Goal> {
    let goal = |wish: &Wish, quantity| Goal {
        quantity,
        value: wish.value.si,
        from: wish.from,
        to: wish.to,
    };
    let power = build.goal.power.iter().map(|w| goal(w, shortblock_curve::Quantity::Power));
    let torque = build.goal.torque.iter().map(|w| goal(w, shortblock_curve::Quantity::Torque));
    power.chain(torque).collect()
}
