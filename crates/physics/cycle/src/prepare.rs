//! What a job needs before its group can turn: gas properties, shared by jobs with the same fuel,
//! air and mixture.

use crate::CycleError;
use crate::build::LaneGases;
use crate::network::Network;
use crate::run::Job;
use shortblock_cylinder::closed::Mixture;
use shortblock_gas::DuctGas;
use std::sync::Arc;

/// Range of lambda for which a point can be asked.
const LAMBDA_RANGE: (f64, f64) = (0.6, 1.6);
/// Range of engine speed for which a point can be asked, rad/s.
pub const SPEED_RANGE: (f64, f64) = (20.0, 2500.0);

/// A job made ready.
#[derive(Clone)]
pub(crate) struct Prepared {
    pub gases: Arc<LaneGases>,
    pub mixture: Arc<Mixture>,
    pub fuel_per_air: f64,
}

/// Prepares each job, or says why it cannot be.
pub(crate) fn prepare(jobs: &[Job]) -> Vec<Result<Prepared, CycleError>> {
    let mut done: Vec<(&Network, f64, Arc<LaneGases>, Arc<Mixture>)> = Vec::new();
    let mut out: Vec<Result<Prepared, CycleError>> = Vec::with_capacity(jobs.len());
    for (index, job) in jobs.iter().enumerate() {
        out.push(one(index, job, &mut done));
    }
    out
}

fn one<'a>(
    index: usize,
    job: &Job<'a>,
    done: &mut Vec<(&'a Network, f64, Arc<LaneGases>, Arc<Mixture>)>,
) -> Result<Prepared, CycleError> {
    let (network, demand) = (job.network, job.demand);
    check("lambda", demand.lambda, LAMBDA_RANGE, "between 0.6 and 1.6")?;
    check("engine speed, rad/s", demand.speed, SPEED_RANGE, "between 20 and 2500 rad/s")?;
    if network.ducts.len() != job.mesh.cells.len() || network.cylinders.is_empty() {
        return Err(CycleError::Topology { index });
    }
    let afr = network.fuel.stoichiometric_afr_with(&network.air);
    let known = done.iter().find(|(other, lambda, ..)| {
        *lambda == demand.lambda
            && (std::ptr::eq(*other, network)
                || (other.fuel == network.fuel && other.air == network.air))
    });
    let (gases, mixture) = match known {
        Some((_, _, gases, mixture)) => (gases.clone(), mixture.clone()),
        None => {
            let phi = 1.0 / demand.lambda;
            let gases = Arc::new(LaneGases {
                air: DuctGas::air(&network.air),
                fuel: DuctGas::fuel_vapour(&network.fuel),
                burned: DuctGas::burned(&network.fuel, phi, &network.air)?,
            });
            let mixture = Arc::new(Mixture::new(&network.fuel, phi, &network.air)?);
            done.push((network, demand.lambda, gases.clone(), mixture.clone()));
            (gases, mixture)
        }
    };
    Ok(Prepared { gases, mixture, fuel_per_air: 1.0 / (demand.lambda * afr) })
}

fn check(
    what: &'static str,
    value: f64,
    range: (f64, f64),
    need: &'static str,
) -> Result<(), CycleError> {
    if value >= range.0 && value <= range.1 {
        Ok(())
    } else {
        Err(CycleError::Demand { what, value, need })
    }
}
