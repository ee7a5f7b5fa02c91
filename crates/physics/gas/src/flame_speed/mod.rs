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
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    pub phi: (f64, f64),
    pub t: (f64, f64),
    pub p: (f64, f64),
}

/// A flame speed over temperature and pressure at one equivalence ratio, `S0 (T/T0)^alpha (p/p0)^beta`:
/// every relation here has this form, so a burn costs two logarithms and an exponential a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerLaw {
    /// ln of the speed (m/s) at 1 K, 1 Pa.
    ln_speed: f64,
    alpha: f64,
    beta: f64,
    t: (f64, f64),
    p: (f64, f64),
    phi_in_range: bool,
}

impl PowerLaw {
    /// From the speed at a reference state (below zero counts as zero: no flame), pairs of reference
    /// and exponent, and the range of the source.
    pub(crate) fn new(
        reference: f64,
        (t0, alpha): (f64, f64),
        (p0, beta): (f64, f64),
        range: Range,
        phi: f64,
    ) -> PowerLaw {
        PowerLaw {
            ln_speed: reference.max(0.0).ln() - alpha * t0.ln() - beta * p0.ln(),
            alpha,
            beta,
            t: range.t,
            p: range.p,
            phi_in_range: phi >= range.phi.0 && phi <= range.phi.1,
        }
    }

    /// This law times the ratio of two others, in range where this one and the first other are.
    fn times_ratio(&self, above: &PowerLaw, below: &PowerLaw) -> PowerLaw {
        PowerLaw {
            ln_speed: self.ln_speed + above.ln_speed - below.ln_speed,
            alpha: self.alpha + above.alpha - below.alpha,
            beta: self.beta + above.beta - below.beta,
            t: (self.t.0.max(above.t.0), self.t.1.min(above.t.1)),
            p: (self.p.0.max(above.p.0), self.p.1.min(above.p.1)),
            phi_in_range: self.phi_in_range && above.phi_in_range,
        }
    }

    /// Returns the flame speed (m/s) at unburned temperature `t` (K) and pressure `p` (Pa).
    pub fn speed(&self, t: f64, p: f64) -> FlameSpeed {
        FlameSpeed::new(self.value(t.ln(), p.ln()), self.holds(t, p))
    }

    fn value(&self, ln_t: f64, ln_p: f64) -> f64 {
        (self.ln_speed + self.alpha * ln_t + self.beta * ln_p).exp()
    }

    fn holds(&self, t: f64, p: f64) -> bool {
        let inside = |x: f64, (lo, hi): (f64, f64)| x >= lo && x <= hi;
        self.phi_in_range && inside(t, self.t) && inside(p, self.p)
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
            // A component made outside the table is the fuel itself.
            let whole = fuel.lower_heating_value() * fuel.molar_mass;
            let heat = share * crate::fuel::molar_heat_of(name).unwrap_or(whole);
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

    /// Returns the flame speed's law at equivalence ratio `phi` and mole fraction `residual` of burned
    /// gas in the unburned mixture: both stay fixed while a cylinder burns.
    pub fn at(&self, phi: f64, residual: f64) -> FlameMixture {
        use metghalchi_keck::Constants as Mk;
        let factor = rhodes_keck::residual_factor(residual);
        let isooctane = metghalchi_keck::law(Mk::Isooctane, phi);
        // Ethanol on the footing of the other relations.
        let ethanol = isooctane.times_ratio(
            &gulder::law(gulder::Constants::Ethanol, phi),
            &gulder::law(gulder::Constants::Isooctane, phi),
        );
        let all = [
            (self.isooctane, isooctane),
            (self.petrol, rhodes_keck::law(phi)),
            (self.methanol, metghalchi_keck::law(Mk::Methanol, phi)),
            (self.ethanol, ethanol),
        ];
        let parts = all.map(|(weight, law)| (weight * factor.value, law));
        FlameMixture { parts, residual_in_range: factor.in_range }
    }

    /// Returns the laminar flame speed (m/s) at equivalence ratio `phi`, unburned temperature `t` (K),
    /// pressure `p` (Pa) and mole fraction `residual` of burned gas in the unburned mixture.
    pub fn speed(&self, phi: f64, t: f64, p: f64, residual: f64) -> FlameSpeed {
        self.at(phi, residual).speed(t, p)
    }
}

/// Flame speed of one mixture over temperature and pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlameMixture {
    /// Weights (residual factor included) and laws; weights of absent fuels are zero.
    parts: [(f64, PowerLaw); 4],
    residual_in_range: bool,
}

impl FlameMixture {
    /// Returns the laminar flame speed (m/s) at unburned temperature `t` (K), pressure `p` (Pa).
    pub fn speed(&self, t: f64, p: f64) -> FlameSpeed {
        let (ln_t, ln_p) = (t.ln(), p.ln());
        let mut out = FlameSpeed::new(0.0, self.residual_in_range);
        for (weight, law) in self.parts.iter().filter(|(weight, _)| *weight > 0.0) {
            out.value += weight * law.value(ln_t, ln_p);
            out.in_range &= law.holds(t, p);
        }
        out
    }
}

/// Returns the laminar flame speed (m/s) of `fuel`; see [`FlameFuel::speed`].
pub fn flame_speed(fuel: &Fuel, phi: f64, t: f64, p: f64, residual: f64) -> FlameSpeed {
    FlameFuel::new(fuel).speed(phi, t, p, residual)
}
