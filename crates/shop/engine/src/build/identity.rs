//! Who and what a build is.

use crate::fill::Fill;

/// Who and what.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Identity {
    /// Number of the engine.
    pub number: String,
    /// Name of the engine.
    pub name: String,
    /// Name of the build.
    pub build: String,
    /// How far it is: draft, assembled, run, stripped; empty when nobody said.
    pub state: String,
    /// Why it was made.
    pub why: String,
}

/// The identity as stated.
pub(crate) fn of(fill: &mut Fill) -> Identity {
    Identity {
        number: fill.word("number"),
        name: fill.word("name"),
        build: fill.word("build"),
        state: fill.word("state"),
        why: fill.word("why"),
    }
}
