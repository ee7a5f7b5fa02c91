//! The closed part of the cycle, from intake closing to exhaust opening, in two zones.
//!
//! Before the spark one zone of unburned charge; after it unburned and burned gas at one pressure,
//! the burned gas in equilibrium. All energies are absolute, so burning needs no heat of reaction.
//! The internal energy of the cylinder is a ledger that loses exactly the work, heat and enthalpy
//! that are reported; the zones are brought onto it after every step. Residual gas burns along as
//! part of the unburned composition. Liquid fuel counts as vapour but for the latent heat, which is
//! drawn while it evaporates; the volume its vapour is short of meanwhile is neglected (below
//! 0.3 % of the charge volume for petrol).

mod case;
mod mixture;
mod model;
mod rates;
mod result;
mod run;
mod search;
mod state;

pub use case::*;
pub use mixture::Mixture;
pub use result::*;

use crate::{CylinderError, knock};
use model::Model;
use run::Outcome;
use search::{Found, Known, Search};

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
    let model = Model::new(case)?;
    check_demand(case, spark)?;
    let mut search = Search::new(&model);
    let motored = matches!(case.burn, Burn::Motored);
    let found = if motored {
        let outcome = search.run(case.theta_evo)?;
        Found {
            spark: case.theta_evo,
            reason: SparkReason::Motored,
            limit: None,
            slope: None,
            outcome,
        }
    } else {
        search.find(spark)?
    };
    let mut limit = found.limit;
    if limit.is_none() && case.find_knock_margin && case.octane_number.is_some() && !motored {
        let severity = search::ln_integral(&found.outcome);
        limit = search.knock_limit(Known { spark: found.spark, severity, slope: found.slope })?;
    }
    result(&model, found, limit, search.runs)
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

fn result(
    model: &Model,
    found: Found,
    limit: Option<f64>,
    evaluations: usize,
) -> Result<ClosedResult, CylinderError> {
    let case = model.case;
    let Found { spark, reason, outcome, .. } = found;
    let end = end_state(model, &outcome)?;
    let s = &outcome.end;
    let knock_integral = case.octane_number.map(|_| outcome.knock);
    // The last pressure rise stored in the crevice is work of compression that its wall takes.
    let stored = case.crevice.volume * s.gas.pressure;
    let crevice_heat = s.crevice_heat + stored;
    let burn = match outcome.marks {
        [Some(a), Some(b), Some(c)] => Some(BurnAngles {
            spark_to_10: a - spark,
            from_10_to_50: b - a,
            from_10_to_90: c - a,
            angle_50: b,
        }),
        _ => None,
    };
    Ok(ClosedResult {
        end,
        work: s.work,
        heat_head: s.heat[0],
        heat_piston: s.heat[1] + 0.5 * crevice_heat,
        heat_liner: s.heat[2] + 0.5 * crevice_heat,
        blow_by_mass: s.leak[0] + s.leak[1],
        blow_by_enthalpy: s.leak_enthalpy,
        latent_heat: s.latent,
        energy_start: case.charge.mass * model.unburned.u(case.charge.temperature),
        spark,
        spark_reason: reason,
        burn,
        peak_pressure: outcome.peak.1,
        peak_pressure_angle: outcome.peak.0,
        peak_burned_temperature: outcome.peak_burned_temperature,
        knock_integral,
        knock_margin: limit.map(|angle| spark - angle),
        octane_margin: case.octane_number.map(|on| knock::octane_margin(on, outcome.knock)),
        unburned_left: 1.0 - end.burned,
        clamps: clamps(model, &outcome),
        evaluations,
        trace: outcome.trace,
    })
}

/// All gas, crevice contents included, mixed at its internal energy.
fn end_state(model: &Model, outcome: &Outcome) -> Result<EndState, CylinderError> {
    let s = &outcome.end;
    let (u, crevice) = (&model.unburned, &model.case.crevice);
    let held =
        s.gas.crevice[0] * model.crevice_enthalpy[0] + s.gas.crevice[1] * model.crevice_enthalpy[1];
    let energy = s.energy + held - crevice.volume * s.gas.pressure;
    let (mass_u, mass_b) = (s.gas.mass_u + s.gas.crevice[0], s.gas.mass_b + s.gas.crevice[1]);
    let mass = mass_u + mass_b;
    let (mut t, mut p) = (
        (s.gas.mass_u * s.gas.t_u + s.gas.mass_b * s.gas.t_b) / (s.gas.mass_u + s.gas.mass_b),
        s.gas.pressure,
    );
    for _ in 0..30 {
        let mut sum = mass_u * u.u(t);
        let mut slope = mass_u * u.cv(t);
        let mut filled = mass_u * u.r;
        if mass_b > 0.0 {
            let b = model.table.state(t, p);
            sum += mass_b * b.u;
            slope += mass_b * b.u_t;
            filled += mass_b * b.r;
        }
        let step = (energy - sum) / slope;
        t = (t + step).clamp(150.0, 5000.0);
        p = filled * t / s.gas.volume;
        if step.abs() < 1e-10 * t {
            break;
        }
    }
    if !(t.is_finite() && p.is_finite()) {
        return Err(CylinderError::State {
            what: "temperature at exhaust opening (K)",
            value: t,
            angle_deg: s.theta.to_degrees(),
            pressure: s.gas.pressure,
            unburned_temperature: s.gas.t_u,
            burned_temperature: s.gas.t_b,
        });
    }
    let c = &model.case.charge;
    Ok(EndState {
        mass,
        temperature: t,
        pressure: p,
        burned: (mass_b + mass_u * c.burned) / mass,
        fuel: mass_u * c.fuel / mass,
        air: mass_u * (1.0 - c.fuel - c.burned) / mass,
        energy,
    })
}

fn clamps(model: &Model, outcome: &Outcome) -> Clamps {
    let mixture = model.case.mixture;
    let residual = model.case.charge.burned;
    let outside = |state: &Option<(f64, f64)>| match (state, &model.burn) {
        (Some((t, p)), model::Fire::Entrained { .. }) => {
            !mixture.flame.speed(mixture.equivalence_ratio, *t, *p, residual).in_range
        }
        _ => false,
    };
    let stretched = model.case.octane_number.is_some_and(|on| !knock::VALID_OCTANE.contains(&on));
    Clamps {
        flame_speed: outcome.looked_at.iter().filter(|s| outside(s)).count() as u32,
        burned_table: outcome.outside,
        burn_rate: outcome.limited,
        octane_range: u32::from(stretched),
    }
}
