//! What the integrator carries from step to step, and the rates of it.

use super::model::Model;
use crate::CylinderError;
use crate::turbulence::Turbulence;
use shortblock_gas::BurnedState;
use shortblock_lanes::Lane;

/// Properties of both zones at a state.
#[derive(Clone, Copy, Debug)]
pub(super) struct Properties {
    pub cp_u: f64,
    pub h_u: f64,
    pub burned: BurnedState,
}

/// What the closures say at a state. They change slowly, so the first stage of a step takes those of
/// the middle of the step before; that costs no order, as the first stage only leads to the middle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Closures {
    /// Pressure, Pa, that they were taken at, and its logarithm.
    pub pressure: f64,
    pub ln_p: f64,
    /// Heat transfer coefficient, W/(m^2 K).
    pub heat: f64,
    /// Rate of the knock integral, 1/s.
    pub knock: f64,
    /// Laminar flame speed, m/s.
    pub laminar: f64,
    /// Viscosity of the unburned gas, kg/(m s).
    pub viscosity: f64,
    /// Integral length, m.
    pub length: f64,
}

/// Gas in the cylinder at one moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gas {
    /// Time since the spark, s.
    pub time: f64,
    pub volume: f64,
    pub pressure: f64,
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
}

/// The gas at one angle, with what has passed its bounds since intake closing.
#[derive(Clone, Copy, Debug)]
pub(super) struct State {
    /// rad after firing dead centre.
    pub theta: f64,
    /// Sine and cosine of it, turned on with every step.
    pub turn: [f64; 2],
    pub gas: Gas,
    /// Properties at this state.
    pub properties: Properties,
    /// Closures in the middle of the step that led here.
    pub closures: Option<Closures>,
    /// Internal energy of the gas outside the crevice, J: the ledger that the zones obey.
    pub energy: f64,
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

impl Gas {
    /// The gas a time `dt` later at the gas volume `volume`, by constant rates.
    #[inline(always)]
    pub fn after(&self, r: &Rates, dt: f64, volume: f64) -> Self {
        let flow = &self.flow;
        Self {
            time: self.time + dt,
            volume,
            pressure: self.pressure + r.pressure * dt,
            mass_u: self.mass_u + r.mass_u * dt,
            mass_b: self.mass_b + r.mass_b * dt,
            t_u: self.t_u + r.t_u * dt,
            t_b: self.t_b + r.t_b * dt,
            burning: (self.burning + r.burning * dt).max(0.0),
            liquid: (self.liquid + r.liquid * dt).max(0.0),
            crevice: [self.crevice[0] + r.crevice[0] * dt, self.crevice[1] + r.crevice[1] * dt],
            flow: Turbulence {
                mean_energy: (flow.mean_energy + r.flow.mean_energy * dt).max(0.0),
                turbulent_energy: (flow.turbulent_energy + r.flow.turbulent_energy * dt).max(0.0),
            },
            motored: self.motored,
        }
    }

    /// Temperature of both zones weighted by mass, K.
    #[inline(always)]
    pub fn mean_temperature(&self) -> f64 {
        self.t_u + self.burned() * (self.t_b - self.t_u)
    }

    /// Mass fraction burned of the gas in the cylinder.
    #[inline(always)]
    pub fn burned(&self) -> f64 {
        self.mass_b / (self.mass_u + self.mass_b)
    }
}

/// Logarithm of `a/b`, positive and within a fifth of 1 to 1e-10: `2 atanh((a - b)/(a + b))` by its
/// series. On the way from state to state it takes half the time of a logarithm; nothing adds up, as
/// the logarithm in the middle of a step is always a new one.
#[inline(always)]
fn ln_ratio(a: f64, b: f64) -> f64 {
    let z = (a - b) / (a + b);
    let x = z * z;
    2.0 * z * (1.0 + x * ((1.0 / 3.0 + x * (1.0 / 5.0)) + x * x * (1.0 / 7.0 + x * (1.0 / 9.0))))
}

impl State {
    /// Moves on by a time `dt` to the gas volume `volume`, by constant rates and after `work` (J)
    /// on the piston.
    #[inline(always)]
    pub fn advance(&mut self, r: &Rates, dt: f64, dtheta: f64, volume: f64, work: f64) {
        self.gas = self.gas.after(r, dt, volume);
        self.theta += dtheta;
        self.energy -= work + r.energy_out * dt;
        self.knock += r.knock * dt;
        self.work += work;
        self.crevice_heat += r.crevice_heat * dt;
        self.latent += r.latent * dt;
        self.leak_enthalpy += r.leak_enthalpy * dt;
        for i in 0..2 {
            self.leak[i] += r.leak[i] * dt;
        }
        for i in 0..3 {
            self.heat[i] += r.heat[i] * dt;
        }
    }

    /// Brings both zones by the same small temperature change onto the energy ledger, sets the
    /// pressure that fills the volume and keeps the properties found. The first-order correction is
    /// enough: what is corrected is one step's truncation error.
    #[inline(always)]
    pub fn close(&mut self, model: &Model) {
        let (u, g) = (&model.unburned, &mut self.gas);
        let ln_p = match &self.closures {
            Some(c) => c.ln_p + ln_ratio(g.pressure, c.pressure),
            None => Lane::ln(g.pressure),
        };
        let mut p = model.properties(g, ln_p);
        let (cv, u_u) = (p.cp_u - u.r, p.h_u - u.r * g.t_u);
        // Without a burned zone its mass and properties are zero.
        let sum = g.mass_u * u_u + g.mass_b * p.burned.u;
        let slope = g.mass_u * cv + g.mass_b * p.burned.u_t;
        let dt = (self.energy - sum) / slope;
        g.t_u += dt;
        g.t_b += dt;
        p.h_u += p.cp_u * dt;
        p.burned.u += p.burned.u_t * dt;
        p.burned.r += p.burned.r_t * dt;
        let filled = g.mass_u * u.r * g.t_u + g.mass_b * p.burned.r * g.t_b;
        g.pressure = filled / g.volume;
        self.properties = p;
    }

    /// Refuses a state outside what the gas properties can describe (NaN included), naming the
    /// pressure and both temperatures of the last good one.
    #[inline(always)]
    pub fn check(&self, [pressure, t_u, t_b]: [f64; 3]) -> Result<(), CylinderError> {
        let g = &self.gas;
        let fail = |what, value| {
            Err(CylinderError::State {
                what,
                value,
                angle_deg: self.theta.to_degrees(),
                pressure,
                unburned_temperature: t_u,
                burned_temperature: t_b,
            })
        };
        if !(500.0..=8e7).contains(&g.pressure) {
            return fail("pressure (Pa)", g.pressure);
        }
        if !(150.0..=2500.0).contains(&g.t_u) {
            return fail("unburned temperature (K)", g.t_u);
        }
        if g.mass_b > 0.0 && !(250.0..=5000.0).contains(&g.t_b) {
            return fail("burned temperature (K)", g.t_b);
        }
        if g.mass_u.is_nan() || g.mass_u <= 0.0 {
            return fail("unburned mass (kg)", g.mass_u);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn logarithm_of_a_ratio_is_the_librarys() {
        for i in -20..=20 {
            let ratio = 1.0 + 0.01 * f64::from(i);
            assert!((ln_ratio(3e6 * ratio, 3e6) - ratio.ln()).abs() < 1e-10, "{ratio}");
        }
    }
}
