//! Progress and stopping, seen from outside.

use shortblock_curve::{Curve, Predicted};

/// A stretch of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The curve on the coarse mesh.
    Coarse,
    /// The curve on the fine mesh.
    Fine,
    /// Samples of what is uncertain, on the coarse mesh.
    Samples,
    /// Steps of values, on the coarse mesh.
    Steps,
}

impl Stage {
    /// What a point of this stage costs, in coarse points.
    #[must_use]
    pub fn weight(self) -> usize {
        match self {
            Self::Fine => 4,
            Self::Coarse | Self::Samples | Self::Steps => 1,
        }
    }
}

/// Watches a prediction; every method has a default that does nothing.
pub trait Watch: Sync {
    /// Whether the work should stop; asked at every cycle.
    fn stop(&self) -> bool {
        false
    }
    /// All that lies ahead, by stage and number of points; told once, before the first point.
    fn expect(&self, stages: &[(Stage, usize)]) {
        let _ = stages;
    }
    /// So many more points of a stage are done.
    fn done(&self, stage: Stage, points: usize) {
        let _ = (stage, points);
    }
    /// A first look, coarse and without ±, while the answer is worked out.
    fn preview(&self, curve: &Curve<Predicted>) {
        let _ = curve;
    }
}

/// Nobody watches.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Watch for Unwatched {}

/// Hands a stage's points on.
pub(crate) struct Staged<'a> {
    pub watch: &'a dyn Watch,
    pub stage: Stage,
}

impl shortblock_cycle::Watch for Staged<'_> {
    fn stop(&self) -> bool {
        self.watch.stop()
    }
    fn done(&self, points: usize) {
        self.watch.done(self.stage, points);
    }
}

/// Passes on what a single prediction tells, but for what lies ahead: that was told for all.
pub(crate) struct Within<'a>(pub &'a dyn Watch);

impl Watch for Within<'_> {
    fn stop(&self) -> bool {
        self.0.stop()
    }
    fn done(&self, stage: Stage, points: usize) {
        self.0.done(stage, points);
    }
}
