//! Laminar flame speed: which relation for which fuel, blending, residual gas.
//!
//! The published relations differ by up to 2 in places, so a burn model needs a calibrated factor
//! whichever is chosen. Hydrocarbons: iso-octane follows Metghalchi & Keck, everything else petrol after
//! Rhodes & Keck. Methanol: Metghalchi & Keck. Ethanol: the petrol relation times the ratio of Gulder's
//! ethanol to his iso-octane, so that all fuels stand on one footing (ours). Nitromethane and other
//! oxygenates count as petrol. Blends: mean by heat released, the energy-weighted rule of Hirasawa et
//! al. 2002 in its simplest form (from memory).

pub mod gulder;
pub mod metghalchi_keck;
pub mod rhodes_keck;

use crate::fuel::Fuel;

/// A value of a closure and whether it was asked within the range of its source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlameSpeed {
    /// Flame speed, m/s (for a factor: dimensionless).
    pub value: f64,
    /// Whether the inputs lie within the source's range; otherwise the value is an extrapolation.
    pub in_range: bool,
}

impl FlameSpeed {
    pub(crate) fn new(value: f64, in_range: bool) -> FlameSpeed {
        FlameSpeed { value, in_range }
    }
}

/// Ranges of a relation: (least, greatest) of equivalence ratio, temperature (K), pressure (Pa).
pub(crate) struct Range {
    pub phi: (f64, f64),
    pub t: (f64, f64),
    pub p: (f64, f64),
}

impl Range {
    pub(crate) fn holds(&self, phi: f64, t: f64, p: f64) -> bool {
        let inside = |x: f64, (lo, hi): (f64, f64)| x >= lo && x <= hi;
        inside(phi, self.phi) && inside(t, self.t) && inside(p, self.p)
    }
}

/// Weights of the base relations for one fuel: worked out once, used at every step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlameFuel {
    isooctane: f64,
    petrol: f64,
    methanol: f64,
    ethanol: f64,
}

impl FlameFuel {
    /// Returns the weights of `fuel`'s components by their share of the heat released.
    pub fn new(fuel: &Fuel) -> FlameFuel {
        let mut out = FlameFuel { isooctane: 0.0, petrol: 0.0, methanol: 0.0, ethanol: 0.0 };
        let mut total = 0.0;
        for (name, share) in &fuel.components {
            // Heat released goes with the oxygen used (Thornton's rule), which needs no look-up.
            let heat = share * crate::fuel::oxygen_demand_of(name).unwrap_or(fuel.oxygen_demand());
            total += heat;
            match name.as_str() {
                "isooctane" => out.isooctane += heat,
                "methanol" => out.methanol += heat,
                "ethanol" => out.ethanol += heat,
                _ => out.petrol += heat,
            }
        }
        for weight in [&mut out.isooctane, &mut out.petrol, &mut out.methanol, &mut out.ethanol] {
            *weight /= total;
        }
        out
    }

    /// Returns the laminar flame speed (m/s) at equivalence ratio `phi`, unburned temperature `t` (K),
    /// pressure `p` (Pa) and mole fraction `residual` of burned gas in the unburned mixture.
    pub fn speed(&self, phi: f64, t: f64, p: f64, residual: f64) -> FlameSpeed {
        let mut sum = rhodes_keck::residual_factor(residual);
        let factor = sum.value;
        sum.value = 0.0;
        let mut add = |weight: f64, speed: &dyn Fn() -> FlameSpeed| {
            if weight > 0.0 {
                let s = speed();
                sum.value += weight * factor * s.value;
                sum.in_range &= s.in_range;
            }
        };
        use metghalchi_keck::Constants as Mk;
        add(self.isooctane, &|| metghalchi_keck::speed(Mk::Isooctane, phi, t, p));
        add(self.petrol, &|| rhodes_keck::speed(phi, t, p));
        add(self.methanol, &|| metghalchi_keck::speed(Mk::Methanol, phi, t, p));
        add(self.ethanol, &|| ethanol(phi, t, p));
        sum
    }
}

/// Returns the laminar flame speed (m/s) of `fuel`; see [`FlameFuel::speed`].
pub fn flame_speed(fuel: &Fuel, phi: f64, t: f64, p: f64, residual: f64) -> FlameSpeed {
    FlameFuel::new(fuel).speed(phi, t, p, residual)
}

/// Ethanol on the footing of the other relations.
fn ethanol(phi: f64, t: f64, p: f64) -> FlameSpeed {
    let above = gulder::speed(gulder::Constants::Ethanol, phi, t, p);
    let below = gulder::speed(gulder::Constants::Isooctane, phi, t, p);
    let base = metghalchi_keck::speed(metghalchi_keck::Constants::Isooctane, phi, t, p);
    FlameSpeed::new(base.value * above.value / below.value, above.in_range && base.in_range)
}
