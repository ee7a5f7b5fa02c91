//! Runs all engines: as shipped by the command, with the chosen numbers, and left out.

use crate::case::Case;
use crate::command;
use crate::evidence::{linearised, slopes, wanted};
use crate::figures::{Figures, nearest};
use crate::fit::{Evidence, Scores, posterior};
use crate::model;
use crate::report::as_factors;
use crate::residuals::LeftOut;
use crate::rules::Seen;
use crate::score::{Row, curve, rows};
use shortblock_curve::Quantity;
use shortblock_plan::Quality;

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
}

impl Engine {
    /// The case worked out by the public command.
    pub fn by_command(case: Case, coarse: bool) -> Self {
        let said = command::predict(&case, coarse)
            .unwrap_or_else(|why| command::Said { missing: vec![why], ..Default::default() });
        Self {
            rows: rows(&case, &said.points),
            case,
            points: said.points,
            failures: said.missing,
            remarks: said.remarks,
            all_in: Vec::new(),
            left_out: Vec::new(),
            left_out_z: None,
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
    /// Scores.
    pub z: Scores,
    /// Their posterior standard deviations, in those of the prior.
    pub sd: [f64; 4],
    /// How many engines helped.
    pub engines: usize,
    /// Gauss-Newton passes.
    pub passes: usize,
    /// Residuals of each engine that helped, by the numbers chosen without it.
    pub residuals: Vec<LeftOut>,
}

/// Gauss-Newton passes over all engines; the slopes are those of the first.
const PASSES: usize = 3;

/// What an engine brings to the choice.
struct Helper {
    engine: usize,
    slopes: Vec<Scores>,
    spread: Vec<Vec<f64>>,
}

/// Chooses the numbers on all engines, then without each, and works out the curves of both.
///
/// An engine whose rated points can't be worked out does not help; the log says so.
pub fn choose(engines: &mut [Engine], log: &dyn Fn(String)) -> Result<Chosen, String> {
    let mut helpers: Vec<Helper> = Vec::new();
    for (i, engine) in engines.iter().enumerate().filter(|(_, engine)| engine.case.fit) {
        let case = &engine.case;
        let found =
            slopes(case).and_then(|slopes| Ok((slopes, model::samples(case, &wanted(case).0)?)));
        match found {
            Ok((slopes, spread)) => helpers.push(Helper { engine: i, slopes, spread }),
            Err(why) => log(format!("does not help: {why}")),
        }
    }
    let (z, sd, residuals) = ([0.0; 4], [1.0; 4], Vec::new());
    let mut chosen = Chosen { z, sd, engines: 0, passes: PASSES, residuals };
    let mut evidence: Vec<(usize, Evidence)> = Vec::new();
    let mut at = chosen.z;
    for pass in 0..PASSES {
        at = chosen.z;
        evidence = helpers
            .iter()
            .filter_map(|helper| {
                let case = &engines[helper.engine].case;
                let found = linearised(case, &at, &helper.slopes, &helper.spread);
                found
                    .inspect_err(|why| log(format!("does not help: {why}")))
                    .ok()
                    .map(|evidence| (helper.engine, evidence))
            })
            .collect();
        let found = posterior(evidence.iter().map(|(_, e)| e), &at).ok_or("no posterior")?;
        (chosen.z, chosen.sd) = (found.z, found.sd());
        log(format!("pass {}: {}", pass + 1, as_factors(&chosen.z)));
    }
    chosen.engines = evidence.len();
    for i in 0..engines.len() {
        let others = evidence.iter().filter(|(other, _)| *other != i).map(|(_, e)| e);
        let found = posterior(others, &at).ok_or("no posterior")?;
        let left_out = found.z;
        let engine = &mut engines[i];
        let case = &engine.case;
        if let Some((_, own)) = evidence.iter().find(|(other, _)| *other == i) {
            let speeds = wanted(case).0;
            let covariance = &found.covariance;
            let residual = LeftOut::new(case.name(), &speeds, own, &at, &left_out, covariance);
            chosen.residuals.push(residual);
        }
        log(format!("without {}: {}", case.name(), as_factors(&left_out)));
        let curve = |z: &Scores| {
            let points = model::points(case, z, &case.speeds, Quality::Fine);
            points.inspect_err(|why| log(why.clone())).unwrap_or_default()
        };
        engine.all_in = rows(case, &curve(&chosen.z));
        engine.left_out = rows(case, &curve(&left_out));
        engine.left_out_z = Some(left_out);
    }
    Ok(chosen)
}
