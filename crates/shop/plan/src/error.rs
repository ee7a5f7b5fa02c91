//! What keeps a build from being predicted: what, where, and what to do.

use shortblock_curve::CurveError;
use shortblock_cycle::CycleError;
use shortblock_engine::Faults;

/// Why there is no prediction.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A part of the build that can't be turned into a duct, a volume, a valve or a cylinder.
    #[error("{path}: {what}\nhint: {hint}")]
    Part {
        /// Path of the value it is about, `exhaust.primary.length`.
        path: String,
        /// What is the matter.
        what: String,
        /// What to do about it.
        hint: String,
    },
    /// A value that was asked for doesn't fit the build.
    #[error("{path} = {text}: {}", first(faults))]
    Value {
        /// Path of the value.
        path: String,
        /// The value asked for, as typed.
        text: String,
        /// All that is wrong with the build that results.
        faults: Box<Faults>,
    },
    /// A speed, range or list that was asked for can't be.
    #[error("{what}\nhint: {hint}")]
    Ask {
        /// What is the matter.
        what: String,
        /// What to do about it.
        hint: String,
    },
    /// Not one speed could be worked out.
    #[error(
        "no speed could be worked out; at {:.0} rpm: {reason}\nhint: look at the part named there first",
        speed * 30.0 / std::f64::consts::PI
    )]
    NoPoint {
        /// The first speed that failed, rad/s.
        speed: f64,
        /// Why.
        reason: Box<CycleError>,
    },
    /// One of several builds.
    #[error("build {place}: {error}")]
    Build {
        /// Which of them, from 1.
        place: usize,
        /// What keeps it from being predicted.
        error: Box<PlanError>,
    },
    /// Points that make no curve.
    #[error(transparent)]
    Curve(#[from] CurveError),
    /// The caller asked to stop.
    #[error("stopped by request")]
    Stopped,
}

impl PlanError {
    /// The same as the error of one of several builds; a stop is of all of them.
    pub(crate) fn of_build(self, place: usize) -> Self {
        match self {
            Self::Stopped => Self::Stopped,
            error => Self::Build { place, error: Box::new(error) },
        }
    }
}

/// What the first fault is, and its remedy on a line of its own.
fn first(faults: &Faults) -> String {
    faults.faults.first().map_or_else(String::new, |fault| {
        let remedies = [fault.remedy.as_str(), fault.mark.as_str()];
        match remedies.into_iter().find(|text| !text.is_empty()) {
            None => fault.what.clone(),
            Some(remedy) => format!("{}\nhint: {remedy}", fault.what),
        }
    })
}
