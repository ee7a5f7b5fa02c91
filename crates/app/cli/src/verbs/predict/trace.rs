//! `predict --trace`: what happens over the crank angle at one speed.

use crate::Done;
use crate::asking::{self, Question};
use crate::failure::Failure;
use crate::manner::{Form, Manner};
use crate::text::csv_row;
use serde_json::json;
use shortblock_cycle::Trace;
use std::f64::consts::PI;

/// Works out the traces and writes them, one row a step of the crank.
pub fn run(stations: &[String], question: &Question, manner: &Manner) -> Result<Done, Failure> {
    let speeds = question.ask.speeds.as_deref().unwrap_or_default();
    let &[speed] = speeds else {
        let what = format!("--trace is for one speed, and --speeds gives {}", speeds.len());
        return Err(Failure::NotUnderstood(format!("{what}\nhint: --speeds 6000")));
    };
    let build = &question.subject.opened.build;
    let found = shortblock_plan::trace(build, &question.ask, speed, stations, &question.progress);
    question.progress.clear();
    let trace = found.map_err(|error| asking::failure(error, question))?;
    let text = match manner.form {
        Form::Json => crate::json::line(&as_json(&trace, speed), manner),
        Form::Text | Form::Csv => as_csv(&trace),
    };
    Ok(Done { text, code: 0 })
}

/// Every column in SI with its unit, everything predicted; the angle counts from the firing dead
/// centre of the first cylinder of the firing order.
fn as_csv(trace: &Trace) -> String {
    let mut headings = vec!["crank angle deg".to_owned()];
    headings.extend(trace.columns.iter().map(|c| format!("{} {}", c.name, c.unit)));
    headings.push("kind".to_owned());
    let mut text = csv_row(&headings);
    for (row, angle) in trace.angle.iter().enumerate() {
        let mut cells = vec![format!("{:.3}", angle * 180.0 / PI)];
        cells.extend(trace.columns.iter().map(|column| format!("{:.6e}", column.values[row])));
        cells.push("predicted".to_owned());
        text += &csv_row(&cells);
    }
    text
}

fn as_json(trace: &Trace, speed: f64) -> serde_json::Value {
    let degrees: Vec<f64> = trace.angle.iter().map(|angle| angle * 180.0 / PI).collect();
    let columns: Vec<_> = trace
        .columns
        .iter()
        .map(|column| {
            json!({
                "name": column.name,
                "value": column.values,
                "unit": column.unit,
                "plus_minus": null,
                "kind": "predicted",
            })
        })
        .collect();
    json!({
        "format": "shortblock/trace/1",
        "speed": { "value": speed * 30.0 / PI, "unit": "rpm", "kind": "given" },
        "crank_angle": { "value": degrees, "unit": "deg" },
        "columns": columns,
    })
}
