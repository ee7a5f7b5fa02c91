//! Rates of change of the gas in the cylinder.
//!
//! Zones u and b share the pressure p and fill the volume V:
//! `dT_u = (V_u dp - q_u + ...)/(m_u cp)`, `m_b dh_b = V_b dp - q_b + (h_u - h_b) dm_b`, and
//! `dV = dV_u + dV_b` is linear in dp, so dp follows without iteration. Crevice flow is linear in dp
//! as well, with another factor in than out.

use super::model::{Fire, Heat, Model};
use super::state::{Closures, Gas, Properties, Rates, State};
use crate::entrainment::{self, Front};
use crate::flame::cube_root;
use crate::{blow_by, knock, turbulence, woschni};
use shortblock_gas::BurnedState;
use shortblock_lanes::{Lane, Lanes};

/// Exponent of the pressure that a motored cylinder would have, after the spark; own.
const MOTORED_EXPONENT: f64 = 1.33;
/// Largest share of the mass at hand that one step may burn or entrain.
const STEP_SHARE: f64 = 0.7;

/// Mass fraction burned at which the knock integral ends: self-ignition of the last gas does not
/// ring the chamber. Worret et al. 2002, SAE 2002-01-1668, put the end between 0.75 and 0.85 of
/// the burn (from memory); the latest of it is used.
pub(super) const KNOCK_END: f64 = 0.85;

/// Stands for the burned zone while there is none.
pub(super) const NO_BURNED_GAS: BurnedState =
    BurnedState { u: 0.0, r: 0.0, u_t: 0.0, u_p: 0.0, r_t: 0.0, r_p: 0.0 };

/// What the spark left behind for the rates after it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spark {
    pub theta: f64,
    /// Integral length, m, and `p/T_u`, Pa/K, at the spark.
    pub length: f64,
    pub density: f64,
    pub kernel: f64,
}

/// The part of a step that rates are asked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    /// Length, s.
    pub dt: f64,
    /// Rate of change of volume that leads to its end, m^3/s.
    pub volume_rate: f64,
    /// Angle of its end, rad.
    pub end: f64,
    /// Whether the knock integral still runs at its start.
    pub knocking: bool,
    /// Mass burned at its start, kg.
    pub burned_before: f64,
    /// Time from the state to the middle of the step, s: 0 when the state is the middle.
    pub ahead: f64,
}

/// Two numbers in one register of any x86-64; elsewhere a loop with the same result.
type Pair = Lanes<f64, 2, false>;

/// Returns the natural logarithms of two positive numbers.
#[inline(always)]
fn logarithms(x: [f64; 2]) -> [f64; 2] {
    Pair::ln(Lanes(x)).0
}

/// The zones' properties while a rate is worked out.
struct Zones {
    h_u: f64,
    v_u: f64,
    /// Volumes, m^3.
    space: [f64; 2],
    /// One over pressure, unburned temperature, cp of the unburned gas, d(h_b)/dT.
    per_p: f64,
    per_t_u: f64,
    per_cp_u: f64,
    per_h_t: f64,
    h_b: f64,
    v_b: f64,
    /// d(ln V_b)/dT and d(ln V_b)/dp at constant mass.
    stretch_t: f64,
    stretch_p: f64,
    /// Derivative of h_b to p.
    h_p: f64,
}

impl Model<'_> {
    /// Rates at the start of a step, with the closures of the step before where there are any.
    #[inline(always)]
    pub fn first_rates(&self, s: &State, span: &Span, spark: Option<&Spark>) -> Rates {
        let g = &s.gas;
        let z = self.zones(g, &s.properties);
        let c = s
            .closures
            .unwrap_or_else(|| self.closures(g, logarithms([g.t_u, g.pressure]), span, spark));
        self.rates(g, &z, &c, span, spark, &mut 0)
    }

    /// Rates in the middle of a step, and the closures found. `limited` counts burning rates that
    /// were cut. The closures are taken at the pressure foreseen, which is near enough and lets the
    /// processor work on them beside the properties; then the pressure is set to the one that fills
    /// the volume.
    #[inline(always)]
    pub fn middle_rates(
        &self,
        s: &mut Gas,
        span: &Span,
        spark: Option<&Spark>,
        limited: &mut u32,
    ) -> (Rates, Closures) {
        let logarithms = logarithms([s.t_u, s.pressure]);
        let properties = self.properties(s, logarithms[1]);
        let c = self.closures(s, logarithms, span, spark);
        let filled = s.mass_u * self.unburned.r * s.t_u + s.mass_b * properties.burned.r * s.t_b;
        s.pressure = filled / s.volume;
        let z = self.zones(s, &properties);
        (self.rates(s, &z, &c, span, spark, limited), c)
    }

    #[inline(always)]
    fn rates(
        &self,
        s: &Gas,
        z: &Zones,
        c: &Closures,
        span: &Span,
        spark: Option<&Spark>,
        limited: &mut u32,
    ) -> Rates {
        let mut r = Rates::default();
        let mut q = self.heat(s, c.heat, &mut r);
        self.evaporate(s, &mut q, &mut r);
        let burn = match spark {
            Some(spark) => self.burn(s, z, c, span, spark, &mut r, limited),
            None => 0.0,
        };
        r.knock = c.knock;
        self.balance(s, z, span, q, burn, &mut r);
        self.stir(s, c.length, &mut r);
        r
    }

    /// Properties of both zones at the temperatures and pressure of `s`, with its logarithm.
    #[inline(always)]
    pub fn properties(&self, s: &Gas, ln_p: f64) -> Properties {
        let u = &self.unburned;
        let burned = if s.mass_b > 0.0 {
            self.table.state_with_ln(s.t_b, s.pressure, ln_p)
        } else {
            NO_BURNED_GAS
        };
        Properties { cp_u: u.cp(s.t_u), h_u: u.h(s.t_u), burned }
    }

    #[inline(always)]
    fn zones(&self, s: &Gas, properties: &Properties) -> Zones {
        let Properties { cp_u, h_u, burned: b } = *properties;
        let per_p = 1.0 / s.pressure;
        let (per_t_u, per_cp_u) = (1.0 / s.t_u, 1.0 / cp_u);
        let v_u = self.unburned.r * s.t_u * per_p;
        if s.mass_b <= 0.0 {
            return Zones {
                h_u,
                v_u,
                per_p,
                per_t_u,
                per_cp_u,
                per_h_t: 1.0,
                space: [s.volume, 0.0],
                h_b: 0.0,
                v_b: 0.0,
                stretch_t: 0.0,
                stretch_p: 0.0,
                h_p: 0.0,
            };
        }
        let v_b = b.r * s.t_b * per_p;
        let per_r = 1.0 / b.r;
        Zones {
            h_u,
            v_u,
            per_p,
            per_t_u,
            per_cp_u,
            per_h_t: 1.0 / (b.u_t + b.r + s.t_b * b.r_t),
            space: [s.mass_u * v_u, s.mass_b * v_b],
            h_b: b.u + b.r * s.t_b,
            v_b,
            stretch_t: 1.0 / s.t_b + b.r_t * per_r,
            stretch_p: b.r_p * per_r - per_p,
            h_p: b.u_p + s.t_b * b.r_p,
        }
    }

    /// All closures at `s`, with the logarithms of its unburned temperature and pressure.
    #[inline(always)]
    fn closures(
        &self,
        s: &Gas,
        [ln_t, ln_p]: [f64; 2],
        span: &Span,
        spark: Option<&Spark>,
    ) -> Closures {
        let heat = match self.heat {
            Heat::None => 0.0,
            Heat::Constant(h) => h,
            Heat::Woschni { scale, piston_speed, reference } => {
                let (rise, mean) = match spark {
                    Some(_) => (s.pressure - s.motored, s.mean_temperature()),
                    None => (0.0, s.t_u),
                };
                let w = woschni::speed_closed(piston_speed, reference, rise);
                let [ln_w, ln_mean] = logarithms([w, mean]);
                scale * Lane::exp(woschni::ln_shape(woschni::PAPER, ln_p + ln_w, ln_mean))
            }
        };
        let knock = match self.knock_scale {
            Some(scale) if span.knocking => scale * Lane::exp(knock::ln_rate(ln_p, s.t_u)),
            _ => 0.0,
        };
        let mut c = Closures {
            ln_p,
            pressure: s.pressure,
            heat,
            knock,
            laminar: 0.0,
            viscosity: 0.0,
            length: self.integral_length(s.volume),
        };
        if let (Fire::Entrained { law, .. }, Some(spark)) = (&self.burn, spark) {
            let ln_speed = law.ln_s + law.alpha * ln_t + law.beta * ln_p;
            let both = Pair::exp(Lanes([ln_speed, entrainment::ln_viscosity(ln_t)]));
            [c.laminar, c.viscosity] = both.0;
            c.length = spark.length * cube_root(spark.density * s.t_u / s.pressure);
        }
        c
    }

    /// Wall heat: the coefficient acts on the mass-mean temperature, as its source means it, and
    /// every zone wets its mass share of each wall. Returns the heat from both zones, W.
    #[inline(always)]
    fn heat(&self, s: &Gas, h: f64, r: &mut Rates) -> [f64; 2] {
        if h == 0.0 {
            return [0.0, 0.0];
        }
        let share_b = s.mass_b / (s.mass_u + s.mass_b);
        let mean = s.mean_temperature();
        let walls = &self.case.walls;
        let liner = self.liner_per_volume * (s.volume - self.clearance);
        let areas = [self.fixed_areas[0], self.fixed_areas[1], liner.max(0.0)];
        let temperatures = [walls.head, walls.piston, walls.liner];
        let (mut area, mut cold) = (0.0, 0.0);
        for i in 0..3 {
            r.heat[i] = h * areas[i] * (mean - temperatures[i]);
            area += areas[i];
            cold += areas[i] * temperatures[i];
        }
        [h * (1.0 - share_b) * (area * s.t_u - cold), h * share_b * (area * s.t_b - cold)]
    }

    /// Latent heat, drawn from both zones by their mass: droplets are everywhere, and a vanishing
    /// unburned zone could not give it.
    #[inline(always)]
    fn evaporate(&self, s: &Gas, q: &mut [f64; 2], r: &mut Rates) {
        if s.liquid > 0.0 {
            r.liquid = -self.evaporation_rate * s.liquid;
            r.latent = -self.latent * r.liquid;
            let from_burned = r.latent * s.burned();
            q[0] += r.latent - from_burned;
            q[1] += from_burned;
        }
    }

    /// Cascade of flow energy; the unburned gas is squeezed by piston and flame alike.
    #[inline(always)]
    fn stir(&self, s: &Gas, length: f64, r: &mut Rates) {
        if let Fire::Entrained { .. } = self.burn {
            let squeeze = r.pressure / s.pressure - r.t_u / s.t_u;
            let rates = turbulence::rates(s.flow, 0.0, 0.0, length, squeeze);
            r.flow.mean_energy = rates.mean_energy;
            r.flow.turbulent_energy = rates.turbulent_energy;
        }
    }

    /// Mass burned per second, kg/s; sets the entrainment rate.
    #[inline(always)]
    fn burn(
        &self,
        s: &Gas,
        z: &Zones,
        c: &Closures,
        span: &Span,
        spark: &Spark,
        r: &mut Rates,
        limited: &mut u32,
    ) -> f64 {
        let mut limit = |rate: f64, most: f64| {
            if rate > most {
                *limited += 1;
            }
            rate.min(most)
        };
        match self.burn {
            Fire::Never => 0.0,
            Fire::Wiebe { duration, a, m } => {
                let x = crate::wiebe::burned((span.end - spark.theta) / duration, a, m);
                let target = (x * self.trapped_mass).max(spark.kernel);
                let rate = ((target - span.burned_before) / span.dt).max(0.0);
                limit(rate, STEP_SHARE * s.mass_u / span.dt)
            }
            Fire::Entrained { flame, multiplier, .. } => {
                let enclosed = z.space[1] + s.burning * z.v_u;
                let front = Front {
                    density: 1.0 / z.v_u,
                    viscosity: c.viscosity,
                    area: flame.area(enclosed / s.volume, s.volume),
                    laminar_speed: c.laminar,
                    intensity: turbulence::intensity(s.flow.turbulent_energy),
                    integral_length: entrainment::INTEGRAL_SHARE * c.length,
                    burning_mass: s.burning,
                    time: s.time,
                };
                let rates = entrainment::rates(&front);
                let fresh = (s.mass_u - s.burning).max(0.0);
                let entrained = steady(multiplier * rates.entrained, s.mass_b + s.burning, span);
                let entrained = entrained.min(STEP_SHARE * fresh / span.dt);
                let burned = steady(multiplier * rates.burned, s.mass_b, span);
                let burned = limit(burned, STEP_SHARE * s.mass_u / span.dt);
                r.burning = entrained - burned;
                burned
            }
        }
    }

    /// Solves the volume balance for dp and sets all rates that follow from it.
    #[inline(always)]
    fn balance(&self, s: &Gas, z: &Zones, span: &Span, q: [f64; 2], burn: f64, r: &mut Rates) {
        let fired = s.mass_b > 0.0;
        // Mixing is taken with the mass at the middle of the step in both stages, so that a small
        // zone that grows several-fold in one step goes to its limit instead of past it.
        let mass_b = s.mass_b + burn * span.ahead;
        let heat_u = z.per_cp_u / s.mass_u;
        let heat_b = if fired { z.per_h_t / mass_b } else { 0.0 };
        let warm_u = -q[0] * heat_u;
        let warm_b =
            if fired { (-q[1] * mass_b / s.mass_b + (z.h_u - z.h_b) * burn) * heat_b } else { 0.0 };
        let push_u = z.v_u * z.per_cp_u;
        let push_b = if fired { (z.v_b - z.h_p) * z.per_h_t } else { 0.0 };
        let constant = span.volume_rate
            - burn * (z.v_b - z.v_u)
            - z.space[0] * warm_u * z.per_t_u
            - z.space[1] * z.stretch_t * warm_b;
        let slope = z.space[0] * (push_u * z.per_t_u - z.per_p)
            + z.space[1] * (z.stretch_t * push_b + z.stretch_p);
        let crevice = self.crevice(s, z, constant, slope, heat_u, heat_b, r);
        let dp = crevice.dp;
        r.pressure = dp;
        r.t_u = warm_u + push_u * dp + crevice.warm[0];
        r.t_b = warm_b + push_b * dp + crevice.warm[1];
        r.mass_u = crevice.mass[0] - burn;
        r.mass_b = crevice.mass[1] + burn;
        r.energy_out = r.heat[0] + r.heat[1] + r.heat[2] + r.latent + crevice.enthalpy_out;
    }

    #[inline(always)]
    fn crevice(
        &self,
        s: &Gas,
        z: &Zones,
        constant: f64,
        slope: f64,
        heat_u: f64,
        heat_b: f64,
        r: &mut Rates,
    ) -> CreviceFlow {
        let store = self.crevice_mass_per_pa;
        let mut out = CreviceFlow::default();
        if store == 0.0 {
            out.dp = constant / slope;
            return out;
        }
        let held = s.crevice[0] + s.crevice[1];
        let unburned = s.crevice[0] / held;
        let share = [unburned, 1.0 - unburned];
        let c = &self.case.crevice;
        let leak = blow_by::mass_flow(
            c.leak_area,
            s.pressure,
            c.crankcase_pressure,
            self.case.walls.liner,
            self.unburned.r,
        );
        let h = self.crevice_enthalpy;
        let inside = share[0] * h[0] + share[1] * h[1];
        // Volume that leaves with 1 kg, or that 1 kg coming back takes, warmed as its zone is.
        let unburned = z.space[0] / s.volume;
        let mouth = [unburned, 1.0 - unburned];
        let leaving = mouth[0] * z.v_u + mouth[1] * z.v_b;
        // The flow without its own effect on dp has the right sign; `slope` is negative.
        let inwards = store * constant + leak * slope < 0.0;
        let (per_kg, warm) = if inwards {
            (leaving, [0.0, 0.0])
        } else if s.mass_b > 0.0 {
            let warm = (inside - z.h_b) * heat_b;
            (z.v_b + z.space[1] * z.stretch_t * warm, [0.0, warm])
        } else {
            let warm = (h[0] - z.h_u) * heat_u;
            (z.v_u + z.space[0] * warm * z.per_t_u, [warm, 0.0])
        };
        // Flow into the crevice f = store dp + leak takes the volume per_kg f.
        out.dp = (constant + per_kg * leak) / (slope - per_kg * store);
        let f = store * out.dp + leak;
        let drawn = if inwards {
            out.mass = [-mouth[0] * f, -mouth[1] * f];
            out.enthalpy_out = f * (mouth[0] * z.h_u + mouth[1] * z.h_b);
            let settled = mouth[0] * h[0] + mouth[1] * h[1];
            r.crevice_heat = out.enthalpy_out - f * settled;
            [mouth[0] * f, mouth[1] * f]
        } else {
            // What comes back meets burned gas and burns; before the spark it stays unburned.
            let back = usize::from(s.mass_b > 0.0);
            out.mass[back] = -f;
            out.warm = [-f * warm[0], -f * warm[1]];
            out.enthalpy_out = f * inside;
            [share[0] * f, share[1] * f]
        };
        for i in 0..2 {
            r.crevice[i] = drawn[i] - share[i] * leak;
            r.leak[i] = share[i] * leak;
        }
        r.leak_enthalpy = leak * inside;
        out
    }
}

/// Mean growth rate over the step of a flame's mass, kg/s, from the rate at hand.
///
/// A young flame's radius grows steadily, its mass as the cube and several-fold in one step: so the
/// step is taken with the radius. From the start of a step it grows by the share `q` to its end,
/// mass by `(1 + q)^3`; about its middle the same growth to both sides gives `3 q + q^3/4`.
#[inline(always)]
fn steady(rate: f64, mass: f64, span: &Span) -> f64 {
    let q = span.dt * rate / (3.0 * mass);
    let more = if span.ahead > 0.0 { q + q * q * (1.0 / 3.0) } else { q * q * (1.0 / 12.0) };
    rate * (1.0 + more)
}

/// Pressure rate with the crevice, and what it takes from the zones.
#[derive(Default)]
struct CreviceFlow {
    dp: f64,
    mass: [f64; 2],
    warm: [f64; 2],
    enthalpy_out: f64,
}

/// Rate of the motored pressure, Pa/s.
#[inline(always)]
pub(super) fn motored_rate(motored: f64, volume: f64, volume_rate: f64) -> f64 {
    -MOTORED_EXPONENT * motored * volume_rate / volume
}
