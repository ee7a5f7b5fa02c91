//! A comparison in plain sentences.

use crate::band::Says;
use crate::compare::{Comparison, Outcome, Progress};
use crate::components::Source;
use crate::scatter::Origin;
use crate::verdict::{Direction, Verdict, Worth};

/// Sentences in the order they should be read; the first one is the headline.
pub fn sentences(c: &Comparison) -> Vec<String> {
    let mut out = vec![headline(c)];
    out.extend(by_mode(c));
    out.extend(set_aside(c));
    out.extend(stretches(&c.outcome));
    out.extend(footing(c));
    out.extend(tipping(c));
    out.extend(left_out(c));
    out.extend(settle(c));
    out
}

/// Fraction of the logarithm as per cent of torque.
fn per_cent(fraction: f64) -> f64 {
    100.0 * fraction.exp_m1()
}

fn sign(fraction: f64) -> String {
    format!("{:+.1} %", per_cent(fraction))
}

fn answer(o: &Outcome) -> &'static str {
    match o.verdict {
        Verdict::NoDifferenceWorthHaving { real: None } => "No difference worth having",
        Verdict::NoDifferenceWorthHaving { real: Some(Direction::Gain) } => {
            "A real gain, but none worth having"
        }
        Verdict::NoDifferenceWorthHaving { real: Some(Direction::Loss) } => {
            "A real loss, but none that matters"
        }
        Verdict::Real { direction: Direction::Gain, worth } => match worth {
            Worth::WorthHaving => "Real gain, worth having",
            Worth::MayBeLess => "Real gain, may be less than you wanted",
            Worth::GivesAndTakes => "Real gain, but it gives here and takes there",
        },
        Verdict::Real { direction: Direction::Loss, worth } => match worth {
            Worth::WorthHaving => "Real loss, enough to matter",
            Worth::MayBeLess => "Real loss, may be less than matters to you",
            Worth::GivesAndTakes => "Real loss, but it takes here and gives there",
        },
        Verdict::CantTell => "Can't tell",
    }
}

fn numbers(c: &Comparison, o: &Outcome) -> String {
    let half = 0.5 * (o.interval.high - o.interval.low);
    let times = match c.progress {
        Progress::SoFar => "999 times in 1000",
        Progress::Done => "97 times in 100",
        Progress::Extended => "98 times in 100",
    };
    format!("{} ±{:.1} % ({times})", sign(o.average.delta), per_cent(half))
}

/// 8000 as 8,000.
fn speed(rpm: f64) -> String {
    let whole = rpm.round() as i64;
    match whole / 1000 {
        0 => whole.to_string(),
        thousands => format!("{thousands},{:03}", (whole % 1000).abs()),
    }
}

fn headline(c: &Comparison) -> String {
    let (a, b) = (&c.plan.a, &c.plan.b);
    let so_far = if c.progress == Progress::SoFar { " so far" } else { "" };
    let dyno = if c.different_dynos { "Different dyno. " } else { "" };
    let (from, to) = (speed(c.used_range_rpm.0), speed(c.used_range_rpm.1));
    if c.outcome.pulls == (1, 1) {
        return format!(
            "{dyno}{b} read {} beside {a} ({from} to {to} rpm). One pull each is never proof: {}{so_far}. \
             With the scatter known or assumed the figures are {}.",
            sign(c.outcome.average.delta),
            answer(&c.outcome).to_lowercase(),
            numbers(c, &c.outcome)
        );
    }
    format!(
        "{dyno}{}{so_far}: {b} beside {a}, {}, mean of {from} to {to} rpm, {} and {} pulls.",
        answer(&c.outcome),
        numbers(c, &c.outcome),
        c.outcome.pulls.0,
        c.outcome.pulls.1
    )
}

/// Sweeps and held speeds beside each other.
fn by_mode(c: &Comparison) -> Option<String> {
    let modes = c.by_mode.as_ref()?;
    let one = |o: &Outcome| format!("{}, {}", answer(o).to_lowercase(), numbers(c, o));
    Some(if modes.agrees() {
        format!(
            "Sweeps alone say {}, held speeds alone {}: they agree and are taken together.",
            sign(modes.sweep.average.delta),
            sign(modes.steady.average.delta)
        )
    } else {
        format!(
            "Sweeps and held speeds do not agree and are not taken together; above stand those run \
             first. Sweeps: {}. Held speeds: {}.",
            one(&modes.sweep),
            one(&modes.steady)
        )
    })
}

fn set_aside(c: &Comparison) -> Option<String> {
    let all = c.with_set_aside.as_ref()?;
    let same = if all.verdict == c.outcome.verdict { "the same answer" } else { "another answer" };
    Some(format!(
        "Pulls were set aside after the difference was seen. With all of them in, {same}: {}, {}.",
        answer(all),
        numbers(c, all)
    ))
}

fn stretches(o: &Outcome) -> Option<String> {
    let said: Vec<String> = o
        .band
        .stretches()
        .iter()
        .filter(|s| s.says != Says::CantTell && s.counts())
        .map(|s| {
            let word = if s.says == Says::More { "more" } else { "less" };
            format!("{word} from {} to {} rpm", speed(s.from_rpm), speed(s.to_rpm))
        })
        .collect();
    if said.is_empty() {
        return None;
    }
    Some(format!("Along the curve: {}; elsewhere can't tell.", said.join(", ")))
}

fn footing(c: &Comparison) -> Option<String> {
    let assumed: Vec<&str> = c
        .components
        .iter()
        .filter(|p| p.origin == Origin::Assumed && p.share >= 0.05)
        .map(|p| source(p.source))
        .collect();
    let seen = c
        .pull_scatter_seen
        .map(|s| format!("The pulls repeat to {:.2} %.{}", per_cent(s), taken(c)));
    let assumed = (!assumed.is_empty()).then(|| {
        let refit = c.components.iter().find(|p| p.source == Source::Refit);
        let sd = refit.map_or(0.0, |p| per_cent(p.variance.sqrt()));
        format!("Assumed, not measured on this dyno: {} (refitting {sd:.1} %).", assumed.join(", "))
    });
    let parts: Vec<String> = seen.into_iter().chain(assumed).collect();
    (!parts.is_empty()).then(|| parts.join(" "))
}

/// What is taken in place of the scatter that was seen, where an assumed one has a say in it.
fn taken(c: &Comparison) -> String {
    let pull = c.components.iter().find(|p| p.source == Source::Pull);
    let Some(pull) = pull.filter(|p| p.origin == Origin::Assumed && p.share >= 0.05) else {
        return String::new();
    };
    let [seen, sd] = [c.pull_scatter_seen.unwrap_or(f64::NAN), pull.variance.sqrt()]
        .map(|share| format!("{:.2}", per_cent(share)));
    if seen == sd {
        return String::new();
    }
    format!(" With what is assumed of them beside it, {sd} % is taken.")
}

fn source(source: Source) -> &'static str {
    match source {
        Source::Pull => "how pulls repeat",
        Source::Refit => "what refitting does",
        Source::Session => "another session",
        Source::Slope => "drift",
        Source::WarmUp => "warm-up",
        Source::Correction => "the weather correction",
        Source::Oil => "oil temperature",
        Source::Dyno => "another dyno",
    }
}

fn tipping(c: &Comparison) -> Option<String> {
    let sd = c.tipping_refit.filter(|_| c.outcome.verdict.is_real())?;
    Some(format!(
        "Real unless refitting alone moves this engine by more than {:.2} % (standard deviation).",
        per_cent(sd)
    ))
}

fn left_out(c: &Comparison) -> Option<String> {
    let swing: Vec<&str> = c
        .left_out
        .iter()
        .filter(|l| l.verdict.is_real() != c.outcome.verdict.is_real())
        .map(|l| l.label.as_str())
        .collect();
    if swing.is_empty() {
        return None;
    }
    Some(format!("The answer hangs on single pulls: without {} it is another.", swing.join(" or ")))
}

fn settle(c: &Comparison) -> Option<String> {
    if c.outcome.verdict != Verdict::CantTell {
        return None;
    }
    let margin = 100.0 * c.plan.margin.fraction();
    let Some(design) = c.advice.settles.map(|i| &c.advice.designs[i]) else {
        return Some(format!(
            "No number of pulls up to 24 in a session would show {margin:.1} % with this scatter: \
             measure what refitting does, go back to A more often, or ask for a larger difference."
        ));
    };
    Some(format!(
        "{} pulls in the order {} would make it ±{:.1} % and find a true {margin:.1} % four times in five.",
        design.order.pulls().len(),
        design.order,
        per_cent(design.half_width.0)
    ))
}
