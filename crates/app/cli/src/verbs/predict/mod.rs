//! `predict`: the curve with its ±, limits and goal.

mod data;
mod picture;
mod text;
mod trace;

use crate::Done;
use crate::args::Predict;
use crate::asking::{self, Question};
use crate::claim::Claim;
use crate::failure::{ANSWER_IS_NO, Failure, NOT_WORKED_OUT};
use crate::manner::{Form, Manner};
use crate::write;
use shortblock_plan::Prediction;
use std::path::Path;
use std::time::Duration;

pub use data::{curves, figure};
pub use picture::{power_axis, torque_axis};
pub use text::{cells, charts, heading, place, wrapped_entry};

/// A prediction with what was asked for it.
pub struct Answer {
    /// What was asked.
    pub question: Question,
    /// What came back.
    pub prediction: Prediction,
    /// How long it took.
    pub took: Duration,
}

/// Predicts the build and says what came of it.
pub fn run(args: &Predict, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let claims: Vec<Claim> =
        args.assert.iter().map(|c| Claim::read(c)).collect::<Result<_, _>>()?;
    if let Some(svg) = &args.svg {
        write::may_be_written(svg)?;
    }
    let question = asking::question(&args.asked, manner, shop)?;
    if !args.trace.is_empty() {
        return trace::run(&args.trace, &question, manner);
    }
    let found = shortblock_plan::predict(
        &question.opened.build,
        &question.ask,
        &question.threads,
        &question.progress,
    );
    question.progress.clear();
    let prediction = found.map_err(asking::failure)?;
    let took = question.progress.took();
    let answer = Answer { question, prediction, took };
    if let Some(svg) = &args.svg {
        write::whole(svg, &picture::svg(&answer, manner))?;
        manner.say(&format!("wrote {}", svg.display()));
    }
    let text = match manner.form {
        Form::Text => text::page(&answer, manner),
        Form::Json => crate::json::line(&data::json(&answer, manner), manner),
        Form::Csv => data::csv(&answer, manner),
    };
    Ok(Done { text, code: code(&answer.prediction, &claims, manner) })
}

/// A part that is missing weighs more than a claim that does not hold.
fn code(prediction: &Prediction, claims: &[Claim], manner: &Manner) -> u8 {
    let mut code = 0;
    for claim in claims.iter().filter(|claim| !claim.holds(&prediction.curve)) {
        manner.say(&format!("the answer is no: {}", claim.text));
        code = ANSWER_IS_NO;
    }
    if prediction.failures.is_empty() { code } else { NOT_WORKED_OUT }
}
