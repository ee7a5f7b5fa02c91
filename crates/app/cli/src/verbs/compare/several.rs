//! Several parts tried against one build: the more are tried, the likelier one looks real by luck.

use super::question::{Asked, asked_of};
use crate::args::Compare;
use shortblock_compare::{Comparison, Verdict, compare, holm};
use std::path::Path;
use std::rc::Rc;

/// What the other parts of these pulls do to an answer.
pub struct Several {
    /// The other builds that were run beside A.
    others: Vec<String>,
    /// Chance of an average as far from 0 when there is no difference, and the same among all parts
    /// (Holm 1979).
    alone: f64,
    among: f64,
    /// What it may be at most.
    level: f64,
    /// The answer is real by the average, not by a stretch of the curve alone.
    by_average: bool,
}

impl Several {
    /// Of a comparison; `None` where no other build was run, or the answer is not *real*.
    pub fn of(
        args: &Compare,
        found: &Asked,
        comparison: &Comparison,
        shop: Option<&Path>,
    ) -> Option<Self> {
        let others = others(found, comparison);
        if others.is_empty() || !matches!(comparison.outcome.verdict, Verdict::Real { .. }) {
            return None;
        }
        let alone = comparison.outcome.average.p_value();
        let beside = |b: &String| {
            let a = Some(comparison.plan.a.clone());
            let other = Compare { a, b: Some(b.clone()), ..args.clone() };
            let asked = asked_of(Rc::clone(&found.days), &other, shop).ok()?;
            let other = compare(&asked.pull_set(), &asked.scatter, &asked.plan).ok()?;
            Some(other.outcome.average.p_value())
        };
        let all: Vec<f64> = [alone].into_iter().chain(others.iter().filter_map(beside)).collect();
        let level = comparison.levels.average;
        let by_average = comparison.outcome.interval.excludes_zero();
        Some(Self { among: holm(&all)[0], others, alone, level, by_average })
    }

    /// Whether the answer stands among all parts. A stretch of the curve is not charged for them.
    pub fn holds(&self) -> bool {
        !self.by_average || self.among <= self.level
    }

    /// In words.
    pub fn words(&self, comparison: &Comparison) -> String {
        let (a, b) = (&comparison.plan.a, &comparison.plan.b);
        let others = self.others.join(", ");
        if !self.by_average {
            return format!(
                "{b} is not the only part tried against {a} in these pulls ({others} too): the \
                 stretches of the curve are not charged for that"
            );
        }
        let verdict = if self.holds() { "it stays real" } else { "alone it would be real" };
        format!(
            "{b} is not the only part tried against {a} in these pulls ({others} too): luck alone \
             makes an average like this {} for one part and {} for the best of all (Holm), at most \
             {:.0} in 100 counts: {verdict}",
            times(self.alone),
            times(self.among),
            100.0 * self.level
        )
    }
}

/// Builds with pulls that count, but A and B.
fn others(found: &Asked, comparison: &Comparison) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for day in found.days.iter() {
        for pull in &day.pulls {
            let kept = day.said(pull).is_none_or(|said| said.set_aside.is_none());
            let own = pull.build == comparison.plan.a || pull.build == comparison.plan.b;
            if kept && !own && !pull.build.is_empty() && !out.contains(&pull.build) {
                out.push(pull.build.clone());
            }
        }
    }
    out
}

fn times(chance: f64) -> String {
    match 100.0 * chance {
        p if p < 0.1 => "less than once in 1,000".to_owned(),
        p => format!("{p:.1} times in 100"),
    }
}
