//! Static and effective compression ratio from volumes.
//!
//! Equations: CR = (Vs + Vc)/Vc; Vc = chamber + π/4 Dg² t + π/4 B² d + piston volume
//! + π/4 (B² − Dl²) h. Source: definition and exact geometry.

use std::f64::consts::FRAC_PI_4;

/// What makes up the volume over the piston at top dead centre, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearance {
    /// Chamber in the head, m³.
    pub chamber: f64,
    /// Opening of the gasket, m.
    pub gasket_bore: f64,
    /// Gasket, compressed, m.
    pub gasket_thickness: f64,
    /// Bore, m.
    pub bore: f64,
    /// Piston below the block, m; minus is proud.
    pub deck: f64,
    /// Dish and pockets plus, dome minus, m³.
    pub piston: f64,
    /// Top land: diameter and height, m; `None` leaves the crevice out.
    pub land: Option<(f64, f64)>,
}

impl Clearance {
    /// The volume, m³; may come out negative for impossible measures.
    #[must_use]
    pub fn volume(&self) -> f64 {
        let crevice = self.land.map_or(0.0, |(diameter, height)| {
            FRAC_PI_4 * (self.bore.powi(2) - diameter.powi(2)) * height
        });
        self.chamber
            + FRAC_PI_4 * self.gasket_bore.powi(2) * self.gasket_thickness
            + FRAC_PI_4 * self.bore.powi(2) * self.deck
            + self.piston
            + crevice
    }
}

/// Compression ratio of a swept and a clearance volume.
#[must_use]
pub fn ratio(swept: f64, clearance: f64) -> f64 {
    (swept + clearance) / clearance
}

/// Chamber volume for a wanted ratio, all else of `clearance` unchanged, m³.
#[must_use]
pub fn chamber_for(ratio: f64, swept: f64, clearance: &Clearance) -> f64 {
    swept / (ratio - 1.0) - (clearance.volume() - clearance.chamber)
}

/// Piston travel from top dead centre at crank angle `theta` (rad), no pin offset, m.
#[must_use]
pub fn piston_travel(stroke: f64, rod: f64, theta: f64) -> f64 {
    let crank = stroke / 2.0;
    let across = crank * theta.sin();
    crank + rod - crank * theta.cos() - (rod * rod - across * across).max(0.0).sqrt()
}

/// Effective ratio when the intake closes `closing_abdc` (rad) after bottom dead centre: it depends
/// on the lift that angle is stated at, so print it with the result.
#[must_use]
pub fn effective_ratio(bore: f64, stroke: f64, rod: f64, clearance: f64, closing_abdc: f64) -> f64 {
    let travel = piston_travel(stroke, rod, std::f64::consts::PI - closing_abdc);
    (clearance + FRAC_PI_4 * bore * bore * travel) / clearance
}
