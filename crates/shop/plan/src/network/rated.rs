//! Pressure drops that are stated at a flow or at a power.

use super::assembly::fault;
use crate::PlanError;
use shortblock_engine::build::RatedDrop;
use shortblock_units::Quantity;

/// Air that an engine at full load breathes for its power, kg/J: 300 g/kWh at an air-fuel ratio of
/// 12.85 (common practice, no source; the same within 5 % for all fuels, whose heat per air is).
const AIR_PER_WORK: f64 = 1.07e-6;
/// Exhaust gas over air at that mixture.
pub(super) const EXHAUST_PER_AIR: f64 = 1.078;
/// Density of the air that volume flows are stated in, kg/m³.
pub(super) const AIR_DENSITY: f64 = 1.184;

/// Air flow in kg/s that a drop is stated at.
///
/// # Errors
/// A flow or drop of nothing.
pub(super) fn air_flow(rated: &RatedDrop, path: &str) -> Result<f64, PlanError> {
    let at = rated.at.si;
    let flow = match rated.at.quantity {
        Quantity::Power => at * AIR_PER_WORK,
        Quantity::VolumeFlow => at * AIR_DENSITY,
        _ => at,
    };
    if flow > 0.0 && flow.is_finite() && rated.drop.si >= 0.0 {
        return Ok(flow);
    }
    Err(fault(path, "a pressure drop needs a flow above 0", "write it as 35 kPa at 0.20 kg/s"))
}

/// Area with which an opening takes this drop at this flow of air, m²; infinite without a drop.
///
/// # Errors
/// As [`air_flow`].
pub(super) fn air_area(rated: &RatedDrop, path: &str) -> Result<f64, PlanError> {
    Ok(air_flow(rated, path)? / (2.0 * AIR_DENSITY * rated.drop.si).sqrt())
}
