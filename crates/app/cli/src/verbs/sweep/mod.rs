//! `sweep`: curves over one or two values.

mod data;
mod text;
mod values;

use crate::Done;
use crate::args::Sweep;
use crate::asking::{self, Question};
use crate::failure::{Failure, NOT_WORKED_OUT};
use crate::json::line;
use crate::manner::{Form, Manner};
use crate::text::harmless;
use crate::verbs::predict::{power_axis, torque_axis};
use crate::write;
use shortblock_plan::{PlanError, Swept, Vary};
use shortblock_sheets::{Chart, Family, Series, Slot, Theme, svg_chart};
use std::path::Path;

/// Predicts the build with each value and says what came of it.
pub fn run(args: &Sweep, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let vary: Vec<Vary> =
        args.vary.iter().map(|text| values::values(text)).collect::<Result<_, _>>()?;
    if vary.len() > 2 {
        return Err(Failure::NotUnderstood(
            "more than two --vary\nhint: go through one or two values; hold others with --set"
                .into(),
        ));
    }
    if let Some(svg) = &args.svg {
        if vary.len() > 1 {
            let hint = "hint: leave one --vary out, or hold it with --set";
            return Err(Failure::NotUnderstood(format!("--svg draws one varied value\n{hint}")));
        }
        write::may_be_written(svg)?;
    }
    let question = asking::question(&args.asked, &[], manner, shop)?;
    let found = shortblock_plan::sweep(
        &question.subject.opened.build,
        &vary,
        &question.ask,
        &question.threads,
        &question.progress,
    );
    question.progress.clear();
    let found = found.map_err(|error| asking::failure(error, &question))?;
    let swept = &found.curves;
    if let Some(error) = none_fits(swept) {
        return Err(Failure::NotUnderstood(error));
    }
    if let Some(svg) = &args.svg {
        write::whole(svg, &picture(&question, swept, manner))?;
        manner.say(&format!("wrote {}", svg.display()));
    }
    let text = match manner.form {
        Form::Text => text::page(&question, &found, manner),
        Form::Json => line(&data::json(&question, &found, manner), manner),
        Form::Csv => data::csv(&found, manner),
    };
    let whole = |one: &Swept| one.prediction.as_ref().is_ok_and(|p| p.failures.is_empty());
    Ok(Done { text, code: if swept.iter().all(whole) { 0 } else { NOT_WORKED_OUT } })
}

/// What is the matter when not one of the values fits the build.
fn none_fits(swept: &[Swept]) -> Option<String> {
    let misfit = |one: &Swept| matches!(one.prediction, Err(PlanError::Value { .. }));
    let first = swept.first().filter(|_| swept.iter().all(misfit))?;
    first.prediction.as_ref().err().map(|error| format!("--vary {error}"))
}

/// `700 mm`, or `700 mm, 10.5` for two.
fn label(one: &Swept) -> String {
    let values: Vec<String> = one.values.iter().map(|(_, value)| harmless(value)).collect();
    values.join(", ")
}

fn paths(swept: &[Swept]) -> Vec<&str> {
    let first = swept.first().map(|one| one.values.as_slice()).unwrap_or_default();
    first.iter().map(|(path, _)| path.as_str()).collect()
}

fn drawn(swept: &[Swept]) -> Vec<Series> {
    let good = swept.iter().filter_map(|one| Some((label(one), one.prediction.as_ref().ok()?)));
    good.map(|(label, p)| Series::predicted(Slot::A, p.curve.clone().relabelled(label))).collect()
}

fn picture(question: &Question, swept: &[Swept], manner: &Manner) -> String {
    let name = question.subject.opened.label();
    let varied = paths(swept).join(", ");
    let chart = Chart {
        title: format!("{name}: over {varied}"),
        axes: vec![torque_axis(manner), power_axis(manner)],
        family: Some(Family { varied, members: drawn(swept) }),
        notes: vec!["Predicted; not run on a dynamometer.".to_owned()],
        ..Chart::default()
    };
    svg_chart(&chart, Theme::Light)
}
