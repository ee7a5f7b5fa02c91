//! What only people can say.

use super::{Check, Facts, Verdict};

pub(super) fn note(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "leaks, noises, smells";
    vec![match &facts.people.note {
        Some(note) => Check::new(WHAT, Verdict::Watch, note.clone())
            .remedy("settle it before the next pull, or write that it is settled"),
        None => Check::not_seen(WHAT, "nobody wrote anything down")
            .remedy("walk round the engine, guards on and nobody in line with the shaft"),
    }]
}

pub(super) fn changed(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "changed since the pull before";
    vec![match &facts.people.changed {
        Some(change) => Check::new(WHAT, Verdict::InOrder, change.clone()),
        None => Check::not_seen(WHAT, "nobody wrote anything down")
            .remedy("write down what was changed, or that nothing was"),
    }]
}
