//! The closed part of the cycle, from intake closing to exhaust opening, in two zones.
//!
//! Before the spark one zone of unburned charge; after it unburned and burned gas at one pressure,
//! the burned gas in equilibrium. All energies are absolute, so burning needs no heat of reaction.
//! The internal energy of the cylinder is a ledger that loses exactly the work, heat and enthalpy
//! that are reported; the zones are brought onto it after every step. Residual gas burns along as
//! part of the unburned composition. Liquid fuel counts as vapour but for the latent heat, which is
//! drawn while it evaporates; the volume its vapour is short of meanwhile is neglected (below
//! 0.3 % of the charge volume for petrol).

mod balance;
mod case;
mod finish;
mod gases;
mod log;
mod mixture;
mod model;
mod numbers;
mod rates;
mod result;
mod run;
mod search;
mod state;
mod step;

pub use case::*;
pub use mixture::Mixture;
pub use result::*;
pub use run::{Ended, Run};

use crate::CylinderError;
use model::Model;
use search::{Halt, Search};
use shortblock_lanes::Lane;

/// Largest step while the charge burns, degrees.
pub const STEP_DEG: f64 = 1.0;
/// Range in which the spark is searched, degrees after firing dead centre.
pub const SPARK_RANGE_DEG: (f64, f64) = (-70.0, 15.0);

/// Integrates the closed part for the spark asked for.
///
/// # Errors
/// [`CylinderError::Setting`] for a setting out of its range, [`CylinderError::State`] with the
/// angle and the last good state when the gas leaves the range of its properties.
pub fn solve(case: &ClosedCase, spark: SparkDemand) -> Result<ClosedResult, CylinderError> {
    let mut results = solve_all::<f64>(&[(case.clone(), spark)], |run| run.integrate());
    results.pop().expect("one result for each case")
}

/// Integrates several closed parts, in lanes `V` of 64 bits each; the results stand in the order of
/// the cases and do not depend on the other cases. `integrate` is [`Run::integrate`] in a function
/// that is compiled for the instructions of the lanes.
///
/// # Errors
/// As [`solve`], for each case.
pub fn solve_all<V: Lane>(
    cases: &[(ClosedCase, SparkDemand)],
    integrate: impl Fn(Run<V>) -> Ended<V>,
) -> Vec<Result<ClosedResult, CylinderError>> {
    let models: Vec<Result<Model, CylinderError>> = cases
        .iter()
        .map(|(case, spark)| check_demand(case, *spark).and_then(|()| Model::new(case)))
        .collect();
    let mut results: Vec<Option<Result<ClosedResult, CylinderError>>> =
        models.iter().map(|m| m.as_ref().err().cloned().map(Err)).collect();
    let mut searches: Vec<Option<Search>> =
        models.iter().map(|m| m.as_ref().ok().map(Search::new)).collect();
    loop {
        let mut wanted: Vec<(usize, f64)> = Vec::new();
        for (i, search) in searches.iter().enumerate() {
            let Some(search) = search.as_ref().filter(|_| results[i].is_none()) else { continue };
            match search.solve(cases[i].1).and_then(|found| Ok(finish::result(search, found)?)) {
                Ok(result) => results[i] = Some(Ok(result)),
                Err(Halt::Failed(error)) => results[i] = Some(Err(error)),
                Err(Halt::Wanted(sparks)) => wanted.extend(sparks.into_iter().map(|s| (i, s))),
            }
        }
        if wanted.is_empty() {
            break;
        }
        for lot in lots::<V>(&wanted, &models) {
            let parts: Vec<(&Model, f64)> = lot
                .iter()
                .filter_map(|(i, spark)| models[*i].as_ref().ok().map(|model| (model, *spark)))
                .collect();
            let mut ended = integrate(Run::new(&parts));
            for (lane, (i, spark)) in lot.iter().enumerate() {
                match (ended.outcome(lane), &mut searches[*i]) {
                    (Ok(outcome), Some(search)) => search.runs.push((*spark, outcome)),
                    (Err(error), _) => results[*i] = Some(Err(error)),
                    (Ok(_), None) => {}
                }
            }
        }
    }
    let unasked = || unreachable!("a search ends with a result or wants a run");
    results.into_iter().map(|result| result.unwrap_or_else(unasked)).collect()
}

fn check_demand(case: &ClosedCase, spark: SparkDemand) -> Result<(), CylinderError> {
    match spark {
        SparkDemand::Fixed(angle) => model::in_range(
            "spark",
            angle,
            case.theta_ivc,
            case.theta_evo - 0.02,
            "between intake closing and exhaust opening",
        ),
        SparkDemand::BestTorque => Ok(()),
        SparkDemand::KnockLimited { margin } | SparkDemand::BestOrKnockLimited { margin } => {
            if case.octane_number.is_none() {
                return Err(CylinderError::Setting {
                    what: "octane number for a knock limit",
                    value: 0.0,
                    need: "known; mostly alcoholic fuels have none that holds, ask for best torque",
                });
            }
            model::in_range("margin to the knock limit", margin, 0.0, 1.0, "0 to 1 rad")
        }
    }
}

/// Runs that are integrated together: they burn in the same way, and no more than there are lanes.
fn lots<V: Lane>(
    wanted: &[(usize, f64)],
    models: &[Result<Model, CylinderError>],
) -> Vec<Vec<(usize, f64)>> {
    let fire = |run: &(usize, f64)| models[run.0].as_ref().ok().map(|model| model.fire);
    wanted
        .chunk_by(|a, b| fire(a) == fire(b))
        .flat_map(|alike| alike.chunks(V::WIDTH).map(<[_]>::to_vec))
        .collect()
}
