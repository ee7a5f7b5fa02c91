//! Where the spark goes: best work or the onset of knock, on the closed part alone.
//!
//! Best torque: the angle `s` at which the work of runs `BEST_SPAN` earlier and later is equal, found
//! from the vertex of the parabola through three runs and then by bracketed secants. A difference
//! over several degrees is not disturbed by rounding or by the length of steps, and the equal-work
//! angle is the optimum itself where the work is symmetric about it. Knock limit: `ln I = 0` by
//! secants kept inside a bracket. Both to [`TOLERANCE`].

use super::model::Model;
use super::run::{Outcome, Prefix};
use super::{SPARK_RANGE_DEG, SparkDemand, SparkReason};
use crate::CylinderError;
use std::f64::consts::PI;

/// Tolerance of the spark, rad: 0.02 degrees.
pub(super) const TOLERANCE: f64 = 0.02 * PI / 180.0;
/// Half width of the parabola, rad; own.
const BEST_SPAN: f64 = 2.5 * PI / 180.0;
/// Longest move of the parabola's middle, rad.
const LONGEST_MOVE: f64 = 12.0 * PI / 180.0;
/// Start of a search without a guess, rad.
const FIRST_GUESS: f64 = -22.0 * PI / 180.0;
/// Most iterations of either search.
const MOST: usize = 40;

/// Runs made for one case.
pub(super) struct Search<'a> {
    pub model: &'a Model<'a>,
    pub prefix: Prefix,
    pub runs: usize,
    low: f64,
    high: f64,
}

/// A spark found and why it stands there.
pub(super) struct Found {
    pub spark: f64,
    pub reason: SparkReason,
    /// Angle at which knock sets in, when it was sought and lies in the range.
    pub limit: Option<f64>,
    pub outcome: Outcome,
}

impl<'a> Search<'a> {
    pub fn new(model: &'a Model<'a>) -> Self {
        let case = model.case;
        let low = SPARK_RANGE_DEG.0.to_radians().max(case.theta_ivc + 0.02);
        let high = SPARK_RANGE_DEG.1.to_radians().min(case.theta_evo - 0.1).max(low);
        Self { model, prefix: Prefix::new(model), runs: 0, low, high }
    }

    pub fn run(&mut self, spark: f64) -> Result<Outcome, CylinderError> {
        self.runs += 1;
        self.model.run(&mut self.prefix, spark)
    }

    /// Satisfies the demand.
    pub fn find(&mut self, demand: SparkDemand) -> Result<Found, CylinderError> {
        match demand {
            SparkDemand::Fixed(spark) => {
                let outcome = self.run(spark)?;
                Ok(Found { spark, reason: SparkReason::Given, limit: None, outcome })
            }
            SparkDemand::BestTorque => self.best(),
            SparkDemand::KnockLimited { margin } => {
                let limit = self.knock_limit(None)?;
                self.at_limit(limit, margin)
            }
            SparkDemand::BestOrKnockLimited { margin } => {
                let best = self.best()?;
                if best.outcome.knock < 1.0 && margin == 0.0 {
                    return Ok(best);
                }
                let limit = self.knock_limit(Some((best.spark, best.outcome.knock)))?;
                match limit {
                    Some(angle) if angle + margin > best.spark => self.at_limit(limit, margin),
                    _ => Ok(Found { limit, ..best }),
                }
            }
        }
    }

    fn at_limit(&mut self, limit: Option<f64>, margin: f64) -> Result<Found, CylinderError> {
        let wanted = limit.map_or(self.low, |angle| angle + margin);
        let spark = wanted.clamp(self.low, self.high);
        let reason = if limit.is_some() && spark == wanted {
            SparkReason::KnockLimit
        } else {
            SparkReason::RangeEnd
        };
        Ok(Found { spark, reason, limit, outcome: self.run(spark)? })
    }

    /// Work of the run `BEST_SPAN` earlier less that of the run as much later: positive where an
    /// earlier spark is better.
    fn pull(&mut self, spark: f64) -> Result<(f64, f64), CylinderError> {
        let early = self.run(spark - BEST_SPAN)?.end.work;
        let late = self.run(spark + BEST_SPAN)?.end.work;
        Ok((early - late, early + late))
    }

    fn best(&mut self) -> Result<Found, CylinderError> {
        let (low, high) = (self.low + BEST_SPAN, (self.high - BEST_SPAN).max(self.low + BEST_SPAN));
        let guess = self.model.case.spark_guess.filter(|s| s.is_finite()).unwrap_or(FIRST_GUESS);
        let mut x = guess.clamp(low, high);
        let outcome = self.run(x)?;
        let (mut f, sum) = self.pull(x)?;
        // First move to the vertex of the parabola, then secants kept between a spark that wants
        // to be later and one that wants to be earlier.
        let curve = sum - 2.0 * outcome.end.work;
        let mut slope = if curve < 0.0 { -2.0 * curve / BEST_SPAN } else { f64::INFINITY };
        let (mut early, mut late) = (low, high);
        for _ in 0..MOST {
            if f > 0.0 {
                late = x
            } else {
                early = x
            }
            let newton = x - (f / slope).clamp(-LONGEST_MOVE, LONGEST_MOVE);
            let step = if slope.is_finite() { newton } else { x - LONGEST_MOVE.copysign(f) };
            let next = step.clamp(low, high);
            let inside = next > early && next < late;
            let next =
                if inside || next == low || next == high { next } else { 0.5 * (early + late) };
            let done = (next - x).abs() <= TOLERANCE;
            let end = next == low || next == high;
            if done || end && late - early <= TOLERANCE {
                let reason = if end { SparkReason::RangeEnd } else { SparkReason::BestTorque };
                return Ok(Found { spark: next, reason, limit: None, outcome: self.run(next)? });
            }
            let (g, _) = self.pull(next)?;
            let secant = (g - f) / (next - x);
            slope = if secant > 0.0 { secant } else { f64::INFINITY };
            (x, f) = (next, g);
        }
        Ok(Found { spark: x, reason: SparkReason::RangeEnd, limit: None, outcome: self.run(x)? })
    }

    /// The earliest spark without knock (`I = 1`), or `None` when even the earliest in the range
    /// does not knock or even the latest does. `known` is a spark with its knock integral.
    pub fn knock_limit(&mut self, known: Option<(f64, f64)>) -> Result<Option<f64>, CylinderError> {
        let log = |i: f64| i.max(1e-12).ln();
        // Knock grows with advance: f > 0 on the early side.
        let (mut early, mut late): (Option<f64>, Option<f64>) = (None, None);
        let (mut x, mut f) = match known {
            Some((s, i)) => (s, log(i)),
            None => {
                let s = self.model.case.spark_guess.unwrap_or(FIRST_GUESS);
                let s = if s.is_finite() { s.clamp(self.low, self.high) } else { FIRST_GUESS };
                (s, log(self.run(s)?.knock))
            }
        };
        let mut before: Option<(f64, f64)> = None;
        for _ in 0..MOST {
            if f > 0.0 {
                early = Some(x)
            } else {
                late = Some(x)
            }
            let next = next_limit_guess(x, f, before, early, late, self.low, self.high);
            if (next - x).abs() <= 0.5 * TOLERANCE {
                let inside = early.is_some() && late.is_some() || (f.abs() < 1e-3);
                return Ok(inside.then_some(next));
            }
            before = Some((x, f));
            x = next;
            f = log(self.run(x)?.knock);
        }
        Ok(None)
    }
}

/// Next trial for the knock limit: secant, else a move by the usual slope, kept in the bracket.
fn next_limit_guess(
    x: f64,
    f: f64,
    before: Option<(f64, f64)>,
    early: Option<f64>,
    late: Option<f64>,
    low: f64,
    high: f64,
) -> f64 {
    // ln I falls by about a tenth per degree of retard.
    const USUAL_SLOPE: f64 = -0.1 * 180.0 / PI;
    let slope = match before {
        Some((x0, f0)) if (x - x0).abs() > 1e-9 && (f - f0) / (x - x0) < -0.1 => {
            (f - f0) / (x - x0)
        }
        _ => USUAL_SLOPE,
    };
    let trial = (x - f / slope).clamp(x - LONGEST_MOVE, x + LONGEST_MOVE).clamp(low, high);
    match (early, late) {
        (Some(a), Some(b)) if a < b => {
            if trial > a && trial < b {
                trial
            } else {
                0.5 * (a + b)
            }
        }
        _ => trial,
    }
}
