//! Chamber, crevice, knock and walls.

use super::assembly::{circle, part};
use super::fuel::Charge;
use crate::PlanError;
use shortblock_cycle::Combustion;
use shortblock_cylinder::closed::Crevice;
use shortblock_cylinder::flame::{ChamberShape, FlameTable};
use shortblock_cylinder::wall::WallNetwork;
use shortblock_engine::Build;
use std::f64::consts::PI;

/// Factor on the wall-heat correlation: 1.1 ± 0.15 over published engines; own.
const HEAT: f64 = 1.1;
/// Share of the latent heat of fuel still liquid at intake closing that the charge gives; own.
const LATENT_AFTER: f64 = 0.3;
/// Hot gap between top land and bore over the bore, per side; own: 0.3 mm on 86 mm.
const LAND_GAP: f64 = 0.0035;
/// Crevices beside the top land's (rings, gasket, plug) over it; own.
const OTHER_CREVICES: f64 = 1.4;
/// End gap of the top ring over the bore when nobody measured (0.0045 in per inch, common practice).
const RING_GAP: f64 = 0.0045;
/// Effective over geometric leak area: discharge, and the second ring in series; own.
const LEAK: f64 = 0.5;

/// Shape of the flame's room and head area over bore area for a word of the engine file. Shares of
/// the clearance volume under the roof are own: squish and piston deck hold the rest.
fn chamber(shape: &str) -> (ChamberShape, f64) {
    match shape {
        "wedge" => (ChamberShape::Wedge { roof_share: 0.7 }, 1.2),
        "bathtub" => (ChamberShape::Wedge { roof_share: 0.4 }, 1.2),
        "hemispherical" => (ChamberShape::PentRoof { roof_share: 0.85 }, 1.35),
        "bowl in piston" => (ChamberShape::Disc, 1.1),
        _ => (ChamberShape::PentRoof { roof_share: 0.7 }, 1.2),
    }
}

/// How the charge burns, loses heat and knocks.
///
/// # Errors
/// A plug outside the bore.
pub(super) fn of(
    build: &Build,
    charge: &Charge,
    air_pressure: f64,
    notes: &mut Vec<String>,
) -> Result<Combustion, PlanError> {
    let mechanism = super::mechanism(build, None)?;
    let (shape, head_area_ratio) = chamber(&build.chamber.shape);
    let offset = build.chamber.plug_offset.si;
    let flame = match build.chamber.plugs {
        1 => FlameTable::new(&mechanism, shape, offset),
        _ => FlameTable::twin(&mechanism, shape, offset),
    };
    let flame = flame
        .map_err(|error| part("chamber.spark_plug.offset", &error, "less than half the bore"))?;
    if build.chamber.plugs > 2 {
        notes.push("more than two plugs in a chamber burn here as two, opposite each other".into());
    }
    // Only exhaust valves stand apart: the charge keeps intake valves near the head's temperature.
    let valves = &build.exhaust.valves;
    let hot_faces = valves.count as f64 * circle(valves.diameter.si);
    Ok(Combustion {
        head_area_ratio,
        flame,
        burn_multiplier: 1.0,
        heat_multiplier: HEAT,
        crevice: crevice(build, air_pressure),
        octane_number: charge.octane_number,
        latent_share: LATENT_AFTER,
        walls: WallNetwork::new(&mechanism, hot_faces),
        coolant_temperature: build.state.coolant_temperature.si,
        oil_temperature: build.state.oil_temperature.si,
    })
}

fn crevice(build: &Build, crankcase_pressure: f64) -> Crevice {
    let bottom = &build.bottom_end;
    let bore = bottom.bore.si;
    let stated = |path: &str| build.item(path).and_then(|item| item.value()).map(|value| value.si);
    let gap = stated("bottom_end.top_land_diameter")
        .map(|land| 0.5 * (bore - land))
        .filter(|gap| (0.0..0.05 * bore).contains(gap))
        .unwrap_or(LAND_GAP * bore);
    let land = PI * bore * gap * bottom.top_land_height.si;
    let ring = stated("bottom_end.ring_gap_top").unwrap_or(RING_GAP * bore).max(0.0);
    Crevice { volume: OTHER_CREVICES * land, leak_area: LEAK * ring * gap, crankcase_pressure }
}
