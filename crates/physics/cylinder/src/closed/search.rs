//! Where the spark goes: best work or the onset of knock, on the closed part alone.
//!
//! Best torque: the angle `s` at which the work of runs `BEST_SPAN` earlier and later is equal, found
//! from the vertex of the parabola through three runs and then by bracketed secants. A difference
//! over several degrees is not disturbed by rounding or by the length of steps, and the equal-work
//! angle is the optimum itself where the work is symmetric about it. Knock limit: the late side of
//! `ln I = 0` by bracketed regula falsi. Both to [`TOLERANCE`].
//!
//! A search cannot integrate by itself: runs of many searches are integrated side by side. So it is
//! begun again and again. Where it needs a run that is not there it says so and stops ([`Halt`]);
//! with that run it comes further the next time.

use super::log::vertex;
use super::model::{Fire, Model};
use super::run::Outcome;
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
/// Usual loss of work with the square of the distance from best torque, over twice the work,
/// 1/rad^2; own: about 1 % over 6 degrees. It only decides how many runs are needed.
const USUAL_BEND: f64 = 0.5;
/// How far apart two runs are that tell which way the knock integral grows, rad.
const PROBE: f64 = 2.0 * PI / 180.0;
/// Where a search starts again that began too early, rad.
const LATE_START: f64 = -5.0 * PI / 180.0;
/// Usual change of the logarithm of the knock integral per rad of advance: a tenth a degree.
const USUAL_SLOPE: f64 = 0.1 * 180.0 / PI;
/// Slope below which a trial only says that the top of the integral is near, 1/rad.
const LEAST_SLOPE: f64 = 0.02 * 180.0 / PI;
/// How far a move to the other side of the limit aims, so that it ends beyond it.
const OVERSHOOT: f64 = 1.1;
/// Last move of the search for best torque, rad: secants shrink the error at least tenfold, so
/// after a move of a fifth of a degree it is below [`TOLERANCE`].
const LAST_MOVE: f64 = 0.2 * PI / 180.0;
/// Logarithm of the knock integral so near the onset that the chord ends the search: over 5 degrees
/// the slope changes by about a fifth, so a chord from 0.1 degrees beside the onset finds it to 0.01.
const NEAR_ONSET: f64 = 1e-2;
/// Most iterations of either search.
const MOST: usize = 40;

/// A knocking spark and a later, quiet one, each with its severity.
type Bracket = ((f64, f64), (f64, f64));

/// Why a search stops before its end.
pub(super) enum Halt {
    /// Runs at these sparks are needed.
    Wanted(Vec<f64>),
    /// It cannot be worked out.
    Failed(CylinderError),
}

impl From<CylinderError> for Halt {
    fn from(error: CylinderError) -> Self {
        Halt::Failed(error)
    }
}

/// What a search comes to, for now.
type Outlook<T> = Result<T, Halt>;

/// The search of one case, with the runs made for it.
pub(super) struct Search<'a> {
    pub model: &'a Model<'a>,
    /// Runs by their spark.
    pub runs: Vec<(f64, Outcome)>,
    low: f64,
    high: f64,
}

/// A spark whose severity of knock is known, with what it grows by per rad of advance.
pub(super) struct Known {
    pub spark: f64,
    pub severity: f64,
    pub slope: Option<f64>,
}

/// Runs on both sides of a spark.
struct Around {
    /// Work of the earlier run less that of the later: positive where an earlier spark is better.
    pull: f64,
    /// Their sum, J.
    sum: f64,
    /// Severity of knock of both.
    early: f64,
    late: f64,
}

impl Around {
    /// What the severity of knock grows by per rad of advance.
    fn slope(&self) -> Option<f64> {
        Some((self.early - self.late) / (2.0 * BEST_SPAN))
    }
}

/// Severity of knock: logarithm of the integral, positive when it knocks.
pub(super) fn ln_integral(outcome: &Outcome) -> f64 {
    outcome.knock.max(1e-12).ln()
}

/// A spark found and why it stands there.
pub(super) struct Found {
    pub spark: f64,
    pub reason: SparkReason,
    /// Angle at which knock sets in, when it was sought and lies in the range.
    pub limit: Option<f64>,
    /// What the severity of knock grows by per rad of advance, where runs beside it tell.
    pub slope: Option<f64>,
    pub outcome: Outcome,
}

impl<'a> Search<'a> {
    pub fn new(model: &'a Model<'a>) -> Self {
        let case = model.case;
        let low = SPARK_RANGE_DEG.0.to_radians().max(case.theta_ivc + 0.02);
        let high = SPARK_RANGE_DEG.1.to_radians().min(case.theta_evo - 0.1).max(low);
        Self { model, runs: Vec::new(), low, high }
    }

    /// The runs at these sparks.
    fn all<const N: usize>(&self, sparks: [f64; N]) -> Outlook<[&Outcome; N]> {
        let known = |spark: f64| self.runs.iter().find(|run| run.0 == spark).map(|run| &run.1);
        let wanted: Vec<f64> = sparks.into_iter().filter(|spark| known(*spark).is_none()).collect();
        let found = sparks.map(known);
        match wanted.is_empty() {
            true => Ok(found.map(|run| run.expect("none is wanted, so all are known"))),
            false => Err(Halt::Wanted(wanted)),
        }
    }

    fn run(&self, spark: f64) -> Outlook<&Outcome> {
        let [outcome] = self.all([spark])?;
        Ok(outcome)
    }

    /// Satisfies the demand, and seeks the knock limit where the case asks for it.
    pub fn solve(&self, demand: SparkDemand) -> Outlook<Found> {
        let case = self.model.case;
        if self.model.fire == Fire::Never {
            let spark = case.theta_evo;
            let outcome = self.run(spark)?.clone();
            return Ok(Found {
                spark,
                reason: SparkReason::Motored,
                limit: None,
                slope: None,
                outcome,
            });
        }
        let mut found = self.find(demand)?;
        if found.limit.is_none() && case.find_knock_margin && case.octane_number.is_some() {
            let severity = ln_integral(&found.outcome);
            found.limit =
                self.knock_limit(Known { spark: found.spark, severity, slope: found.slope })?;
        }
        Ok(found)
    }

    /// Satisfies the demand.
    fn find(&self, demand: SparkDemand) -> Outlook<Found> {
        match demand {
            SparkDemand::Fixed(spark) => {
                let outcome = self.run(spark)?.clone();
                Ok(Found { spark, reason: SparkReason::Given, limit: None, slope: None, outcome })
            }
            SparkDemand::BestTorque => Ok(self.best()?.0),
            SparkDemand::KnockLimited { margin } => {
                let x = self.guess().clamp(self.low, self.high);
                let f = self.severity(x)?;
                let limit = self.knock_limit(Known { spark: x, severity: f, slope: None })?;
                self.at_limit(limit, margin)
            }
            SparkDemand::BestOrKnockLimited { margin } => {
                let (best, around) = self.best()?;
                let known = Known {
                    spark: best.spark,
                    severity: ln_integral(&best.outcome),
                    slope: best.slope,
                };
                // The run before the best spark already lies beyond the margin and is quiet.
                if margin <= BEST_SPAN && around.early < 0.0 && known.severity < around.early {
                    return Ok(best);
                }
                let limit = self.knock_limit(known)?;
                match limit {
                    Some(angle) if angle + margin > best.spark => self.at_limit(limit, margin),
                    _ => Ok(Found { limit, ..best }),
                }
            }
        }
    }

    fn guess(&self) -> f64 {
        self.model.case.spark_guess.filter(|s| s.is_finite()).unwrap_or(FIRST_GUESS)
    }

    fn at_limit(&self, limit: Option<f64>, margin: f64) -> Outlook<Found> {
        let wanted = limit.map_or(self.low, |angle| angle + margin);
        let spark = wanted.clamp(self.low, self.high);
        let reason = if limit.is_some() && spark == wanted {
            SparkReason::KnockLimit
        } else {
            SparkReason::RangeEnd
        };
        Ok(Found { spark, reason, limit, slope: None, outcome: self.run(spark)?.clone() })
    }

    /// Runs `BEST_SPAN` earlier and later than a spark.
    fn around(&self, spark: f64) -> Outlook<Around> {
        let [early, late] = self.all([spark - BEST_SPAN, spark + BEST_SPAN])?;
        Ok(Around {
            pull: early.ledger.work - late.ledger.work,
            sum: early.ledger.work + late.ledger.work,
            early: ln_integral(early),
            late: ln_integral(late),
        })
    }

    fn best(&self) -> Outlook<(Found, Around)> {
        let (low, high) = (self.low + BEST_SPAN, (self.high - BEST_SPAN).max(self.low + BEST_SPAN));
        let mut x = self.guess().clamp(low, high);
        let mut around = self.around(x)?;
        if self.model.case.spark_guess.is_some()
            && let Some(found) = self.best_nearby(x, &around, low, high)?
        {
            return Ok((found, around));
        }
        let outcome = self.run(x)?.clone();
        // First move to the vertex of the parabola, then secants kept between a spark that wants
        // to be later and one that wants to be earlier.
        let curve = around.sum - 2.0 * outcome.ledger.work;
        let mut slope = if curve < 0.0 { -2.0 * curve / BEST_SPAN } else { f64::INFINITY };
        let (mut early, mut late) = (low, high);
        for _ in 0..MOST {
            let f = around.pull;
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
            let end = next == low || next == high;
            if (next - x).abs() <= LAST_MOVE || end && late - early <= TOLERANCE {
                let reason = if end { SparkReason::RangeEnd } else { SparkReason::BestTorque };
                let outcome = self.run(next)?.clone();
                let slope = around.slope();
                return Ok((Found { spark: next, reason, limit: None, slope, outcome }, around));
            }
            let there = self.around(next)?;
            let secant = (there.pull - f) / (next - x);
            slope = if secant > 0.0 { secant } else { f64::INFINITY };
            (x, around) = (next, there);
        }
        let outcome = self.run(x)?.clone();
        let (reason, slope) = (SparkReason::RangeEnd, around.slope());
        Ok((Found { spark: x, reason, limit: None, slope, outcome }, around))
    }

    /// Best torque from the runs around a good guess, or `None` when it lies further than
    /// [`LAST_MOVE`]: a run where it should be from the usual curvature is also the third point of
    /// the parabola, and mostly the answer.
    fn best_nearby(&self, x: f64, around: &Around, low: f64, high: f64) -> Outlook<Option<Found>> {
        let per_rad = -around.pull / (2.0 * BEST_SPAN);
        let step = 0.5 * per_rad / (USUAL_BEND * around.sum);
        let mut spark = x + step;
        if !(step.abs() <= LAST_MOVE && low < spark && spark < high) {
            return Ok(None);
        }
        let mut outcome = self.run(spark)?.clone();
        let bend = (2.0 * (outcome.ledger.work - per_rad * step) - around.sum)
            / (2.0 * (BEST_SPAN * BEST_SPAN - step * step));
        let top = x + 0.5 * per_rad / bend;
        if !((top - spark).abs() <= LAST_MOVE && low < top && top < high) {
            return Ok(None);
        }
        if (top - spark).abs() > TOLERANCE {
            spark = top;
            outcome = self.run(top)?.clone();
        }
        let (reason, slope) = (SparkReason::BestTorque, around.slope());
        Ok(Some(Found { spark, reason, limit: None, slope, outcome }))
    }

    /// Logarithm of the knock integral at a spark: positive when it knocks.
    fn severity(&self, spark: f64) -> Outlook<f64> {
        Ok(ln_integral(self.run(spark)?))
    }

    /// The spark at which knock sets in (`I = 1`) when one comes from later sparks, or `None` when
    /// no spark in the range knocks or even the latest does.
    ///
    /// Far before dead centre the integral falls again, because the charge has burned before it is
    /// compressed; that side is no limit and is left when the search starts there.
    pub fn knock_limit(&self, known: Known) -> Outlook<Option<f64>> {
        let Known { spark: mut x, severity: mut f, slope } = known;
        let mut slope = slope.unwrap_or(0.0);
        if f <= 0.0 && slope <= 0.0 {
            let later = (x + PROBE).min(self.high);
            let g = self.severity(later)?;
            slope = (f - g) / PROBE;
            if g > f {
                x = later.max(LATE_START).min(self.high);
                f = self.severity(x)?;
            }
        }
        let slope = if slope > LEAST_SLOPE { slope } else { USUAL_SLOPE };
        let bracket = if f > 0.0 {
            self.retard_to_quiet((x, f), slope)?
        } else {
            self.advance_to_knock((x, f), slope)?
        };
        match bracket {
            Some((early, late)) => self.onset(early, late).map(Some),
            None => Ok(None),
        }
    }

    /// From a knocking spark to the first later one that does not knock; `slope` is what the
    /// severity grows by with advance, 1/rad.
    fn retard_to_quiet(&self, mut early: (f64, f64), mut slope: f64) -> Outlook<Option<Bracket>> {
        while early.0 < self.high {
            let step = (OVERSHOOT * early.1 / slope).clamp(0.1 * PROBE, LONGEST_MOVE);
            let later = (early.0 + step).min(self.high);
            let g = self.severity(later)?;
            if g <= 0.0 {
                return Ok(Some((early, (later, g))));
            }
            let found = (early.1 - g) / (later - early.0);
            slope = if found > LEAST_SLOPE { found } else { LEAST_SLOPE };
            early = (later, g);
        }
        Ok(None)
    }

    /// From a quiet spark to the first earlier one that knocks; `None` when the integral has its
    /// largest value below 1.
    fn advance_to_knock(&self, mut late: (f64, f64), mut slope: f64) -> Outlook<Option<Bracket>> {
        let mut later_still = late;
        while late.0 > self.low {
            let step = (-OVERSHOOT * late.1 / slope).clamp(0.1 * PROBE, 4.0 * PROBE);
            let x = (late.0 - step).max(self.low);
            let g = self.severity(x)?;
            if g > 0.0 {
                return Ok(Some(((x, g), late)));
            }
            if g < late.1 {
                if later_still.0 <= late.0 {
                    return Ok(None);
                }
                let top = vertex([x, late.0, later_still.0], [g, late.1, later_still.1])[0];
                let h = self.severity(top)?;
                return Ok((h > 0.0).then_some(((top, h), later_still)));
            }
            slope = ((g - late.1) / (late.0 - x)).max(LEAST_SLOPE);
            (later_still, late) = (late, (x, g));
        }
        Ok(None)
    }

    /// Root of the severity between a knocking and a later, quiet spark: regula falsi with the
    /// retained end weighed by half (Illinois), which cannot leave the bracket.
    fn onset(&self, mut early: (f64, f64), mut late: (f64, f64)) -> Outlook<f64> {
        let (mut weight_early, mut weight_late, mut side) = (1.0, 1.0, 0);
        for _ in 0..MOST {
            let chord = |e: f64, l: f64| late.0 - l * (late.0 - early.0) / (l - e);
            if late.0 - early.0 <= TOLERANCE || early.1.min(-late.1) < NEAR_ONSET {
                return Ok(chord(early.1, late.1));
            }
            let x = chord(weight_early * early.1, weight_late * late.1);
            let f = self.severity(x)?;
            if f > 0.0 {
                weight_late *= if side == 1 { 0.5 } else { 1.0 };
                (early, weight_early, side) = ((x, f), 1.0, 1);
            } else {
                weight_early *= if side == -1 { 0.5 } else { 1.0 };
                (late, weight_late, side) = ((x, f), 1.0, -1);
            }
        }
        Ok(late.0)
    }
}
