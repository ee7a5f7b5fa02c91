//! Fuel, its octane number, and where it evaporates.

use super::assembly::{fault, part};
use crate::PlanError;
use shortblock_cylinder::knock::octane_for;
use shortblock_engine::Build;
use shortblock_gas::{Fuel, fuel};

/// Share of the fuel that evaporates behind a carburettor or throttle body before the runners; own,
/// 12 K of cooling with petrol.
pub(super) const VAPOUR_UPSTREAM: f64 = 0.45;
/// Share of the fuel's latent heat that port injection takes from the charge; own.
const VAPOUR_PORT: f64 = 0.35;
/// The same for injection into the cylinder; own: little of the spray meets a wall.
const VAPOUR_DIRECT: f64 = 0.7;
/// Weight of the motor method in the octane number that acts, Kalghatgi's K: 0 ± 0.3.
const OCTANE_WEIGHT: f64 = 0.0;
/// Molar masses of the alcohols, kg/mol.
const ALCOHOLS: [(&str, f64); 2] = [("methanol", 0.032_042), ("ethanol", 0.046_068)];

/// The fuel and what it does to the charge.
pub(super) struct Charge {
    pub fuel: Fuel,
    /// Share that evaporates on the way in at the cost of the charge.
    pub charge_cooling: f64,
    /// For the knock integral, where one describes the fuel.
    pub octane_number: Option<f64>,
}

/// The fuel of a build.
///
/// # Errors
/// A fuel or blend that is not known.
pub(super) fn of(build: &Build, notes: &mut Vec<String>) -> Result<Charge, PlanError> {
    let known = |kind: &str, path: &str| {
        fuel::find(name_of(kind)).map_err(|error| part(path, &error, "name a known fuel"))
    };
    let mut fuel = known(&build.fuel.kind, "fuel.kind")?;
    if !build.fuel.blend.is_empty() {
        let mut parts = Vec::new();
        for (kind, share) in &build.fuel.blend {
            parts.push((known(kind, "fuel.blend")?, share.si));
        }
        let mixed: f64 = parts.iter().map(|(_, share)| share).sum();
        if !(0.0..=1.0).contains(&mixed) {
            return Err(fault("fuel.blend", "the shares are more than the whole", "below 100 %"));
        }
        parts.push((fuel, 1.0 - mixed));
        fuel = fuel::blend(&parts).map_err(|error| part("fuel.blend", &error, "check shares"))?;
    }
    let charge_cooling = match build.fuel.delivery.as_str() {
        "carburettor" | "throttle body injection" => VAPOUR_UPSTREAM,
        "direct injection" => {
            notes.push(
                "direct injection is taken as fuel that evaporates at the intake valve".into(),
            );
            VAPOUR_DIRECT
        }
        _ => VAPOUR_PORT,
    };
    let octane = octane_for(build.fuel.ron.si, build.fuel.mon.si, OCTANE_WEIGHT, alcohol(&fuel));
    // Nitromethane has no octane number of its own.
    let octane_number = octane.map(|(number, _)| number).filter(|_| fuel.n <= 0.0);
    if octane_number.is_none() {
        notes.push(
            "no octane number describes this fuel: the spark is not held back by knock".into(),
        );
    }
    Ok(Charge { fuel, charge_cooling, octane_number })
}

/// The shipped fuel for a word of the engine file.
fn name_of(kind: &str) -> &str {
    match kind {
        "leaded race petrol" => "leaded_race_petrol_generic",
        "oxygenated race petrol" => "oxygenated_race_petrol_generic",
        "high-oxygen race petrol" => "high_oxygen_race_petrol_generic",
        other => other,
    }
}

/// Mass share of alcohols.
fn alcohol(fuel: &Fuel) -> f64 {
    let mass = |(name, share): &(String, f64)| {
        ALCOHOLS.iter().find(|(known, _)| known == name).map_or(0.0, |(_, molar)| molar * share)
    };
    fuel.components.iter().map(mass).sum::<f64>() / fuel.molar_mass
}
