//! What is told of a closed part that has been integrated.

use super::model::{Fire, Model};
use super::run::Outcome;
use super::search::{Found, Search};
use super::{BurnAngles, Clamps, ClosedResult, EndState};
use crate::{CylinderError, knock};

/// The result of a search that has come to its end.
///
/// # Errors
/// [`CylinderError::State`] when all gas mixed has no temperature.
pub(super) fn result(search: &Search, found: Found) -> Result<ClosedResult, CylinderError> {
    let model = search.model;
    let case = model.case;
    let Found { spark, reason, outcome, limit, .. } = found;
    let end = end_state(model, &outcome)?;
    let s = &outcome.ledger;
    let knock_integral = case.octane_number.map(|_| outcome.knock);
    // The last pressure rise stored in the crevice is work of compression that its wall takes.
    let stored = case.crevice.volume * outcome.gas.pressure;
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
        evaluations: search.runs.len(),
        trace: outcome.trace,
    })
}

/// All gas, crevice contents included, mixed at its internal energy.
fn end_state(model: &Model, outcome: &Outcome) -> Result<EndState, CylinderError> {
    let g = &outcome.gas;
    let (u, crevice) = (&model.unburned, &model.case.crevice);
    let held =
        g.crevice[0] * model.k.crevice_enthalpy[0] + g.crevice[1] * model.k.crevice_enthalpy[1];
    let energy = outcome.ledger.energy + held - crevice.volume * g.pressure;
    let (mass_u, mass_b) = (g.mass_u + g.crevice[0], g.mass_b + g.crevice[1]);
    let mass = mass_u + mass_b;
    let (mut t, mut p) =
        ((g.mass_u * g.t_u + g.mass_b * g.t_b) / (g.mass_u + g.mass_b), g.pressure);
    for _ in 0..30 {
        let mut sum = mass_u * u.u(t);
        let mut slope = mass_u * u.cv(t);
        let mut filled = mass_u * u.r;
        if mass_b > 0.0 {
            let b = model.case.mixture.table.state(t, p);
            sum += mass_b * b.u;
            slope += mass_b * b.u_t;
            filled += mass_b * b.r;
        }
        let step = (energy - sum) / slope;
        t = (t + step).clamp(150.0, 5000.0);
        p = filled * t / g.volume;
        if step.abs() < 1e-10 * t {
            break;
        }
    }
    if !(t.is_finite() && p.is_finite()) {
        return Err(CylinderError::State {
            what: "temperature at exhaust opening (K)",
            value: t,
            angle_deg: outcome.theta.to_degrees(),
            pressure: g.pressure,
            unburned_temperature: g.t_u,
            burned_temperature: g.t_b,
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
    let outside = |state: &Option<(f64, f64)>| match (state, model.fire) {
        (Some((t, p)), Fire::Entrained) => {
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
