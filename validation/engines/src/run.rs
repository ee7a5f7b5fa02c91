//! Runs all engines: as shipped by the command, with the chosen numbers, and left out.

use crate::case::Case;
use crate::command;
use crate::evidence::{linearised, wanted};
use crate::figures::{Figures, nearest};
use crate::fit::{Evidence, Scores, posterior};
use crate::model;
use crate::report::as_factors;
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
    /// Why there are none.
    pub failure: Option<String>,
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
        let (points, failure) = match command::predict(&case, coarse) {
            Ok(points) => (points, None),
            Err(why) => (Vec::new(), Some(why)),
        };
        let rows = rows(&case, &points);
        let none = Vec::new;
        Self { case, points, failure, rows, all_in: none(), left_out: none(), left_out_z: None }
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
}

/// Gauss-Newton passes over all engines.
const PASSES: usize = 3;

/// Chooses the numbers on all engines, then without each, and works out the curves of both.
pub fn choose(engines: &mut [Engine], log: &dyn Fn(String)) -> Result<Chosen, String> {
    let helping: Vec<usize> = (0..engines.len()).filter(|i| engines[*i].case.fit).collect();
    let spreads: Vec<Vec<Vec<f64>>> = helping
        .iter()
        .map(|&i| model::samples(&engines[i].case, &wanted(&engines[i].case).0))
        .collect::<Result<_, _>>()?;
    let mut z = [0.0; 4];
    let mut sd = [1.0; 4];
    let mut evidence: Vec<Evidence> = Vec::new();
    let mut at = z;
    for pass in 0..PASSES {
        at = z;
        evidence = helping
            .iter()
            .zip(&spreads)
            .map(|(&i, spread)| linearised(&engines[i].case, &at, spread, Quality::Fine))
            .collect::<Result<_, _>>()?;
        (z, sd) = posterior(evidence.iter(), &at).ok_or("no posterior")?;
        log(format!("pass {}: {}", pass + 1, as_factors(&z)));
    }
    for i in 0..engines.len() {
        let without = || {
            let others = helping.iter().zip(&evidence).filter(|(other, _)| **other != i);
            others.map(|(_, evidence)| evidence)
        };
        let (left_out, _) = posterior(without(), &at).ok_or("no posterior")?;
        let engine = &mut engines[i];
        let case = &engine.case;
        log(format!("without {}: {}", case.name(), as_factors(&left_out)));
        engine.all_in = rows(case, &model::points(case, &z, &case.speeds, Quality::Fine)?);
        engine.left_out = rows(case, &model::points(case, &left_out, &case.speeds, Quality::Fine)?);
        engine.left_out_z = Some(left_out);
    }
    Ok(Chosen { z, sd, engines: helping.len(), passes: PASSES })
}
