//! The answer of a loop in plain sentences.

use crate::answer::{Answer, Best, KnockLimited};
use crate::reading::Setting;

/// After a change of mixture by more than this the best spark is to be found again (common
/// practice, no source).
const SPARK_AGAIN: f64 = 0.04;

/// Sentences in the order they should be read; the first is the headline.
pub fn sentences(setting: Setting, answer: &Answer) -> Vec<String> {
    let mut out = match answer {
        Answer::Best(best) => over_the_top(setting, best),
        Answer::KnockLimited(limit) => limited(setting, limit),
        Answer::StillRising { last, towards_more } => vec![rising(setting, *last, *towards_more)],
        Answer::Flat { range, choose } => flat(setting, *range, *choose),
        Answer::TooFew { usable } => vec![format!(
            "{usable} readings without knock do not make a parabola and its ±. Take at least five, \
             over the top and back."
        )],
    };
    if setting == Setting::Mixture && matches!(answer, Answer::Best(_)) {
        out.push(format!(
            "After a change of more than {SPARK_AGAIN} lambda find the best spark again."
        ));
    }
    out
}

/// A setting with its unit: `28.5°`, `lambda 0.880`.
fn figure(setting: Setting, value: f64) -> String {
    match setting {
        Setting::Spark => format!("{:.1}°", value.to_degrees()),
        Setting::Mixture => format!("lambda {value:.3}"),
    }
}

fn flat(setting: Setting, range: (f64, f64), choose: f64) -> Vec<String> {
    let show = |value| figure(setting, value);
    let mut out = vec![format!(
        "Torque does not change by more than its scatter between {} and {}. Take {}.",
        show(range.0),
        show(range.1),
        show(choose)
    )];
    if choose != if setting.smaller_is_better() { range.0 } else { range.1 } {
        let text = "Beyond it more than 0.5 % may be lost, which the scatter hides: try each setting \
                    again.";
        out.push(text.to_owned());
    }
    out
}

/// Where the top lies: limits beyond what was tried are no figures to name.
fn within(setting: Setting, best: &Best) -> String {
    let show = |value| figure(setting, value);
    let (low, high) = (best.limits.low, best.limits.high);
    let what_was = "what was tried does not tell how far";
    match (low < best.tried.0, high > best.tried.1) {
        (false, false) => {
            format!("The top lies between {} and {} (19 times in 20).", show(low), show(high))
        }
        (true, false) => {
            format!("The top lies below {} (19 times in 20); {what_was} below.", show(high))
        }
        (false, true) => {
            format!("The top lies above {} (19 times in 20); {what_was} above.", show(low))
        }
        (true, true) => "Where the top lies, what was tried does not tell.".to_owned(),
    }
}

fn over_the_top(setting: Setting, best: &Best) -> Vec<String> {
    let show = |value| figure(setting, value);
    let end = match setting {
        Setting::Spark => "the retarded end, which leaves knock margin",
        Setting::Mixture => "the lean end; the rich end is cooler",
    };
    let mut out = vec![
        format!("Set {}. Most torque is at {}.", show(best.choose), show(best.setting)),
        within(setting, best),
        format!(
            "Between {} and {} less than 0.5 % is lost: {end}.",
            show(best.window.0),
            show(best.window.1)
        ),
    ];
    if let Some(knocked) = best.knocked_from {
        out.push(format!("It knocked from {} up.", show(knocked)));
    }
    out
}

fn limited(setting: Setting, limit: &KnockLimited) -> Vec<String> {
    let show = |value| figure(setting, value);
    vec![
        format!(
            "Knock limited: it knocked at {} before torque came to its top, so there is no best. \
             Set {}.",
            show(limit.knocked_from),
            show(limit.choose)
        ),
        "A quick pull passes each speed in a few dozen cycles: hold the engine there, at the hottest \
         air it will see, before calling that a margin. Stop at the first knock."
            .to_owned(),
    ]
}

fn rising(setting: Setting, last: f64, towards_more: bool) -> String {
    let step = match setting {
        Setting::Spark => "2°",
        Setting::Mixture => "0.02",
    };
    let way = match (setting, towards_more) {
        (Setting::Spark, true) => "more advance, listening for knock",
        (Setting::Spark, false) => "less advance",
        (Setting::Mixture, true) => "leaner, watching exhaust temperature and knock",
        (Setting::Mixture, false) => "richer",
    };
    format!(
        "Torque still rises at {}, the last one tried: there is no best yet. Go on by {step}, {way}.",
        figure(setting, last)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_known_is_not_named() {
        let rising = Answer::StillRising { last: 28f64.to_radians(), towards_more: true };
        assert_eq!(
            sentences(Setting::Spark, &rising),
            [
                "Torque still rises at 28.0°, the last one tried: there is no best yet. Go on by 2°, \
              more advance, listening for knock."
            ]
        );
        let flat = Answer::Flat { range: (0.84, 0.94), choose: 0.94 };
        assert_eq!(
            sentences(Setting::Mixture, &flat),
            ["Torque does not change by more than its scatter between lambda 0.840 and lambda \
              0.940. Take lambda 0.940."]
        );
    }
}
