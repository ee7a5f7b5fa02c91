//! Everything of one closed part that does not change between its steps.

use super::gases::enthalpy_coefficients;
use super::numbers::numbers;
use super::{Burn, ClosedCase, HeatTransfer, STEP_DEG};
use crate::{CylinderError, knock, woschni};
use shortblock_gas::FrozenGas;
use shortblock_lanes::Lane;

/// Angle over which liquid fuel evaporates to 1/e, rad; own: a few milliseconds at mid speed.
const EVAPORATION_ANGLE: f64 = 25.0 * std::f64::consts::PI / 180.0;
/// States between which the flame speed is taken as a power law of T and p: T K and p Pa.
const LAW_T: (f64, f64) = (600.0, 900.0);
const LAW_P: (f64, f64) = (8e5, 40e5);

numbers! {
    /// The numbers of one closed part.
    struct Constants {
        /// Crank speed, rad/s.
        speed,
        theta_ivc,
        theta_evo,
        /// Step while the charge burns, rad.
        unit,
        /// Slider-crank: see [`crate::mechanism`].
        crank_radius,
        rod_length,
        pin_offset,
        /// Distance of the piston from the crankshaft at its highest, m.
        highest,
        clearance,
        bore,
        bore_area,
        head_area,
        /// Liner area per volume above the clearance, 1/m.
        liner_per_volume,
        /// The gas closed in.
        mass,
        temperature,
        liquid,
        mean_energy,
        turbulent_energy,
        /// Gas constant of the unburned gas, J/(kg K).
        r,
        /// Heat transfer coefficient: a constant part, W/(m^2 K), and [`woschni::scale`].
        heat_constant,
        heat_scale,
        piston_speed,
        /// Vd Tr/(pr Vr) at intake closing.
        heat_reference,
        knock_scale,
        /// Crevice mass per pressure, kg/Pa.
        crevice_mass_per_pa,
        leak_area,
        crankcase_pressure,
        /// Share of the liquid fuel that evaporates, 1/s.
        evaporation_rate,
        /// Latent heat drawn from the charge, J/kg.
        latent,
        /// Multiplies every burning rate.
        multiplier,
        ;
        /// Sine and cosine at intake closing.
        turn: 2,
        /// Head, piston and liner temperature, K.
        walls: 3,
        /// Coefficients of the unburned gas's enthalpy below and above the break.
        cold: 6,
        hot: 6,
        /// Enthalpy of crevice gas, unburned and burned, J/kg.
        crevice_enthalpy: 2,
        /// Logarithm of the laminar flame speed (m/s) over 1, ln T, ln p: exact for the published
        /// forms, which are such power laws at one mixture.
        law: 3,
        /// Duration (rad), a and m of a given burn.
        wiebe: 3,
    }
}

/// How the charge burns; all lanes of one integration the same way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fire {
    Never,
    Wiebe,
    Entrained,
}

/// One closed part, prepared.
pub(super) struct Model<'a> {
    pub case: &'a ClosedCase<'a>,
    pub unburned: FrozenGas,
    pub fire: Fire,
    pub k: Constants<f64>,
}

impl<'a> Model<'a> {
    pub fn new(case: &'a ClosedCase<'a>) -> Result<Self, CylinderError> {
        check(case)?;
        let (c, mixture) = (&case.charge, case.mixture);
        let unburned = FrozenGas::mix(&[
            (1.0 - c.fuel - c.burned, &mixture.air),
            (c.fuel, &mixture.vapour),
            (c.burned, &mixture.burned),
        ]);
        let pressure = c.mass * unburned.r * c.temperature / case.mechanism.volume(case.theta_ivc);
        if !(1e3..=2e6).contains(&pressure) {
            return Err(CylinderError::Setting {
                what: "pressure at intake closing",
                value: pressure,
                need: "between 1 kPa and 2 MPa",
            });
        }
        let fire = match case.burn {
            Burn::Motored => Fire::Never,
            Burn::Wiebe { .. } => Fire::Wiebe,
            Burn::Entrainment { .. } => Fire::Entrained,
        };
        Ok(Self { case, unburned, fire, k: constants(case, &unburned) })
    }
}

fn constants(case: &ClosedCase, unburned: &FrozenGas) -> Constants<f64> {
    let (c, m, mixture) = (&case.charge, case.mechanism, case.mixture);
    let walls = [case.walls.head, case.walls.piston, case.walls.liner];
    let [cold, hot] = enthalpy_coefficients(unburned.coefficients());
    let step_deg = if case.step_deg > 0.0 { case.step_deg } else { STEP_DEG };
    let mut k = Constants {
        speed: case.speed,
        theta_ivc: case.theta_ivc,
        theta_evo: case.theta_evo,
        unit: step_deg.to_radians(),
        crank_radius: 0.5 * m.stroke(),
        rod_length: m.rod_length(),
        pin_offset: m.pin_offset(),
        highest: m.highest(),
        clearance: m.clearance_volume(),
        bore: m.bore(),
        bore_area: m.bore_area(),
        head_area: case.head_area_ratio * m.bore_area(),
        liner_per_volume: 4.0 / m.bore(),
        mass: c.mass,
        temperature: c.temperature,
        liquid: c.liquid_fuel,
        r: unburned.r,
        piston_speed: m.mean_piston_speed(case.speed),
        // With p V = m R T of the gas closed in.
        heat_reference: m.displacement() / (c.mass * unburned.r),
        knock_scale: case.octane_number.map_or(0.0, knock::rate_scale),
        crevice_mass_per_pa: case.crevice.volume / (unburned.r * walls[2]),
        // Nothing leaks from a crevice that is not there.
        leak_area: if case.crevice.volume > 0.0 { case.crevice.leak_area } else { 0.0 },
        crankcase_pressure: case.crevice.crankcase_pressure,
        evaporation_rate: case.speed / EVAPORATION_ANGLE,
        latent: mixture.latent_heat * c.latent_share,
        turn: [case.theta_ivc.sin(), case.theta_ivc.cos()],
        walls,
        cold,
        hot,
        crevice_enthalpy: [unburned.h(walls[2]), mixture.burned.h(walls[2])],
        ..Constants::default()
    };
    match case.heat {
        HeatTransfer::Adiabatic => {}
        HeatTransfer::Constant(h) => k.heat_constant = h,
        HeatTransfer::Woschni(multiplier) => {
            k.heat_scale = multiplier * woschni::scale(woschni::PAPER, m.bore());
        }
    }
    match case.burn {
        Burn::Motored => {}
        Burn::Wiebe { duration, a, m } => k.wiebe = [duration, a, m],
        Burn::Entrainment { turbulence, multiplier, .. } => {
            k.mean_energy = turbulence.mean_energy;
            k.turbulent_energy = turbulence.turbulent_energy;
            k.multiplier = multiplier;
            k.law = flame_law(case, unburned);
        }
    }
    k
}

fn flame_law(case: &ClosedCase, unburned: &FrozenGas) -> [f64; 3] {
    let mixture = case.mixture;
    // Mole fraction of residual gas: moles are R over the universal constant.
    let residual = case.charge.burned * mixture.burned.r / unburned.r;
    let phi = mixture.equivalence_ratio;
    let at = |t, p| mixture.flame.speed(phi, t, p, residual).value.max(1e-9).ln();
    let low = at(LAW_T.0, LAW_P.0);
    let alpha = (at(LAW_T.1, LAW_P.0) - low) / (LAW_T.1 / LAW_T.0).ln();
    let beta = (at(LAW_T.0, LAW_P.1) - low) / (LAW_P.1 / LAW_P.0).ln();
    [low - alpha * LAW_T.0.ln() - beta * LAW_P.0.ln(), alpha, beta]
}

fn check(case: &ClosedCase) -> Result<(), CylinderError> {
    let c = &case.charge;
    let (multiplier, k, mean) = match case.burn {
        Burn::Entrainment { multiplier, turbulence: t, .. } => {
            (multiplier, t.turbulent_energy, t.mean_energy)
        }
        Burn::Wiebe { duration, a, m } => {
            in_range("burn duration", duration, 0.05, 7.0, "0.05 to 7 rad")?;
            in_range("Wiebe parameter a", a, 0.1, 20.0, "0.1 to 20")?;
            in_range("Wiebe form factor", m, 0.0, 10.0, "0 to 10")?;
            (1.0, 0.0, 0.0)
        }
        Burn::Motored => (1.0, 0.0, 0.0),
    };
    let heat = match case.heat {
        HeatTransfer::Adiabatic => 0.0,
        HeatTransfer::Constant(h) => h,
        HeatTransfer::Woschni(multiplier) => 1e3 * multiplier,
    };
    let pi = std::f64::consts::PI;
    in_range("intake closing", case.theta_ivc, -1.9 * pi, -0.1, "before firing dead centre, rad")?;
    in_range("exhaust opening", case.theta_evo, 0.1, 1.9 * pi, "after firing dead centre, rad")?;
    in_range("crank speed", case.speed, 1.0, 5000.0, "1 to 5000 rad/s")?;
    in_range("head area over bore area", case.head_area_ratio, 0.5, 5.0, "0.5 to 5")?;
    in_range("trapped mass", c.mass, 1e-7, 1.0, "1e-7 to 1 kg")?;
    in_range("temperature at intake closing", c.temperature, 200.0, 900.0, "200 to 900 K")?;
    in_range("fuel mass fraction", c.fuel, 0.0, 1.0, "0 to 1")?;
    in_range("burned mass fraction", c.burned, 0.0, 1.0 - c.fuel, "0 to 1 with the fuel")?;
    in_range("liquid fuel", c.liquid_fuel, 0.0, c.fuel * c.mass * 1.000001, "part of the fuel")?;
    in_range("share of latent heat", c.latent_share, 0.0, 1.0, "0 to 1")?;
    for (what, t) in [
        ("head temperature", case.walls.head),
        ("piston temperature", case.walls.piston),
        ("liner temperature", case.walls.liner),
    ] {
        in_range(what, t, 200.0, 1500.0, "200 to 1500 K")?;
    }
    in_range("burn multiplier", multiplier, 0.01, 100.0, "0.01 to 100")?;
    in_range("turbulent energy", k, 0.0, 1e6, "0 to 1e6 J/kg")?;
    in_range("mean flow energy", mean, 0.0, 1e6, "0 to 1e6 J/kg")?;
    in_range("heat transfer", heat, 0.0, 1e5, "0 to 1e5 W/(m2 K), or 0 to 100 times Woschni")?;
    let clearance = case.mechanism.clearance_volume();
    in_range("crevice volume", case.crevice.volume, 0.0, 0.2 * clearance, "0 to a fifth")?;
    in_range("leak area", case.crevice.leak_area, 0.0, 1e-3, "0 to 1e-3 m2")?;
    in_range("crankcase pressure", case.crevice.crankcase_pressure, 1e3, 1e6, "1e3 to 1e6 Pa")?;
    in_range("octane number", case.octane_number.unwrap_or(90.0), 20.0, 200.0, "20 to 200")?;
    if case.step_deg != 0.0 {
        in_range("step", case.step_deg, 0.05, 4.0, "0 or 0.05 to 4 degrees")?;
    }
    Ok(())
}

/// Refuses a value outside the range (NaN included).
pub(super) fn in_range(
    what: &'static str,
    value: f64,
    low: f64,
    high: f64,
    need: &'static str,
) -> Result<(), CylinderError> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(CylinderError::Setting { what, value, need })
    }
}
