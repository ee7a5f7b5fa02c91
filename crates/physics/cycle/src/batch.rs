//! Turns one group of lanes over until each lane's cycle repeats.

use crate::build::LaneCase;
use crate::close::{Closer, LaneCloser};
use crate::engine::Engine;
use crate::level::Dispatch;
use crate::outcome;
use crate::point::{Convergence, Point};
use crate::prepare::Prepared;
use crate::run::{Job, Watch};
use crate::table::CYCLE;
use crate::{CycleError, Settings};
use shortblock_cylinder::closed::WallTemperatures;
use shortblock_cylinder::wall::HeatFlow;
use shortblock_lanes::Lane;

/// Cycles on the coarse mesh before the fine mesh takes over.
const COARSE_CYCLES: usize = 6;
/// Step of the closed part while the coarse mesh turns, degrees.
const COARSE_STEP_DEG: f64 = 2.0;
/// Surfaces start here, K.
const START_WALLS: WallTemperatures = WallTemperatures { head: 520.0, piston: 530.0, liner: 430.0 };

/// Works out the points of one group; one result per lane given.
pub(crate) fn converge<V: Dispatch>(
    lanes: &[(&Job, &Prepared)],
    settings: &Settings,
    watch: &dyn Watch,
) -> Vec<Result<Point, CycleError>> {
    match try_converge::<V>(lanes, settings, watch) {
        Ok(points) => points,
        Err(error) => lanes.iter().map(|_| Err(error.clone())).collect(),
    }
}

fn try_converge<V: Dispatch>(
    lanes: &[(&Job, &Prepared)],
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Vec<Result<Point, CycleError>>, CycleError> {
    Ok(turned::<V>(lanes, settings, watch)?.2)
}

/// A group that has been turned over, as it stands at the end of its last cycle.
pub(crate) type Turned<'a, V> = (Engine<V>, Closer<'a>, Vec<Result<Point, CycleError>>);

/// Turns a group over until all its lanes repeat.
pub(crate) fn turned<'a, V: Dispatch>(
    lanes: &[(&Job<'a>, &Prepared)],
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Turned<'a, V>, CycleError> {
    // Empty lanes repeat the last job; nothing burns in them and nobody reads them.
    let cases: Vec<LaneCase> = (0..V::WIDTH)
        .map(|lane| &lanes[lane.min(lanes.len() - 1)])
        .map(|(job, ready)| LaneCase {
            network: job.network,
            demand: job.demand,
            gases: &ready.gases,
            fuel_per_air: ready.fuel_per_air,
        })
        .collect();
    let mut closer = Closer {
        lanes: lanes.iter().map(|(job, ready)| lane_closer(job, ready)).collect(),
        searching: true,
        trace: false,
        step_deg: 0.0,
    };
    let (mesh, steps) = (lanes[0].0.mesh, lanes[0].1.steps);
    let mut engine: Engine<V> = Engine::new(&cases, mesh, steps)?;
    if let Some(coarse) = mesh.start.as_deref().filter(|_| settings.coarse_start) {
        // Steps from the two meshes alone, and a fixed number of cycles: a lane must not be turned
        // otherwise because of its neighbours.
        let ratio = mesh.longest_step / coarse.longest_step;
        let coarse_steps = (steps as f64 * ratio).ceil() as usize;
        let mut first: Engine<V> = Engine::new(&cases, coarse, coarse_steps)?;
        closer.step_deg = COARSE_STEP_DEG;
        Turning::new(&mut first, &mut closer, 0.0).turn(COARSE_CYCLES, watch)?;
        engine.start_from(&first);
        closer.step_deg = 0.0;
        for lane in &mut closer.lanes {
            lane.settled = false;
            lane.searches = 0;
        }
    }
    let mut turning = Turning::new(&mut engine, &mut closer, settings.tolerance);
    turning.turn(settings.most_cycles, watch)?;
    let points = turning.results();
    Ok((engine, closer, points))
}

fn lane_closer<'a>(job: &Job<'a>, ready: &Prepared) -> LaneCloser<'a> {
    let cylinders = job.network.cylinders.len();
    LaneCloser {
        network: job.network,
        demand: job.demand,
        mixture: ready.mixture.clone(),
        gases: ready.gases.clone(),
        fuel_per_air: ready.fuel_per_air,
        spark: None,
        found: vec![None; cylinders],
        searches: 0,
        settled: false,
        knock_limit: vec![None; cylinders],
        walls: vec![START_WALLS; cylinders],
        last: vec![None; cylinders],
        failure: None,
    }
}

/// A group on one mesh, turning.
struct Turning<'e, 'c, 'n, V> {
    engine: &'e mut Engine<V>,
    closer: &'c mut Closer<'n>,
    tolerance: f64,
    lanes: Vec<LaneState>,
}

/// How far a lane has come.
#[derive(Clone, Debug, Default)]
struct LaneState {
    /// Masses and works of the last cycle with a settled spark.
    figures: Vec<f64>,
    convergence: Convergence,
    result: Option<Result<Point, CycleError>>,
}

impl<'e, 'c, 'n, V: Dispatch> Turning<'e, 'c, 'n, V> {
    fn new(engine: &'e mut Engine<V>, closer: &'c mut Closer<'n>, tolerance: f64) -> Self {
        let lanes = vec![LaneState::default(); closer.lanes.len()];
        Self { engine, closer, tolerance, lanes }
    }

    /// Turns until all lanes repeat or `most` cycles are done. Every second cycle searches the
    /// spark where it is not settled.
    fn turn(&mut self, most: usize, watch: &dyn Watch) -> Result<(), CycleError> {
        for cycle in 0..most.max(2) {
            if watch.stop() {
                return Err(CycleError::Stopped);
            }
            self.closer.searching = cycle % 2 == 0;
            self.engine.clear_counters();
            // SAFETY: `run` picks V by the level in the settings, and a level is only made for a
            // processor that has it.
            unsafe { V::advance(self.engine, self.closer) };
            self.update_walls();
            if self.closer.searching {
                self.closer.settle_spark();
            }
            let last = cycle + 1 >= most.max(2);
            (0..self.lanes.len()).for_each(|lane| self.judge(lane, cycle + 1, last));
            if self.lanes.iter().all(|lane| lane.result.is_some()) {
                break;
            }
        }
        Ok(())
    }

    fn update_walls(&mut self) {
        for (lane, closer) in self.closer.lanes.iter_mut().enumerate() {
            let per_second = closer.demand.speed / CYCLE;
            let combustion = &closer.network.combustion;
            for (c, closed) in closer.last.iter().enumerate() {
                let Some(closed) = closed else { continue };
                let open = self.engine.tallies[c].heat.map(|x| x.get(lane));
                let heat = HeatFlow {
                    head: (open[0] + closed.result.heat_head) * per_second,
                    piston: (open[1] + closed.result.heat_piston) * per_second,
                    liner: (open[2] + closed.result.heat_liner) * per_second,
                };
                let state = combustion.walls.temperatures(
                    heat,
                    combustion.coolant_temperature,
                    combustion.oil_temperature,
                );
                let walls = state.gas_side;
                closer.walls[c] = walls;
                let surfaces = [walls.head, walls.piston, walls.liner];
                for (surface, t) in surfaces.into_iter().enumerate() {
                    self.engine.constants[c].walls[surface].set(lane, t);
                }
            }
        }
    }

    /// Compares a lane's cycle with the one before; a lane that repeats is written down and not
    /// looked at again, whatever its neighbours still do.
    fn judge(&mut self, lane: usize, cycle: usize, last: bool) {
        let state = &mut self.lanes[lane];
        if state.result.is_some() {
            return;
        }
        let closer = &self.closer.lanes[lane];
        let speed_rpm = closer.demand.speed * 30.0 / std::f64::consts::PI;
        if let Some((c, source)) = &closer.failure {
            let (cylinder, source) = (c + 1, source.clone());
            state.result = Some(Err(CycleError::Cylinder { cylinder, speed_rpm, cycle, source }));
            return;
        }
        let figures = figures(self.engine, lane, closer);
        if let Some(part) = self.engine.lost_part(lane, closer.network) {
            state.result = Some(Err(CycleError::Lost { part, speed_rpm, cycle: cycle - 1 }));
            return;
        }
        let change = largest_change(&state.figures, &figures);
        state.figures = figures;
        state.convergence = Convergence { cycles: cycle, change, converged: false };
        if change < self.tolerance && closer.settled {
            state.convergence.converged = true;
        }
        if state.convergence.converged || last {
            state.result = Some(Ok(outcome::point(self.engine, lane, closer, state.convergence)));
        }
    }

    fn results(self) -> Vec<Result<Point, CycleError>> {
        self.lanes.into_iter().map(|l| l.result.unwrap_or(Err(CycleError::Stopped))).collect()
    }
}

/// What must repeat: per cylinder the mass trapped, its residual share and the work.
fn figures<V: Lane>(engine: &Engine<V>, lane: usize, closer: &LaneCloser) -> Vec<f64> {
    let mut out = Vec::new();
    for (closed, tally) in closer.last.iter().zip(&engine.tallies) {
        let Some(closed) = closed else { continue };
        let work = closed.result.work + tally.gross_work.get(lane) + tally.pumping_work.get(lane);
        out.extend([closed.mass, closed.mass * (1.0 - closed.residual), work]);
    }
    out
}

/// Largest relative change; infinite when there is nothing to compare with.
fn largest_change(before: &[f64], now: &[f64]) -> f64 {
    if before.len() != now.len() || now.is_empty() {
        return f64::INFINITY;
    }
    before.iter().zip(now).map(|(a, b)| ((b - a) / b.abs().max(1e-12)).abs()).fold(0.0, f64::max)
}
