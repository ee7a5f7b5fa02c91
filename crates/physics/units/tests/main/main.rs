//! Checks of the whole crate against sources outside it.

mod factors_published;
mod factors_uom;
mod messages;
mod properties;
mod spellings;
mod texts;
