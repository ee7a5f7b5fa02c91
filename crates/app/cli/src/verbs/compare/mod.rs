//! `compare`: two builds by their pulls. Is it real, where, how much, and what would settle it?

mod data;
mod page;
mod picture;
mod question;
mod remember;
mod scatter;
mod several;
mod wanted;

use crate::Done;
use crate::args::{AnswerWord, Compare};
use crate::failure::{ANSWER_IS_NO, Failure};
use crate::json::line;
use crate::manner::{Form, Manner};
use crate::write;
use question::Asked;
use several::Several;
use shortblock_compare::{CompareError, Comparison, Direction, Verdict, compare};
use shortblock_session::kept_text;
use std::path::Path;

/// Compares and says what came of it.
pub fn run(args: &Compare, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    for file in args.svg.iter().chain(&args.keep) {
        write::may_be_written(file)?;
    }
    let mut asked = question::asked(args, shop)?;
    let set = asked.pull_set();
    let mut comparison = compare(&set, &asked.scatter, &asked.plan)
        .map_err(|error| Failure::NotWorkedOut(refused(&asked, &error)))?;
    if let Some(several) = Several::of(args, &asked, &comparison, shop) {
        asked.among_several = Some(several.words(&comparison));
        if !several.holds() {
            comparison.outcome.verdict = Verdict::CantTell;
            // Both are of the answer for one part alone.
            comparison.tipping_refit = None;
            comparison.left_out.clear();
        }
    }
    if let Some(svg) = &args.svg {
        write::whole(svg, &picture::picture(&asked, &comparison, manner)?)?;
        manner.say(&format!("wrote {}", svg.display()));
    }
    if let Some(file) = &args.keep {
        write::whole(file, &kept_text(&asked.scatter))?;
        manner.say(&format!("wrote the scatter of this comparison to {}", file.display()));
    }
    if args.remember {
        manner.say(&remember::remember(&asked, &comparison)?);
    }
    let text = match manner.form {
        Form::Text => page::page(&asked, &comparison, manner),
        Form::Json => line(&data::as_json(&asked, &comparison, manner), manner),
        Form::Csv => data::as_csv(&asked, &comparison, manner),
    };
    let holds = args.assert.is_none_or(|wanted| is(&comparison, wanted));
    Ok(Done { text, code: if holds { 0 } else { ANSWER_IS_NO } })
}

/// Why nothing is compared; where rates differ, what is missing for the inertia to be taken out.
fn refused(asked: &Asked, error: &CompareError) -> String {
    match error {
        CompareError::SweepRate { .. } => format!("{error}\nhint: {}", asked.wanted_for_inertia()),
        _ => error.to_string(),
    }
}

fn is(comparison: &Comparison, wanted: AnswerWord) -> bool {
    let real = |way: Option<Direction>| match comparison.outcome.verdict {
        Verdict::Real { direction, .. } => way.is_none_or(|way| way == direction),
        _ => false,
    };
    match wanted {
        AnswerWord::Real => real(None),
        AnswerWord::Gain => real(Some(Direction::Gain)),
        AnswerWord::Loss => real(Some(Direction::Loss)),
        AnswerWord::NoDifference => {
            matches!(comparison.outcome.verdict, Verdict::NoDifferenceWorthHaving { .. })
        }
    }
}

/// Fraction of torque as per cent.
fn per_cent(fraction: f64) -> f64 {
    100.0 * fraction.exp_m1()
}

/// Mean corrected torque of A at the speeds of the band, N·m.
fn torque_of_a(asked: &Asked, comparison: &Comparison) -> Vec<f64> {
    let set = asked.pull_set();
    let at = |rpm: f64| {
        let g = set.speeds_rpm.iter().position(|n| (n - rpm).abs() < 1.0);
        let values =
            set.pulls.iter().filter(|p| p.build == comparison.plan.a && p.set_aside.is_none());
        let values: Vec<f64> = values.filter_map(|p| p.ln_torque.get(g?).copied()).collect();
        let good: Vec<f64> = values.into_iter().filter(|v| v.is_finite()).collect();
        (good.iter().sum::<f64>() / good.len() as f64).exp()
    };
    comparison.outcome.band.speeds_rpm.iter().map(|rpm| at(*rpm)).collect()
}
