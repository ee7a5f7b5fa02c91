//! The spark that all cylinders of a point get: from cycle to cycle by searches on the charges closed
//! in, and once the cycle repeats by the knock limits that are sought then anyway.

use crate::close::{Closed, LaneCloser, solve};
use crate::level::Integrate;
use crate::point::Demand;
use crate::stage::Stage;
use shortblock_cylinder::closed::{ClosedCase, SparkDemand, SparkReason};
use std::f64::consts::PI;

/// Spark of the first cycle where it is searched, rad after firing dead centre; own.
const FIRST_SPARK: f64 = -22.0 * PI / 180.0;
/// Moves of the spark that are made in full.
const MOVES_IN_FULL: usize = 4;
/// Moves after which the spark is held: where knock comes and goes with the spark itself, none fits.
const MOST_MOVES: usize = 12;
/// How far a cycle that repeats may ask for an earlier spark, rad.
const HELD: f64 = 0.2 * PI / 180.0;
/// How far it may ask for a later one: short of the margin to knock is worse than too much of it, rad.
const SHORT: f64 = 0.1 * PI / 180.0;

/// The spark of the first cycle, rad after firing dead centre.
pub(crate) fn first_spark(demand: &Demand) -> f64 {
    match demand.spark {
        SparkDemand::Fixed(spark) => spark,
        _ => FIRST_SPARK.max(demand.earliest_spark),
    }
}

impl LaneCloser<'_> {
    /// Begins on another mesh.
    pub fn begin(&mut self, seeker: Option<usize>) {
        self.seeker = seeker;
        self.moves = 0;
        self.first_cycle = true;
        self.too_early = None;
        self.settled = matches!(self.demand.spark, SparkDemand::Fixed(_));
    }

    /// After a cycle: searches on its charges for the spark that the next one gets.
    pub fn settle_spark<W: Integrate>(&mut self, stage: &Stage) {
        if self.settled || std::mem::replace(&mut self.first_cycle, false) {
            return;
        }
        self.search::<W>(stage.step_deg);
        if let Some(wanted) = self.wanted() {
            let wanted = self.later_than_too_early(wanted);
            let near = (wanted - self.spark).abs() < stage.spark_within;
            self.settled = near || self.moves >= MOST_MOVES;
            self.move_to(wanted);
        }
    }

    /// Searches the spark for the charges that were last closed in. The cycle went on with that of all
    /// cylinders, so that searching stirs nothing.
    fn search<W: Integrate>(&mut self, step_deg: f64) {
        let chosen = |c: usize| self.seeker.is_none_or(|seeker| seeker == c);
        let closed = self.last.iter().flatten().map(|last| &last.closing);
        let (cylinders, asked): (Vec<usize>, Vec<(ClosedCase, SparkDemand)>) = closed
            .filter(|closing| chosen(closing.place.cylinder))
            .map(|closing| {
                let case = ClosedCase { step_deg, ..self.case(closing) };
                (closing.place.cylinder, (case, self.demand.spark))
            })
            .unzip();
        for (c, found) in cylinders.into_iter().zip(solve::<W>(&asked)) {
            match found {
                Ok(found) => {
                    let knocks = found.spark_reason == SparkReason::KnockLimit;
                    self.found[c] = Some((found.spark, knocks));
                }
                Err(error) => self.failure = Some((c, error)),
            }
        }
    }

    /// Whether a cycle that repeats had the spark that its knock limits ask for. A search may settle
    /// on charges that still change; then the spark is moved and the engine turned on.
    pub fn holds_spark<W: Integrate>(&mut self, step_deg: f64) -> bool {
        self.seek_knock_limits::<W>(step_deg);
        let Some(margin) = self.margin() else { return true };
        for (found, limit) in self.found.iter_mut().zip(&self.knock_limit) {
            match (found, limit) {
                (Some((spark, by_knock)), Some(limit)) if *by_knock || *spark < limit + margin => {
                    (*spark, *by_knock) = (limit + margin, true);
                }
                // Knock set the spark once, and no longer does at any: best torque is not known.
                (Some((_, true)), None) => self.settled = false,
                _ => {}
            }
        }
        let wanted = self.wanted().unwrap_or(self.spark);
        let wanted = match self.safest(margin) {
            Some((cylinder, safe)) if safe > wanted => {
                if safe - self.spark > SHORT {
                    self.too_early = Some((cylinder, self.spark));
                }
                safe
            }
            _ => self.later_than_too_early(wanted),
        };
        let (later, last) = (wanted - self.spark, self.moves >= MOST_MOVES);
        let held = later < SHORT && (last || self.settled && later > -HELD);
        if !held {
            self.move_to(wanted);
        }
        held
    }

    /// Margin to knock that is asked for, rad.
    fn margin(&self) -> Option<f64> {
        match self.demand.spark {
            SparkDemand::KnockLimited { margin } | SparkDemand::BestOrKnockLimited { margin } => {
                Some(margin)
            }
            SparkDemand::Fixed(_) | SparkDemand::BestTorque => None,
        }
    }

    /// The earliest spark that leaves every cylinder its margin, and the cylinder that asks for it. Its
    /// own best spark may lie later than that and the mean of all before.
    fn safest(&self, margin: f64) -> Option<(usize, f64)> {
        let limits = self.knock_limit.iter().enumerate();
        limits
            .filter_map(|(c, limit)| limit.map(|limit| (c, limit + margin)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// What is wanted, or half way to a spark known as too early when it is not later than that: where
    /// a charge knocks at best torque and at a later spark has no limit at all.
    fn later_than_too_early(&self, wanted: f64) -> f64 {
        match self.too_early {
            Some((_, early)) if wanted < early + HELD => 0.5 * (early + self.spark),
            _ => wanted,
        }
    }

    /// Whether knock in this cylinder keeps the spark of all from being earlier.
    pub fn is_held_back(&self, cylinder: usize) -> bool {
        let alone = self.found[cylinder].is_some_and(|(_, by_knock)| by_knock);
        let limit = self.margin().zip(self.knock_limit[cylinder]);
        let at_limit = limit.is_some_and(|(margin, limit)| self.spark - limit - margin < HELD);
        let beside = |(c, early)| c == cylinder && self.spark - early < 2.0 * HELD;
        alone || at_limit || self.too_early.is_some_and(beside)
    }

    /// The spark that what was found asks for. Best torque is the mean over the cylinders; the
    /// cylinder that knocks first sets the limit.
    fn wanted(&self) -> Option<f64> {
        let (mut best, mut count, mut limit) = (0.0, 0.0, f64::NEG_INFINITY);
        for &(spark, by_knock) in self.found.iter().flatten() {
            if by_knock {
                limit = limit.max(spark);
            }
            best += spark;
            count += 1.0;
        }
        (count > 0.0).then(|| f64::max(best / count, limit).max(self.demand.earliest_spark))
    }

    /// A move changes the next cycle's charge, which moves what is wanted: when that goes to and fro,
    /// half the way.
    fn move_to(&mut self, wanted: f64) {
        self.moves += 1;
        let in_full = self.moves <= MOVES_IN_FULL || self.moves > MOST_MOVES;
        let share = if in_full { 1.0 } else { 0.5 };
        self.spark += share * (wanted - self.spark);
    }

    /// Seeks the knock limits of the charges that were last closed in; no cycle waits for them.
    fn seek_knock_limits<W: Integrate>(&mut self, step_deg: f64) {
        if self.network.combustion.octane_number.is_none() {
            return;
        }
        let closed: Vec<&Closed> = self.last.iter().flatten().collect();
        let asked: Vec<(ClosedCase, SparkDemand)> = closed
            .iter()
            .map(|last| {
                let case = self.case(&last.closing);
                let case = ClosedCase { step_deg, find_knock_margin: true, ..case };
                (case, SparkDemand::Fixed(last.result.spark))
            })
            .collect();
        let mut limits = vec![None; self.last.len()];
        for (last, result) in closed.iter().zip(solve::<W>(&asked)) {
            // A charge whose limit cannot be worked out has none that is known.
            let margin = result.ok().and_then(|result| result.knock_margin);
            limits[last.closing.place.cylinder] = margin.map(|margin| last.result.spark - margin);
        }
        self.knock_limit = limits;
    }
}
