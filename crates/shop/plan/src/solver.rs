//! Works out points of designs: the gas dynamics, or a stand-in with a known answer in tests.

use crate::ask::Ask;
use crate::closures::Closures;
use crate::error::PlanError;
use crate::watch::Staged;
use shortblock_cycle::{CellLength, CycleError, Executor, Point, Settings};
use shortblock_engine::Build;

/// A design to work out.
#[derive(Clone, Copy)]
pub(crate) struct Trial<'a> {
    pub build: &'a Build,
    pub closures: Closures,
}

impl<'a> Trial<'a> {
    /// The build with the relations as asked.
    pub fn of(build: &'a Build, ask: &Ask) -> Self {
        Self { build, closures: ask.factors() }
    }
}

/// Designs to work out at speeds, on the mesh of one of them.
pub(crate) struct Asked<'a> {
    /// The design whose mesh serves all that are like it.
    pub centre: &'a Build,
    pub trials: &'a [Trial<'a>],
    /// rad/s.
    pub speeds: &'a [f64],
    pub cells: CellLength,
    pub settings: Settings,
}

/// What came of it: a result for each speed of each trial, and the cells of the centre's mesh.
pub(crate) struct Worked {
    pub rows: Vec<Result<Vec<Result<Point, CycleError>>, PlanError>>,
    pub cells: usize,
}

/// Works out points of designs.
pub(crate) trait Solver: Sync {
    /// One row a trial, in order.
    fn work_out(
        &self,
        asked: &Asked,
        executor: &dyn Executor,
        watch: &Staged,
    ) -> Result<Worked, PlanError>;
}
