//! One value of a build: what it is, what it may be off by, where it comes from.

use std::ops::Range;

use shortblock_units::{Origin, Quantity};

/// The file and line a value stands in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// Path of the file, as the loader knows it.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
}

/// What a person noted beside a value.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Remarks {
    /// Who measured it.
    pub by: String,
    /// When.
    pub on: String,
    /// With which instrument.
    pub with: String,
    /// Anything else.
    pub note: String,
    /// Reason why a doubt about it is in order; empty when none was given.
    pub doubt_ok: String,
}

/// A number of the build, in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// The value in the SI unit of its quantity; the mean when there is one per cylinder.
    pub si: f64,
    /// One value per cylinder, by cylinder number, or empty when one serves all.
    pub each: Vec<f64>,
    /// What it may be off by, 19 times in 20, in SI; 0 when it is taken as exact.
    pub plus_minus: f64,
    /// Whether somebody stated the ±; else it is half the last place typed, or the assumed spread.
    pub plus_minus_stated: bool,
    /// What kind of quantity it is.
    pub quantity: Quantity,
    /// Where it comes from.
    pub origin: Origin,
    /// The text as typed; for an assumed value the text it is assumed as.
    pub text: String,
    /// Where it stands; `None` for what was filled in or worked out.
    pub spot: Option<Spot>,
    /// Why it was assumed, or how it was worked out; empty for what was typed.
    pub why: String,
    /// Source of an assumed value ("c.p." = common practice, no source); empty for what was typed.
    pub source: String,
    /// What was noted beside it.
    pub remarks: Remarks,
    /// The same value from a lower origin, kept beside the one that counts.
    pub others: Vec<(Origin, String)>,
}

impl Value {
    /// A value worked out from others, with its ± and how it was found.
    #[must_use]
    pub fn worked_out(si: f64, plus_minus: f64, quantity: Quantity, how: &str) -> Self {
        Self {
            si,
            each: Vec::new(),
            plus_minus,
            plus_minus_stated: false,
            quantity,
            origin: Origin::WorkedOut,
            text: String::new(),
            spot: None,
            why: how.to_owned(),
            source: String::new(),
            remarks: Remarks::default(),
            others: Vec::new(),
        }
    }

    /// The value of one cylinder, in SI; `cylinder` counts from 0.
    #[must_use]
    pub fn of(&self, cylinder: usize) -> f64 {
        self.each.get(cylinder).copied().unwrap_or(self.si)
    }

    /// An angle in degrees (meaningless for other quantities).
    #[must_use]
    pub fn degrees(&self) -> f64 {
        self.si.to_degrees()
    }

    /// Whether nobody said it.
    #[must_use]
    pub fn is_assumed(&self) -> bool {
        self.origin == Origin::Assumed
    }

    /// The same value moved to `si`; values per cylinder move along.
    #[must_use]
    pub fn moved_to(mut self, si: f64) -> Self {
        let by = si - self.si;
        self.each.iter_mut().for_each(|x| *x += by);
        self.si = si;
        self
    }

    /// Smallest and largest over the cylinders, in SI.
    #[must_use]
    pub fn range(&self) -> Range<f64> {
        let all = self.each.iter().copied().chain(std::iter::once(self.si));
        let (low, high) =
            all.fold((self.si, self.si), |(l, h), x| (f64::min(l, x), f64::max(h, x)));
        low..high
    }
}
