//! The points that are to be turned over on one mesh: those that wait and those that are done.

use crate::build::Case;
use crate::close::LaneCloser;
use crate::engine::Engine;
use crate::mesh::{COARSENINGS, Mesh};
use crate::point::Point;
use crate::prepare::Prepared;
use crate::run::Job;
use crate::spark::first_spark;
use crate::surfaces::Surfaces;
use crate::{CycleError, Settings};
use std::cmp::Reverse;
use std::f64::consts::PI;
use std::sync::{Mutex, MutexGuard};

/// A point on its way through the meshes, while no lane has it.
pub(crate) struct Underway<'a> {
    /// Which job it is.
    pub index: usize,
    /// The engine as the stage before left it.
    pub engine: Option<Engine<f64>>,
    pub closer: LaneCloser<'a>,
    pub result: Option<Result<Point, CycleError>>,
}

impl<'a> Underway<'a> {
    pub fn new(index: usize, job: &Job<'a>, ready: &Prepared) -> Self {
        let cylinders = job.network.cylinders.len();
        let closer = LaneCloser {
            network: job.network,
            demand: job.demand,
            mixture: ready.mixture.clone(),
            gases: ready.gases.clone(),
            fuel_per_air: ready.fuel_per_air,
            spark: first_spark(job.demand),
            seeker: None,
            found: vec![None; cylinders],
            moves: 0,
            first_cycle: true,
            settled: false,
            too_early: None,
            knock_limit: vec![None; cylinders],
            surfaces: vec![Surfaces::new(); cylinders],
            last: vec![None; cylinders],
            failure: None,
        };
        Self { index, engine: None, closer, result: None }
    }

    /// Builds the engine on `mesh`, with the gas of the stage before.
    fn go_on(&mut self, mesh: &Mesh, one_seeks: bool) -> Result<(), CycleError> {
        let closer = &mut self.closer;
        let case = Case {
            network: closer.network,
            demand: closer.demand,
            gases: &closer.gases,
            fuel_per_air: closer.fuel_per_air,
        };
        let mut engine = Engine::new(&case, mesh, mesh.steps_per_cycle(closer.demand.speed))?;
        if let Some(before) = &self.engine {
            engine.start_from(before, &closer.last);
        }
        closer.begin(one_seeks.then(|| last_to_close(&engine)));
        self.engine = Some(engine);
        Ok(())
    }
}

/// The cylinder that is closed in last in the cycle: of its charge most is known when it ends.
fn last_to_close(engine: &Engine<f64>) -> usize {
    let closing = |c: &usize| engine.clocks[0].tables[*c].closed.last_open_step;
    (0..engine.cylinders.len()).max_by_key(closing).unwrap_or(0)
}

/// Time of a step in registers of 256 bits over that in 512 bits, measured.
const NARROW_STEP: f64 = 0.6;

/// How often the gas is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pace {
    /// At the end of each cycle.
    Cycle,
    /// At every step, to see where it is lost first.
    Step,
}

/// Points to be turned over on one mesh, shared by all threads that do it.
pub(crate) struct Stage<'m, 'a> {
    pub mesh: &'m Mesh,
    /// Largest relative change of masses and works from cycle to cycle that counts as repeated.
    pub tolerance: f64,
    pub most_cycles: usize,
    /// Step of the closed part, degrees; 0 for the usual one.
    pub step_deg: f64,
    /// See [`SPARK_WITHIN`].
    pub spark_within: f64,
    /// Whether one cylinder seeks the spark for all.
    one_seeks: bool,
    /// Whether a point that repeats is written down: not on a mesh of the start.
    pub last: bool,
    /// Whether that point must hold the spark that its last charges ask for.
    pub holds_spark: bool,
    pub pace: Pace,
    /// The next one stands last.
    waiting: Mutex<Vec<Underway<'a>>>,
    done: Mutex<Vec<Underway<'a>>>,
}

/// Change of the spark between two searches that counts as settled, rad.
const SPARK_WITHIN: f64 = 0.1 * PI / 180.0;
/// The same for a first look. A spark a degree off best torque costs 0.03 % (own: about 1 % over 6).
const FIRST_LOOK_WITHIN: f64 = 1.0 * PI / 180.0;
/// Tolerance on a mesh of the start.
const START_TOLERANCE: f64 = 1e-2;
/// Most cycles on such a mesh: fewer on the one before, which is only there to begin somewhere.
const START_MOST_CYCLES: [usize; COARSENINGS] = [3, 2];
const START_STEP_DEG: f64 = 2.0;

impl<'m, 'a> Stage<'m, 'a> {
    /// The mesh that was asked for.
    pub fn last(mesh: &'m Mesh, settings: &Settings, points: Vec<Underway<'a>>) -> Self {
        let start = Self::start(mesh, 1, points);
        let (tolerance, most_cycles) = (settings.tolerance, settings.most_cycles.max(2));
        let stage = Self { tolerance, most_cycles, last: true, ..start };
        if settings.first_look {
            Self { spark_within: FIRST_LOOK_WITHIN, one_seeks: true, holds_spark: true, ..stage }
        } else {
            Self { step_deg: 0.0, one_seeks: false, holds_spark: true, ..stage }
        }
    }

    /// A mesh of the start, so much coarser than the one that was asked for.
    pub fn start(mesh: &'m Mesh, coarsening: usize, mut points: Vec<Underway<'a>>) -> Self {
        // The points with the most steps go first, so that none is left alone at the end.
        points.sort_by_key(|p| (mesh.steps_per_cycle(p.closer.demand.speed), Reverse(p.index)));
        Self {
            mesh,
            tolerance: START_TOLERANCE,
            most_cycles: START_MOST_CYCLES[coarsening - 1],
            step_deg: START_STEP_DEG,
            spark_within: SPARK_WITHIN,
            one_seeks: mesh.start.is_none(),
            last: false,
            holds_spark: false,
            pace: Pace::Cycle,
            waiting: Mutex::new(points),
            done: Mutex::default(),
        }
    }

    /// How many wait.
    pub fn waiting(&self) -> usize {
        lock(&self.waiting).len()
    }

    /// Whether so many lanes end sooner than half as many, whose steps take [`NARROW_STEP`] of the
    /// time: not when both wait for the point with the most steps.
    pub fn fills(&self, lanes: usize) -> bool {
        let waiting = lock(&self.waiting);
        let steps = |p: &Underway| self.mesh.steps_per_cycle(p.closer.demand.speed) as f64;
        let longest = waiting.iter().map(steps).fold(0.0, f64::max);
        let each = waiting.iter().map(steps).sum::<f64>() / lanes as f64;
        each.max(longest) < NARROW_STEP * longest.max(2.0 * each)
    }

    /// The next point, with its engine on this mesh.
    pub fn take(&self) -> Option<Underway<'a>> {
        loop {
            let mut point = lock(&self.waiting).pop()?;
            match point.go_on(self.mesh, self.one_seeks) {
                Ok(()) => return Some(point),
                Err(error) => self.give(Underway { result: Some(Err(error)), ..point }),
            }
        }
    }

    /// A point that is done here.
    pub fn give(&self, point: Underway<'a>) {
        lock(&self.done).push(point);
    }

    /// The points that are done.
    pub fn into_points(self) -> Vec<Underway<'a>> {
        self.done.into_inner().unwrap_or_else(|poisoned| poisoned.into_inner())
    }
}

/// A poisoned lock means that another thread panicked; its message is the one to see.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(|poisoned| poisoned.into_inner())
}
