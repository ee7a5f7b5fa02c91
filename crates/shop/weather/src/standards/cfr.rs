//! 40 CFR parts 89 and 91: whether the weather allows a test at all. Not a correction.
//!
//! Equation: `f = (99 / p_d) (T / 298)^0.7` for natural aspiration and crank-driven blowers,
//! `f = (99 / p_d)^0.7 (T / 298)^1.5` turbocharged.
//! Source: 40 CFR 89.331 and 91.311, structure opened, numbers from memory.
//! Range: 0.98 to 1.02 (part 89, from memory).

use super::compression::atmospheric;
use crate::air::Air;
use crate::standard::Standard;
use crate::subject::Subject;
use crate::window::{Limit, Watched, Window};

/// The limits of part 89.
const PART_89: Limit = Limit {
    watched: Watched::Factor,
    low: 0.98,
    high: 1.02,
    source: "40 CFR part 89, from memory",
};

/// Whether the weather is near enough to the reference for a test to count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Validity {
    /// The factor f. No figure is ever multiplied by it.
    pub factor: f64,
    /// Its limits.
    pub window: Window,
}

/// Holds the weather against the limits within which a test is valid.
pub fn validity(air: &Air, subject: &Subject) -> Validity {
    // The two classes are those of R85.
    let factor = atmospheric(Standard::R85, air, subject.aspiration);
    Validity { factor, window: Window::of(PART_89, factor) }
}
