//! The prediction as a picture.

use super::Answer;
use super::text::{air_of, title};
use crate::manner::Manner;
use shortblock_engine::{Build, Wish};
use shortblock_sheets::{Axis, Chart, Goal, Series, Slot, Theme, Unit, svg_chart};
use shortblock_units::Quantity;

/// Power in the unit that is shown.
pub fn power_axis(manner: &Manner) -> Axis {
    Axis::power(Unit::of(manner.unit(Quantity::Power)))
}

/// Torque in the unit that is shown.
pub fn torque_axis(manner: &Manner) -> Axis {
    Axis::torque(Unit::of(manner.unit(Quantity::Torque)))
}

/// Torque over power on one axis of engine speed, with goals and what the reader must know.
pub fn svg(answer: &Answer, manner: &Manner) -> String {
    let prediction = &answer.prediction;
    let mut notes = vec![air_of(&answer.question, manner)];
    if prediction.band.is_some() {
        notes.push("± 19 times in 20, from uncertain values, model and mesh.".to_owned());
    }
    let assumed = crate::text::counted(prediction.assumed, "assumed value");
    notes.push(format!("Predicted, with {assumed}; not run on a dynamometer."));
    let chart = Chart {
        title: title(&answer.question),
        axes: vec![torque_axis(manner), power_axis(manner)],
        series: vec![Series::predicted(Slot::A, prediction.curve.clone())],
        goals: goals(&answer.question.opened.build),
        notes,
        ..Chart::default()
    };
    svg_chart(&chart, Theme::Light)
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
