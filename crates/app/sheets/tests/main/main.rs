//! Checks on the whole crate: pictures against kept copies and against the rules they follow.

mod demo;
mod golden;
mod rules;
