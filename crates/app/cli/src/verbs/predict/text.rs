//! The prediction for people: charts, table, and what to know about it, in 80 columns.

use super::Answer;
use super::heading::{charts, heading};
use super::phrases::{
    assumed, best, cells, failed, goal, holds, limits, plus_minus_from, range, worked_out,
    wrapped_entry,
};
use super::table::table;
use crate::manner::Manner;
use shortblock_sheets::{Series, Slot};
use shortblock_units::Quantity;

/// The whole page.
pub fn page(answer: &Answer, manner: &Manner) -> String {
    let prediction = &answer.prediction;
    let series = [Series::predicted(Slot::A, prediction.curve.clone())];
    let mut out = heading(&answer.question, manner);
    out += &charts(&series, prediction.curve.speed().len(), manner);
    out += &format!("\n{}\n", table(prediction, manner));
    out += &summary(answer, manner);
    out
}

fn summary(answer: &Answer, manner: &Manner) -> String {
    let prediction = &answer.prediction;
    let build = &answer.question.subject.opened.build;
    let mut out = String::new();
    let mut entry = |heading: &str, text: &str| out += &wrapped_entry(heading, text, manner);
    entry("best torque", &best(&prediction.best_torque, Quantity::Torque, manner));
    entry("best power", &best(&prediction.best_power, Quantity::Power, manner));
    entry("holds", &holds(prediction));
    if let Some(mean) = &prediction.averages {
        let torque = cells(&mean.torque, Quantity::Torque, manner);
        let power = cells(&mean.power, Quantity::Power, manner);
        let range = range(mean.low, mean.high);
        entry("on average", &format!("{torque} and {power} over {range}"));
    }
    for check in &prediction.goals {
        entry("goal", &goal(check, build, manner));
    }
    for (i, line) in limits(&prediction.limits, manner).iter().enumerate() {
        entry(if i == 0 { "limits" } else { "" }, line);
    }
    for failure in &prediction.failures {
        entry("not worked out", &failed(failure));
    }
    for (i, remark) in prediction.remarks.iter().enumerate() {
        entry(if i == 0 { "note" } else { "" }, remark);
    }
    entry("assumed", &assumed(&answer.question.subject, prediction));
    entry("± from", &plus_minus_from(prediction));
    entry("worked out", &worked_out(answer));
    out
}
