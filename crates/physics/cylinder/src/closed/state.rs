//! What the integrator carries from step to step, and the rates of it.

use super::model::Model;
use crate::CylinderError;
use crate::turbulence::Turbulence;

/// Gas in the cylinder at one angle, with what has passed its bounds since intake closing.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct State {
    /// rad after firing dead centre.
    pub theta: f64,
    /// Time since the spark, s.
    pub time: f64,
    pub volume: f64,
    pub pressure: f64,
    /// Internal energy of the gas outside the crevice, J: the ledger that the zones obey.
    pub energy: f64,
    pub mass_u: f64,
    pub mass_b: f64,
    pub t_u: f64,
    pub t_b: f64,
    /// Entrained but not yet burned, part of `mass_u`, kg.
    pub burning: f64,
    /// Fuel still liquid, kg (counted as vapour but for its latent heat).
    pub liquid: f64,
    /// Unburned and burned gas in the crevice, kg.
    pub crevice: [f64; 2],
    pub flow: Turbulence,
    /// Pressure without combustion, Pa.
    pub motored: f64,
    pub knock: f64,
    pub work: f64,
    /// To head, piston, liner, J.
    pub heat: [f64; 3],
    /// Heat taken by the crevice walls, J.
    pub crevice_heat: f64,
    pub latent: f64,
    pub leak: [f64; 2],
    pub leak_enthalpy: f64,
}

/// Rates of change of a [`State`] per second.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Rates {
    pub pressure: f64,
    /// Energy leaving otherwise than by work, W.
    pub energy_out: f64,
    pub mass_u: f64,
    pub mass_b: f64,
    pub t_u: f64,
    pub t_b: f64,
    pub burning: f64,
    pub liquid: f64,
    pub crevice: [f64; 2],
    pub flow: Turbulence,
    pub knock: f64,
    pub heat: [f64; 3],
    pub crevice_heat: f64,
    pub latent: f64,
    pub leak: [f64; 2],
    pub leak_enthalpy: f64,
}

impl State {
    /// The state a time `dt` later at the gas volume `volume`, by constant rates and after `work`
    /// (J) on the piston.
    #[inline]
    pub fn advanced(&self, r: &Rates, dt: f64, dtheta: f64, volume: f64, work: f64) -> Self {
        let mut s = *self;
        s.theta += dtheta;
        s.time += dt;
        s.volume = volume;
        s.pressure += r.pressure * dt;
        s.energy -= work + r.energy_out * dt;
        s.mass_u += r.mass_u * dt;
        s.mass_b += r.mass_b * dt;
        s.t_u += r.t_u * dt;
        s.t_b += r.t_b * dt;
        s.burning = (s.burning + r.burning * dt).max(0.0);
        s.liquid = (s.liquid + r.liquid * dt).max(0.0);
        s.flow.mean_energy = (s.flow.mean_energy + r.flow.mean_energy * dt).max(0.0);
        s.flow.turbulent_energy = (s.flow.turbulent_energy + r.flow.turbulent_energy * dt).max(0.0);
        s.knock += r.knock * dt;
        s.work += work;
        s.crevice_heat += r.crevice_heat * dt;
        s.latent += r.latent * dt;
        s.leak_enthalpy += r.leak_enthalpy * dt;
        for i in 0..2 {
            s.crevice[i] += r.crevice[i] * dt;
            s.leak[i] += r.leak[i] * dt;
        }
        for i in 0..3 {
            s.heat[i] += r.heat[i] * dt;
        }
        s
    }

    /// Mass fraction burned of the gas in the cylinder.
    pub fn burned(&self) -> f64 {
        self.mass_b / (self.mass_u + self.mass_b)
    }

    /// Brings both zones by the same small temperature change onto the energy ledger and sets the
    /// pressure that fills the volume. The first-order correction is enough: what is corrected is
    /// one step's truncation error.
    #[inline]
    pub fn close(&mut self, model: &Model) {
        let u = &model.unburned;
        let mut sum = self.mass_u * u.u(self.t_u);
        let mut slope = self.mass_u * u.cv(self.t_u);
        if self.mass_b > 0.0 {
            let b = model.table.state(self.t_b, self.pressure);
            sum += self.mass_b * b.u;
            slope += self.mass_b * b.u_t;
            let dt = (self.energy - sum) / slope;
            self.t_u += dt;
            self.t_b += dt;
            let r = b.r + b.r_t * dt;
            self.pressure =
                (self.mass_u * u.r * self.t_u + self.mass_b * r * self.t_b) / self.volume;
        } else {
            self.t_u += (self.energy - sum) / slope;
            self.pressure = self.mass_u * u.r * self.t_u / self.volume;
        }
    }

    /// Refuses a state outside what the gas properties can describe (NaN included), naming the
    /// last good one.
    pub fn checked(self, before: &Self) -> Result<Self, CylinderError> {
        let fail = |what, value| {
            Err(CylinderError::State {
                what,
                value,
                angle_deg: self.theta.to_degrees(),
                pressure: before.pressure,
                unburned_temperature: before.t_u,
                burned_temperature: before.t_b,
            })
        };
        if !(500.0..=8e7).contains(&self.pressure) {
            return fail("pressure (Pa)", self.pressure);
        }
        if !(150.0..=2500.0).contains(&self.t_u) {
            return fail("unburned temperature (K)", self.t_u);
        }
        if self.mass_b > 0.0 && !(250.0..=5000.0).contains(&self.t_b) {
            return fail("burned temperature (K)", self.t_b);
        }
        if self.mass_u.is_nan() || self.mass_u <= 0.0 {
            return fail("unburned mass (kg)", self.mass_u);
        }
        Ok(self)
    }
}
