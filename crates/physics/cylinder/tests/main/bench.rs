//! Typical cylinders at full load, used by several checks. Dimensions are invented.

use shortblock_cylinder::closed::{
    Burn, Charge, ClosedCase, Crevice, HeatTransfer, Mixture, WallTemperatures,
};
use shortblock_cylinder::flame::{ChamberShape, FlameTable};
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_cylinder::turbulence::Turbulence;
use shortblock_gas::{Fuel, HumidAir, fuel};
use std::f64::consts::PI;

/// Fuel, dimensions and chamber of one cylinder.
pub struct Bench {
    pub mechanism: SliderCrank,
    pub mixture: Mixture,
    pub flame: FlameTable,
    /// Mass fraction of fuel in the fresh charge.
    pub fuel_share: f64,
}

/// What is the same in both typical cylinders.
const LAMBDA: f64 = 0.88;
const RESIDUAL: f64 = 0.04;

impl Bench {
    pub fn new(
        fuel: &Fuel,
        lambda: f64,
        mechanism: SliderCrank,
        shape: ChamberShape,
        plug: f64,
    ) -> Self {
        let air = HumidAir::dry();
        Self {
            mechanism,
            mixture: Mixture::new(fuel, 1.0 / lambda, &air).unwrap(),
            flame: FlameTable::new(&mechanism, shape, plug).unwrap(),
            fuel_share: 1.0 / (1.0 + lambda * fuel.stoichiometric_afr()),
        }
    }

    /// 86 x 86 mm, four valves, pent roof, central plug.
    pub fn four_valve(compression_ratio: f64) -> Self {
        let m = SliderCrank::new(0.086, 0.086, 0.143, 0.0, compression_ratio).unwrap();
        let petrol = fuel::find("gasoline_e0").unwrap();
        Self::new(&petrol, LAMBDA, m, ChamberShape::PentRoof { roof_share: 0.8 }, 0.0)
    }

    /// 101.6 x 88.4 mm, two valves, wedge, plug aside.
    pub fn two_valve() -> Self {
        let m = SliderCrank::new(0.1016, 0.0884, 0.1448, 0.0, 9.5).unwrap();
        let petrol = fuel::find("gasoline_e0").unwrap();
        Self::new(&petrol, LAMBDA, m, ChamberShape::Wedge { roof_share: 0.7 }, 0.02)
    }

    /// Full load at the engine speed, closed 55 degrees after bottom centre at `pressure` (Pa) and
    /// 370 K. Turbulence at closing: u' 0.8 and mean flow 2 mean piston speeds, which leaves u' of
    /// 0.4 at dead centre (Heywood 1988 section 8.2.2, from memory: about half).
    pub fn full_load(&self, rpm: f64, pressure: f64) -> ClosedCase<'_> {
        let speed = rpm * PI / 30.0;
        let theta_ivc = f64::to_radians(-125.0);
        let v2 = self.mechanism.mean_piston_speed(speed).powi(2);
        let fuel = (1.0 - RESIDUAL) * self.fuel_share;
        let r = (1.0 - RESIDUAL - fuel) * self.mixture.air.r
            + fuel * self.mixture.vapour.r
            + RESIDUAL * self.mixture.burned.r;
        let temperature = 370.0;
        let clearance = self.mechanism.clearance_volume();
        ClosedCase {
            mechanism: &self.mechanism,
            mixture: &self.mixture,
            head_area_ratio: 1.2,
            theta_ivc,
            theta_evo: f64::to_radians(125.0),
            speed,
            charge: Charge {
                mass: pressure * self.mechanism.volume(theta_ivc) / (r * temperature),
                temperature,
                fuel,
                burned: RESIDUAL,
                liquid_fuel: 0.0,
                latent_share: 0.0,
            },
            walls: WallTemperatures { head: 480.0, piston: 520.0, liner: 410.0 },
            burn: Burn::Entrainment {
                flame: &self.flame,
                turbulence: Turbulence { mean_energy: 2.0 * v2, turbulent_energy: v2 },
                multiplier: 1.0,
            },
            heat: HeatTransfer::Woschni(1.1),
            crevice: Crevice {
                volume: 0.015 * clearance,
                leak_area: 0.05e-6,
                crankcase_pressure: 1e5,
            },
            octane_number: Some(96.0),
            step_deg: 0.0,
            spark_guess: None,
            find_knock_margin: false,
            trace: false,
        }
    }
}
