//! Runs all engines: as shipped by the command, with the chosen numbers, and left out.

use crate::case::Case;
use crate::command;
use crate::evidence::{self, Effects, effects, linearised};
use crate::figures::{Figures, nearest};
use crate::fit::{Evidence, Posterior, Scores, posterior};
use crate::model;
use crate::report::as_factors;
use crate::residuals::{LeftOut, Wrong, to_ship};
use crate::rules::Seen;
use crate::score::{Row, curve, rows};
use shortblock_curve::Quantity;
use shortblock_engine::build::RatingKind;
use shortblock_plan::{DiscrepancyTerm, Quality};

/// An engine and all that was found of it.
pub struct Engine {
    /// The case.
    pub case: Case,
    /// Points as shipped, by the public command.
    pub points: Vec<Figures>,
    /// Why there are none, or fewer.
    pub failures: Vec<String>,
    /// What the command remarks on the numbers.
    pub remarks: Vec<String>,
    /// Published beside predicted, as shipped.
    pub rows: Vec<Row>,
    /// The same rows with the numbers chosen on all engines.
    pub all_in: Vec<Row>,
    /// The same rows with the numbers chosen without this engine.
    pub left_out: Vec<Row>,
    /// Those numbers.
    pub left_out_z: Option<Scores>,
    /// Discrepancy terms by the residuals of the other engines alone.
    pub terms_left_out: Option<Vec<DiscrepancyTerm>>,
}

impl Engine {
    /// The case worked out by the public command.
    pub fn by_command(case: Case, coarse: bool) -> Self {
        let said = command::predict(&case, coarse)
            .unwrap_or_else(|why| command::Said { missing: vec![why], ..Default::default() });
        Self {
            rows: rows(&case, &said.points, &said.best),
            case,
            points: said.points,
            failures: said.missing,
            remarks: said.remarks,
            all_in: Vec::new(),
            left_out: Vec::new(),
            left_out_z: None,
            terms_left_out: None,
        }
    }

    /// What the rules of thumb look at; `None` without a curve.
    pub fn seen(&self) -> Option<Seen<'_>> {
        let curve = curve(&self.points)?;
        let torque = curve.smoothed_peak(Quantity::Torque);
        let power = curve.smoothed_peak(Quantity::Power);
        Some(Seen {
            case: &self.case,
            torque: nearest(&self.points, torque.speed)?,
            power: nearest(&self.points, power.speed)?,
            power_peak: (!power.at_end).then_some(power.speed),
        })
    }
}

/// The numbers chosen on all engines.
pub struct Chosen {
    /// Scores and how well they are known.
    pub posterior: Posterior,
    /// How many engines helped.
    pub engines: usize,
    /// Gauss-Newton passes.
    pub passes: usize,
    /// Residuals of the points of each engine that helped, by the numbers chosen without it.
    pub points: Vec<LeftOut>,
    /// Residuals of its peaks, where those published are the curve's.
    pub peaks: Vec<LeftOut>,
}

/// Gauss-Newton passes over all engines; the slopes are those of the first.
const PASSES: usize = 3;

/// What an engine brings to the choice.
struct Helper {
    engine: usize,
    effects: Effects,
    /// What it says, linearised at the numbers of the last pass.
    seen: Option<Evidence>,
    /// Its points and its peaks at the numbers chosen without it.
    points: Option<Evidence>,
    peaks: Option<Evidence>,
}

impl Helper {
    fn new(engine: usize, effects: Effects) -> Self {
        Self { engine, effects, seen: None, points: None, peaks: None }
    }

    /// Takes the residuals of the engine's points and peaks at the numbers chosen without it; none
    /// where the curve misses one, and of peaks none where the published ones are not the curve's.
    fn left_out(&mut self, case: &Case, rows: &[Row]) {
        let near = |speed: f64| {
            let mut points = rows.iter().filter(|row| row.published.kind != RatingKind::AtLeast);
            points.find(|row| (row.published.speed - speed).abs() < 1e-6)
        };
        let at_speed = |speed: &f64| Some(-near(*speed)?.error_at_speed().ln_1p());
        let points: Option<Vec<f64>> = evidence::wanted(case).0.iter().map(at_speed).collect();
        let peaks = rows.iter().filter(|row| row.peak_speed.is_some());
        let peaks: Vec<f64> = peaks.map(|row| -row.error().ln_1p()).collect();
        let whole = case.peaks_known && peaks.len() == evidence::peaks(case).len();
        self.points = points.map(|off| self.effects.with(case, off, false));
        self.peaks = whole.then(|| self.effects.with(case, peaks, true));
    }
}

/// The posterior by all helpers but some engines.
fn without(helpers: &[Helper], out: &[usize], at: &Scores) -> Result<Posterior, String> {
    let kept = helpers.iter().filter(|helper| !out.contains(&helper.engine));
    posterior(kept.filter_map(|helper| helper.seen.as_ref()), at)
        .ok_or_else(|| "no posterior".into())
}

/// Chooses the numbers on all engines, then without each, and works out the curves of both.
///
/// An engine whose rated points can't be worked out does not help; the log says so.
pub fn choose(engines: &mut [Engine], log: &dyn Fn(String)) -> Result<Chosen, String> {
    let mut helpers: Vec<Helper> = Vec::new();
    for (i, engine) in engines.iter().enumerate().filter(|(_, engine)| engine.case.fit) {
        match effects(&engine.case) {
            Ok(effects) => helpers.push(Helper::new(i, effects)),
            Err(why) => log(format!("does not help: {why}")),
        }
    }
    let mut at = [0.0; 4];
    let mut found = without(&[], &[], &at)?;
    for pass in 0..PASSES {
        at = found.z;
        for helper in &mut helpers {
            let seen = linearised(&engines[helper.engine].case, &at, &helper.effects);
            helper.seen = seen.inspect_err(|why| log(format!("does not help: {why}"))).ok();
        }
        found = without(&helpers, &[], &at)?;
        log(format!("pass {}: {}", pass + 1, as_factors(&found.z)));
    }
    for (i, engine) in engines.iter_mut().enumerate() {
        let left_out = without(&helpers, &[i], &at)?.z;
        let case = &engine.case;
        log(format!("without {}: {}", case.name(), as_factors(&left_out)));
        let curve = |z: &Scores| {
            let points = model::points(case, z, &case.speeds, Quality::Fine);
            points.inspect_err(|why| log(why.clone())).unwrap_or_default()
        };
        engine.all_in = rows(case, &curve(&found.z), &[]);
        engine.left_out = rows(case, &curve(&left_out), &[]);
        engine.left_out_z = Some(left_out);
        if let Some(helper) = helpers.iter_mut().find(|helper| helper.engine == i) {
            helper.left_out(case, &engine.left_out);
        }
    }
    let (points, peaks) = residuals(engines, &helpers, &at, None)?;
    for i in 0..engines.len() {
        let (points, peaks) = residuals(engines, &helpers, &at, Some(i))?;
        engines[i].terms_left_out = Wrong::of(&points, &peaks).as_ref().map(to_ship);
    }
    let engines = helpers.iter().filter(|helper| helper.seen.is_some()).count();
    Ok(Chosen { posterior: found, engines, passes: PASSES, points, peaks })
}

/// Residuals of each engine but `out`, by the numbers chosen without it and without `out`: of its
/// points and of its peaks.
fn residuals(
    engines: &[Engine],
    helpers: &[Helper],
    at: &Scores,
    out: Option<usize>,
) -> Result<(Vec<LeftOut>, Vec<LeftOut>), String> {
    let (mut points, mut peaks) = (Vec::new(), Vec::new());
    for helper in helpers.iter().filter(|helper| Some(helper.engine) != out) {
        let engine = &engines[helper.engine];
        let case = &engine.case;
        let both: Vec<usize> = out.into_iter().chain([helper.engine]).collect();
        let numbers = without(helpers, &both, at)?;
        let Some(own) = &engine.left_out_z else { continue };
        if let Some(seen) = &helper.points {
            let speeds = evidence::wanted(case).0;
            points.push(LeftOut::new(case.name(), &speeds, seen, own, &numbers));
        }
        if let Some(seen) = &helper.peaks {
            let speeds: Vec<f64> = evidence::peaks(case).iter().map(|p| p.speed).collect();
            peaks.push(LeftOut::new(case.name(), &speeds, seen, own, &numbers));
        }
    }
    Ok((points, peaks))
}
