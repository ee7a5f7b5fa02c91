//! Turns points over in lanes until each one's cycle repeats. A lane that is done with its point
//! takes the next one that waits, so that no lane is idle for its neighbours' sake.

use crate::CycleError;
use crate::close::{Closer, LaneCloser};
use crate::engine::Engine;
use crate::level::Dispatch;
use crate::loss::{Standing, failure, is_lost, too_hot};
use crate::outcome;
use crate::point::Convergence;
use crate::run::Watch;
use crate::stage::{Pace, Stage, Underway};
use crate::surfaces;
use shortblock_lanes::{Lane, Lanewise};

/// Works in lanes at the points that wait until none does.
pub(crate) fn turn<V: Dispatch>(stage: &Stage, watch: &dyn Watch) {
    let Some(first) = stage.take() else { return };
    let Some(engine) = &first.engine else { return };
    let mut batch = Batch::<V>::new(stage, engine);
    batch.fill(0, first);
    loop {
        for lane in 0..V::WIDTH {
            if batch.lanes[lane].is_none()
                && let Some(point) = stage.take()
            {
                batch.fill(lane, point);
            }
        }
        if watch.stop() || !batch.advance() {
            return;
        }
        if stage.pace == Pace::Step {
            (0..V::WIDTH).for_each(|lane| batch.look(lane, watch));
        }
        for lane in 0..V::WIDTH {
            if batch.engine.clocks[lane].step == 0 {
                batch.end_cycle(lane, watch);
            }
        }
    }
}

/// Points in lanes.
struct Batch<'s, 'm, 'a, V> {
    stage: &'s Stage<'m, 'a>,
    engine: Engine<V>,
    closer: Closer<'a>,
    lanes: Vec<Option<LaneState>>,
}

/// How far a lane has come with its point.
struct LaneState {
    /// Which job it is.
    index: usize,
    /// Masses and works of the last cycle.
    figures: Vec<f64>,
    convergence: Convergence,
    /// The gas in every part at the end of the last good cycle.
    good: Standing,
}

impl<'s, 'm, 'a, V: Dispatch> Batch<'s, 'm, 'a, V> {
    fn new(stage: &'s Stage<'m, 'a>, engine: &Engine<f64>) -> Self {
        let lanes = (0..V::WIDTH).map(|_| None).collect();
        let closers = (0..V::WIDTH).map(|_| None).collect();
        let closer =
            Closer { lanes: closers, trace: false, step_deg: stage.step_deg, waiting: Vec::new() };
        Self { stage, engine: Lanewise::from_one(engine), closer, lanes }
    }

    fn fill(&mut self, lane: usize, point: Underway<'a>) {
        if let Some(engine) = &point.engine {
            self.engine.set_one(lane, engine);
        }
        self.closer.lanes[lane] = Some(point.closer);
        let figures = Vec::new();
        let convergence = Convergence { change: f64::INFINITY, ..Convergence::default() };
        let good = Standing::of(&self.engine, lane, 0);
        self.lanes[lane] = Some(LaneState { index: point.index, figures, convergence, good });
        self.engine.begin_cycle(lane);
    }

    /// Advances to the next end of any lane's cycle; not when all lanes are idle.
    fn advance(&mut self) -> bool {
        let clocks = self.engine.clocks.iter().zip(&self.lanes);
        let left = clocks.filter(|(_, state)| state.is_some()).map(|(c, _)| c.steps() - c.step);
        let Some(steps) = left.min() else { return false };
        let steps = if self.stage.pace == Pace::Step { 1 } else { steps };
        // SAFETY: `run` picks V by the level in the settings, and a level is only made for a
        // processor that has it.
        unsafe { V::advance(&mut self.engine, &mut self.closer, steps) };
        true
    }

    /// After a step: remembers the gas of a lane, or ends its point when some of it is lost.
    fn look(&mut self, lane: usize, watch: &dyn Watch) {
        let (Some(state), Some(closer)) = (&mut self.lanes[lane], &self.closer.lanes[lane]) else {
            return;
        };
        if !is_lost(&self.engine, lane) {
            let cycle = state.convergence.cycles + 1;
            state.good = Standing::of(&self.engine, lane, cycle);
            return;
        }
        let failure = failure(&self.engine, lane, closer, &state.convergence, &state.good);
        self.empty(lane, failure.map(Err), watch);
    }

    /// After a lane's cycle: walls and spark for the next one, or the end of its point.
    fn end_cycle(&mut self, lane: usize, watch: &dyn Watch) {
        let (Some(state), Some(closer)) = (&mut self.lanes[lane], &mut self.closer.lanes[lane])
        else {
            return;
        };
        closer.settle_spark::<V::Closed>(self.stage);
        surfaces::update(&mut self.engine, lane, closer);
        state.convergence.cycles += 1;
        let failure = failure(&self.engine, lane, closer, &state.convergence, &state.good);
        // A point that is written down also holds the spark that its last charges ask for.
        let Stage { last, step_deg, holds_spark, .. } = *self.stage;
        let may_end = |closer: &mut LaneCloser| {
            !last || closer.holds_spark::<V::Closed>(step_deg) || !holds_spark
        };
        let done = failure.is_some()
            || state.is_done(&self.engine, lane, closer, self.stage)
                && (may_end(closer) || state.convergence.cycles >= self.stage.most_cycles);
        if !done {
            state.good = Standing::of(&self.engine, lane, state.convergence.cycles);
            self.engine.begin_cycle(lane);
            return;
        }
        let point = match failure {
            Some(error) => Some(Err(error)),
            None if self.stage.last
                && let Some(error) = too_hot(closer, &state.convergence) =>
            {
                Some(Err(error))
            }
            None if self.stage.last => {
                Some(Ok(outcome::point(&self.engine, lane, closer, state.convergence)))
            }
            None => None,
        };
        self.empty(lane, point, watch);
    }

    /// Gives the lane's point away with its result.
    fn empty(
        &mut self,
        lane: usize,
        result: Option<Result<crate::Point, CycleError>>,
        watch: &dyn Watch,
    ) {
        let (state, closer) = (self.lanes[lane].take(), self.closer.lanes[lane].take());
        let (Some(LaneState { index, .. }), Some(closer)) = (state, closer) else { return };
        if result.is_some() {
            watch.done(1);
        }
        let engine = Some(self.engine.one(lane));
        self.stage.give(Underway { index, engine, closer, result });
    }
}

impl LaneState {
    /// Compares the lane's cycle with the one before.
    fn is_done<V: Lane>(
        &mut self,
        engine: &Engine<V>,
        lane: usize,
        closer: &LaneCloser,
        stage: &Stage,
    ) -> bool {
        let figures = figures(engine, lane, closer);
        let change = largest_change(&self.figures, &figures);
        self.figures = figures;
        let distance = distance(self.convergence.change, change);
        let converged = distance < stage.tolerance && closer.settled;
        self.convergence = Convergence { change, converged, ..self.convergence };
        converged || self.convergence.cycles >= stage.most_cycles
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

/// Share of a change that is left to the next cycle: at least this is assumed. Engines with settled
/// surfaces show 0.1 to 0.35 (own).
const LEAST_RATE: f64 = 1.0 / 3.0;
/// The most that is believed of two noisy changes.
const MOST_RATE: f64 = 0.9;

/// How far off the repeating cycle is, when the changes go on falling as they did last.
fn distance(before: f64, change: f64) -> f64 {
    let rate = if before.is_finite() { change / before } else { LEAST_RATE };
    let rate = rate.clamp(LEAST_RATE, MOST_RATE);
    change * rate / (1.0 - rate)
}

/// Largest relative change; infinite when there is nothing to compare with.
fn largest_change(before: &[f64], now: &[f64]) -> f64 {
    if before.len() != now.len() || now.is_empty() {
        return f64::INFINITY;
    }
    before.iter().zip(now).map(|(a, b)| ((b - a) / b.abs().max(1e-12)).abs()).fold(0.0, f64::max)
}
