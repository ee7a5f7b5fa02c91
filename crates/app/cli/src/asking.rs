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
use shortblock_units::{Quantity, parse};
use std::f64::consts::PI;
use std::path::Path;

const RPM: f64 = PI / 30.0;

/// The most speeds that are asked for at once.
const MOST_SPEEDS: usize = 2000;
const SPEEDS_HINT: &str = "hint: from, to and step in rpm, 2500:8500:250, or single speeds, \
                           3000,4500,6000";

/// A build with everything that is asked about it.
pub struct Question {
    /// The build, with the values that are tried.
    pub opened: Opened,
    /// What is asked.
    pub ask: Ask,
    /// Path, value in the file (if stated) and value tried.
    pub tried: Vec<(String, Option<String>, String)>,
    /// Threads to work on.
    pub threads: Threads,
    /// Progress, from now on.
    pub progress: Progress,
}

/// Reads the file, tries the values, understands the rest.
pub fn question(asked: &Asked, manner: &Manner, shop: Option<&Path>) -> Result<Question, Failure> {
    let speeds = asked.speeds.as_deref().map(speeds).transpose()?;
    let mut opened = files::open(&asked.file, shop)?;
    let mut tried = Vec::new();
    for setting in &asked.set {
        let (path, value) = files::setting(setting)?;
        let old = opened.build.item(path).map(|item| harmless(&item.text));
        let changed = opened.build.with(path, value).map_err(|faults| {
            Failure::NotUnderstood(format!("--set {setting} can't be.\n\n{}", faults.render()))
        })?;
        opened.build = Box::new(changed);
        tried.push((path.to_owned(), old, harmless(value)));
    }
    let air = asked.at.as_deref().map(|text| conditions(text, &opened.build)).transpose()?;
    let ask = Ask {
        speeds,
        conditions: air,
        quality: if asked.coarse { Quality::Coarse } else { Quality::Fine },
        plus_minus: !asked.coarse,
        ..Ask::default()
    };
    listen();
    let progress = Progress::new(asked.progress, manner);
    Ok(Question { opened, ask, tried, threads: Threads::new(asked.threads), progress })
}

/// What the plan could not do, as a failure of the command.
pub fn failure(error: PlanError) -> Failure {
    match error {
        PlanError::Stopped => Failure::Stopped,
        PlanError::Ask { .. } | PlanError::Value { .. } => {
            Failure::NotUnderstood(error.to_string())
        }
        other => Failure::NotWorkedOut(other.to_string()),
    }
}

/// Engine speeds in rad/s from `from:to:step` or a list, in rpm unless another unit is said.
fn speeds(text: &str) -> Result<Vec<f64>, Failure> {
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
