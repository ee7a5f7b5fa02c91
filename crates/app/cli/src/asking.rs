//! From the options of `predict`, `sweep` and `moves` to a build and what is asked about it.

use crate::air::conditions;
use crate::args::Asked;
use crate::failure::Failure;
use crate::files::{self, Opened};
use crate::manner::Manner;
use crate::progress::{Progress, listen};
use crate::text::harmless;
use crate::threads::Threads;
use shortblock_cycle::SPEED_RANGE;
use shortblock_plan::{Ask, PlanError, Quality};
use shortblock_sheets::Slot;
use shortblock_units::{Quantity, parse};
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;

/// The most speeds that are asked for at once.
const MOST_SPEEDS: usize = 2000;
const SPEEDS_HINT: &str = "hint: from, to and step in rpm, 2500:8500:250, or single speeds, \
                           3000,4500,6000";

/// The most builds that are laid over each other: as many as there are kinds of lines.
const MOST_BUILDS: usize = Slot::ALL.len();

/// A build that was opened.
pub struct Subject {
    /// The build, with the values that are tried.
    pub opened: Opened,
    /// Path, value in the file (if stated) and value tried.
    pub tried: Vec<(String, Option<String>, String)>,
}

/// A build with everything that is asked about it.
pub struct Question {
    /// The build.
    pub subject: Subject,
    /// Builds that are laid over it.
    pub others: Vec<Subject>,
    /// What is asked.
    pub ask: Ask,
    /// Threads to work on.
    pub threads: Threads,
    /// Progress, from now on.
    pub progress: Progress,
}

impl Question {
    /// The build and those that are laid over it.
    pub fn subjects(&self) -> impl Iterator<Item = &Subject> {
        std::iter::once(&self.subject).chain(&self.others)
    }
}

/// Reads the file and those beside it, tries the values, understands the rest.
pub fn question(
    asked: &Asked,
    others: &[String],
    manner: &Manner,
    shop: Option<&Path>,
) -> Result<Question, Failure> {
    let speeds = asked.speeds.as_deref().map(speeds).transpose()?;
    can_be_laid(&asked.file, others)?;
    let subject = subject(&asked.file, &asked.set, shop)?;
    let others = others.iter().map(|file| self::subject(file, &asked.set, shop));
    let others = others.collect::<Result<Vec<Subject>, Failure>>()?;
    let air =
        asked.at.as_deref().map(|text| conditions(text, &subject.opened.build)).transpose()?;
    let ask = Ask {
        speeds,
        conditions: air,
        quality: if asked.coarse { Quality::Coarse } else { Quality::Fine },
        plus_minus: !asked.coarse,
        ..Ask::default()
    };
    listen();
    let progress = Progress::new(asked.progress, manner);
    Ok(Question { subject, others, ask, threads: Threads::new(asked.threads), progress })
}

/// Whether so many files can be read and told apart.
fn can_be_laid(first: &str, others: &[String]) -> Result<(), Failure> {
    let fault =
        |what: &str, hint: &str| Err(Failure::NotUnderstood(format!("{what}\nhint: {hint}")));
    let from_pipe = |file: &&str| *file == "-";
    if std::iter::once(first).chain(others.iter().map(String::as_str)).filter(from_pipe).count() > 1
    {
        return fault("standard input can be read only once", "give the other builds as files");
    }
    match 1 + others.len() {
        count if count > MOST_BUILDS => {
            let what = format!("{count} builds can't be told apart on one chart");
            fault(&what, &format!("lay up to {MOST_BUILDS} over each other"))
        }
        _ => Ok(()),
    }
}

/// Opens a build and tries the values in it.
fn subject(file: &str, set: &[String], shop: Option<&Path>) -> Result<Subject, Failure> {
    let mut opened = files::open(file, shop)?;
    let mut tried = Vec::new();
    for setting in set {
        let (path, value) = files::setting(setting)?;
        let old = opened.build.item(path).map(|item| harmless(&item.text));
        let changed = opened.build.with(path, value).map_err(|faults| {
            let what = format!("--set {setting} can't be in {}.", opened.name);
            Failure::NotUnderstood(format!("{what}\n\n{}", faults.render()))
        })?;
        opened.build = Box::new(changed);
        tried.push((path.to_owned(), old, harmless(value)));
    }
    Ok(Subject { opened, tried })
}

/// What the plan could not do, as a failure of the command; one of several builds goes by its file.
pub fn failure(error: PlanError, question: &Question) -> Failure {
    let error = match error {
        PlanError::Build { place, error } => {
            let name = question.subjects().nth(place.saturating_sub(1)).map(|s| &s.opened.name);
            let said = format!("{}: {error}", name.map_or("", String::as_str));
            return match failure(*error, question) {
                Failure::NotUnderstood(_) => Failure::NotUnderstood(said),
                Failure::NotWorkedOut(_) => Failure::NotWorkedOut(said),
                other => other,
            };
        }
        error => error,
    };
    match error {
        PlanError::Stopped => Failure::Stopped,
        PlanError::Ask { .. } | PlanError::Value { .. } => {
            Failure::NotUnderstood(error.to_string())
        }
        other => Failure::NotWorkedOut(other.to_string()),
    }
}

/// Engine speeds in rad/s from `from:to:step` or a list, in rpm unless another unit is said.
pub fn speeds(text: &str) -> Result<Vec<f64>, Failure> {
    let fault =
        |what: String| Failure::NotUnderstood(format!("--speeds {text}: {what}\n{SPEEDS_HINT}"));
    let one = |part: &str| {
        let part = part.trim();
        let bare = part.parse::<f64>().is_ok();
        let with_unit = if bare { format!("{part} rpm") } else { part.to_owned() };
        let measure = parse(&with_unit, Quantity::EngineSpeed);
        let speed = measure.map_err(|error| fault(error.what()))?;
        if speed.si > 0.0 { Ok(speed.si) } else { Err(fault(format!("{part} is not above zero"))) }
    };
    let found = found(text, &one, &fault)?;
    let (low, high) = SPEED_RANGE;
    match found.iter().find(|speed| !(low..=high).contains(*speed)) {
        Some(bad) => {
            let [bad, low, high] = [bad / RPM, (low / RPM).ceil(), (high / RPM).floor()];
            Err(fault(format!("{bad:.0} rpm is not between {low} and {high} rpm")))
        }
        None => Ok(found),
    }
}

/// The speeds of a range or a list, each read by `one`, in any range.
fn found(
    text: &str,
    one: &dyn Fn(&str) -> Result<f64, Failure>,
    fault: &dyn Fn(String) -> Failure,
) -> Result<Vec<f64>, Failure> {
    let parts: Vec<&str> = text.split(':').collect();
    match parts[..] {
        [list] => {
            let mut all: Vec<f64> = list.split(',').map(one).collect::<Result<_, _>>()?;
            all.sort_by(f64::total_cmp);
            all.dedup();
            Ok(all)
        }
        [from, to, step] => {
            let (from, to, step) = (one(from)?, one(to)?, one(step)?);
            if to < from {
                return Err(fault("the first speed is above the last".to_owned()));
            }
            // A hair more, so that rounding does not lose the last speed.
            let count = ((to - from) / step + 1e-9).floor() + 1.0;
            if count > MOST_SPEEDS as f64 {
                return Err(fault(format!("that is more than {MOST_SPEEDS} speeds")));
            }
            Ok((0..count as usize).map(|i| from + step * i as f64).collect())
        }
        _ => Err(fault("from:to:step is wanted".to_owned())),
    }
}

#[cfg(test)]
mod tests {
    use super::{RPM, speeds};

    fn rpm(text: &str) -> Vec<f64> {
        let speeds = speeds(text).unwrap();
        speeds.iter().map(|speed| (speed / RPM).round()).collect()
    }

    #[test]
    fn speeds_are_a_range_or_a_list() {
        assert_eq!(rpm("2500:3500:250"), [2500.0, 2750.0, 3000.0, 3250.0, 3500.0]);
        assert_eq!(rpm("6000, 3000,3000 rpm"), [3000.0, 6000.0]);
        assert_eq!(rpm("100 rad/s:100 rad/s:1 rad/s"), [955.0]);
    }

    #[test]
    fn speeds_that_are_none_are_refused_with_a_hint() {
        for text in [
            "",
            "a",
            "0",
            "-5",
            "9000:100:50",
            "1:2",
            "1000:2000:0",
            "1:9e9:1",
            "50 mm",
            "100,3000",
            "1e9",
        ] {
            let message = speeds(text).unwrap_err().to_string();
            assert!(message.contains("hint: from, to and step"), "{text}: {message}");
        }
    }
}
