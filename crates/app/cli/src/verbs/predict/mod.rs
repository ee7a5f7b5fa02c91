//! `predict`: the curve with its ±, limits and goal; several builds laid over each other.

mod data;
mod differences;
mod heading;
mod laid;
mod phrases;
mod picture;
mod rows;
mod table;
mod text;
mod trace;

use crate::Done;
use crate::args::Predict;
use crate::asking::{self, Question, Subject};
use crate::claim::Claim;
use crate::failure::{ANSWER_IS_NO, Failure, NOT_WORKED_OUT};
use crate::manner::{Form, Manner};
use crate::write;
use shortblock_plan::{BuildDifference, Prediction};
use shortblock_sheets::Slot;
use std::path::Path;
use std::time::Duration;

pub use data::{curves, figure, less_first};
pub use heading::{charts, heading};
pub use phrases::{cells, failed, wrapped_entry};
pub use picture::{power_axis, torque_axis};
pub use rows::less;

/// Predictions with what was asked for them.
pub struct Answer {
    /// What was asked.
    pub question: Question,
    /// What came back.
    pub prediction: Prediction,
    /// What came back for the builds that are laid over the first.
    pub others: Vec<Laid>,
    /// How long it took.
    pub took: Duration,
}

/// A build that is laid over the first.
pub struct Laid {
    /// Its prediction.
    pub prediction: Prediction,
    /// That less the first one's.
    pub difference: BuildDifference,
}

/// One build of an answer.
pub struct One<'a> {
    /// Its line on charts.
    pub slot: Slot,
    /// Its letter, A for the first.
    pub letter: char,
    /// What was asked about.
    pub subject: &'a Subject,
    /// What came back.
    pub prediction: &'a Prediction,
}

impl Answer {
    /// The builds one by one, the first one first.
    pub fn each(&self) -> impl Iterator<Item = One<'_>> {
        let others = self.others.iter().map(|laid| &laid.prediction);
        let predictions = std::iter::once(&self.prediction).chain(others);
        let lines = Slot::ALL.into_iter().zip('A'..);
        lines.zip(self.question.subjects().zip(predictions)).map(
            |((slot, letter), (subject, prediction))| One { slot, letter, subject, prediction },
        )
    }

    /// The builds that are laid over the first, each with its difference to it.
    pub fn laid(&self) -> impl Iterator<Item = (One<'_>, &BuildDifference)> {
        self.each().skip(1).zip(self.others.iter().map(|laid| &laid.difference))
    }
}

/// Predicts the build, or several, and says what came of it.
pub fn run(args: &Predict, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    let claims: Vec<Claim> =
        args.assert.iter().map(|c| Claim::read(c)).collect::<Result<_, _>>()?;
    if !args.trace.is_empty() && !args.others.is_empty() {
        let hint = "hint: name one build; write a trace of each and lay them over each other";
        return Err(Failure::NotUnderstood(format!("--trace is for one build\n{hint}")));
    }
    if let Some(svg) = &args.svg {
        write::may_be_written(svg)?;
    }
    let question = asking::question(&args.asked, &args.others, manner, shop)?;
    if !args.trace.is_empty() {
        return trace::run(&args.trace, &question, manner);
    }
    let answer = answer(question)?;
    if let Some(svg) = &args.svg {
        write::whole(svg, &picture::svg(&answer, manner))?;
        manner.say(&format!("wrote {}", svg.display()));
    }
    let text = match manner.form {
        Form::Text if answer.others.is_empty() => text::page(&answer, manner),
        Form::Text => laid::page(&answer, manner),
        Form::Json => crate::json::line(&data::json(&answer, manner), manner),
        Form::Csv => rows::csv(&answer, manner),
    };
    let code = code(&answer, &claims, manner);
    Ok(Done { text, code })
}

/// Works the builds out.
fn answer(question: Question) -> Result<Answer, Failure> {
    let Question { ask, threads, progress, .. } = &question;
    let builds: Vec<_> = question.subjects().map(|s| s.opened.build.as_ref()).collect();
    let found = match builds[..] {
        [only] => shortblock_plan::predict(only, ask, threads, progress)
            .map(|prediction| (vec![prediction], Vec::new())),
        _ => shortblock_plan::compare(&builds, ask, threads, progress)
            .map(|found| (found.predictions, found.differences)),
    };
    progress.clear();
    let (predictions, differences) = found.map_err(|error| asking::failure(error, &question))?;
    let mut predictions = predictions.into_iter();
    let prediction = predictions.next().expect("a prediction comes for each build asked for");
    let others = predictions
        .zip(differences)
        .map(|(prediction, difference)| Laid { prediction, difference })
        .collect();
    let took = question.progress.took();
    Ok(Answer { question, prediction, others, took })
}

/// A part that is missing weighs more than a claim that does not hold.
fn code(answer: &Answer, claims: &[Claim], manner: &Manner) -> u8 {
    let mut code = 0;
    for one in answer.each() {
        for claim in claims.iter().filter(|claim| !claim.holds(&one.prediction.curve)) {
            let of = if answer.others.is_empty() {
                String::new()
            } else {
                format!("{}: ", one.subject.opened.name)
            };
            manner.say(&format!("{of}the answer is no: {}", claim.text));
            code = ANSWER_IS_NO;
        }
    }
    let whole = answer.each().all(|one| one.prediction.failures.is_empty());
    if whole { code } else { NOT_WORKED_OUT }
}
