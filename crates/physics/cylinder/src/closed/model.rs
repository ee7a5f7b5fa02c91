//! Everything of one closed part that does not change between its steps.

use super::{Burn, ClosedCase, HeatTransfer};
use crate::flame::FlameTable;
use crate::{CylinderError, knock, turbulence, woschni};
use shortblock_gas::{BurnedTable, FrozenGas};
use shortblock_lanes::Level;

/// Angle over which liquid fuel evaporates to 1/e, rad; own: a few milliseconds at mid speed.
const EVAPORATION_ANGLE: f64 = 25.0 * std::f64::consts::PI / 180.0;
/// States between which the flame speed is taken as a power law of T and p: T K and p Pa.
const LAW_T: (f64, f64) = (600.0, 900.0);
const LAW_P: (f64, f64) = (8e5, 40e5);

/// Laminar flame speed `exp(ln_s + alpha ln T + beta ln p)`, m/s: exact for the published forms,
/// which are such power laws at one mixture.
#[derive(Clone, Copy, Debug)]
pub(super) struct LaminarLaw {
    pub ln_s: f64,
    pub alpha: f64,
    pub beta: f64,
}

/// One closed part, prepared.
pub(super) struct Model<'a> {
    pub case: &'a ClosedCase<'a>,
    /// Instruction set of the steps; the result is the same to the bit, as none is fused.
    pub level: Level,
    pub unburned: FrozenGas,
    pub table: &'a BurnedTable,
    pub burn: Fire<'a>,
    pub bore_area: f64,
    pub bore: f64,
    pub clearance: f64,
    /// Areas of head and piston, m^2.
    pub fixed_areas: [f64; 2],
    /// Liner area per volume above the clearance, 1/m.
    pub liner_per_volume: f64,
    pub heat: Heat,
    pub knock_scale: Option<f64>,
    /// Crevice mass per pressure, kg/Pa.
    pub crevice_mass_per_pa: f64,
    /// Enthalpy of crevice gas, unburned and burned, J/kg.
    pub crevice_enthalpy: [f64; 2],
    /// Gas constant of the crevice gas, J/(kg K).
    pub evaporation_rate: f64,
    pub latent: f64,
    pub trapped_mass: f64,
}

/// How it burns, with what each way needs.
pub(super) enum Fire<'a> {
    Never,
    Wiebe { duration: f64, a: f64, m: f64 },
    Entrained { flame: &'a FlameTable, law: LaminarLaw, multiplier: f64 },
}

/// Heat transfer, prepared.
pub(super) enum Heat {
    None,
    Constant(f64),
    Woschni { scale: f64, piston_speed: f64, reference: f64 },
}

impl<'a> Model<'a> {
    pub fn new(case: &'a ClosedCase<'a>) -> Result<Self, CylinderError> {
        check(case)?;
        let (c, m) = (&case.charge, case.mechanism);
        let air = 1.0 - c.fuel - c.burned;
        let mixture = case.mixture;
        let unburned = FrozenGas::mix(&[
            (air, &mixture.air),
            (c.fuel, &mixture.vapour),
            (c.burned, &mixture.burned),
        ]);
        let volume = m.volume(case.theta_ivc);
        let crevice_t = case.walls.liner;
        let model = Self {
            case,
            level: Level::best(),
            unburned,
            table: &mixture.table,
            burn: fire(case, &unburned),
            bore_area: m.bore_area(),
            bore: m.bore(),
            clearance: m.clearance_volume(),
            fixed_areas: [case.head_area_ratio * m.bore_area(), m.bore_area()],
            liner_per_volume: 4.0 / m.bore(),
            heat: match case.heat {
                HeatTransfer::Adiabatic => Heat::None,
                HeatTransfer::Constant(h) => Heat::Constant(h),
                HeatTransfer::Woschni(multiplier) => Heat::Woschni {
                    scale: multiplier * woschni::scale(woschni::PAPER, m.bore()),
                    piston_speed: m.mean_piston_speed(case.speed),
                    // Vd Tr/(pr Vr) with p V = m R T of the gas closed in.
                    reference: m.displacement() / (c.mass * unburned.r),
                },
            },
            knock_scale: case.octane_number.map(knock::rate_scale),
            crevice_mass_per_pa: case.crevice.volume / (unburned.r * crevice_t),
            crevice_enthalpy: [unburned.h(crevice_t), mixture.burned.h(crevice_t)],
            evaporation_rate: case.speed / EVAPORATION_ANGLE,
            latent: mixture.latent_heat * c.latent_share,
            trapped_mass: c.mass,
        };
        let pressure = c.mass * unburned.r * c.temperature / volume;
        if !(1e3..=2e6).contains(&pressure) {
            return Err(CylinderError::Setting {
                what: "pressure at intake closing",
                value: pressure,
                need: "between 1 kPa and 2 MPa",
            });
        }
        Ok(model)
    }

    /// Integral length before the spark, m.
    pub fn integral_length(&self, volume: f64) -> f64 {
        turbulence::integral_length(volume, self.bore_area, self.bore)
    }
}

fn fire<'a>(case: &ClosedCase<'a>, unburned: &FrozenGas) -> Fire<'a> {
    match case.burn {
        Burn::Motored => Fire::Never,
        Burn::Wiebe { duration, a, m } => Fire::Wiebe { duration, a, m },
        Burn::Entrainment { flame, multiplier, .. } => {
            let mixture = case.mixture;
            // Mole fraction of residual gas: moles are R over the universal constant.
            let residual = case.charge.burned * mixture.burned.r / unburned.r;
            let phi = mixture.equivalence_ratio;
            let at = |t, p| mixture.flame.speed(phi, t, p, residual).value.max(1e-9).ln();
            let low = at(LAW_T.0, LAW_P.0);
            let alpha = (at(LAW_T.1, LAW_P.0) - low) / (LAW_T.1 / LAW_T.0).ln();
            let beta = (at(LAW_T.0, LAW_P.1) - low) / (LAW_P.1 / LAW_P.0).ln();
            let ln_s = low - alpha * LAW_T.0.ln() - beta * LAW_P.0.ln();
            Fire::Entrained { flame, law: LaminarLaw { ln_s, alpha, beta }, multiplier }
        }
    }
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
