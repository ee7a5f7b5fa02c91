//! The demo's days on the dyno, made from a hidden truth that tests may ask for.
//!
//! [`files`] writes every log; [`truth`] says what a good reading of them must find: how much more
//! the second build makes, where the peaks are, which pull has which trap. All is invented: shop,
//! engines, dynos and the ways in which headings are written. It is never evidence that physics is
//! right; that is what `validation` is for.
//!
//! The same bytes come out on every machine: nothing but `+ - * /` and square roots, an exponential
//! of our own, chance from a stated seed, and rounded figures in the files.

#![deny(missing_docs)]

mod air;
mod curve;
mod engine;
mod engine_day;
mod loose;
mod mdf;
mod motion;
mod random;
mod roller;
mod roller_day;
mod run;
mod session;
mod spark_day;
mod table;
mod truth;
mod ways;

pub use air::Reading;
pub use random::SEED;
pub use run::Trap;
pub use truth::{Peak, PullTruth, RollerTruth, Truth, truth};

/// A file of the demo: its path below the demo's folder, with forward slashes, and its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// Such as `114/s6/p44.csv`.
    pub path: String,
    /// Everything in it.
    pub bytes: Vec<u8>,
}

/// Every file that is made, in the order of their paths.
pub fn files() -> Vec<File> {
    let mut files =
        [engine_day::files(), spark_day::files(), roller_day::files(), loose::files()].concat();
    files.sort_by(|a: &File, b: &File| a.path.cmp(&b.path));
    files
}
