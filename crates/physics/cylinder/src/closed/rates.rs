//! Rates of change of the gas in the cylinder: closures, heat, evaporation, flow and flame. What
//! follows from them for pressure and temperatures is in [`super::balance`].

use super::balance::Zones;
use super::model::Fire;
use super::numbers::{below, numbers, pick};
use super::run::Lot;
use super::state::{Gas, Ledger, State};
use crate::entrainment::{self, Front};
use crate::flame::FlameTable;
use crate::turbulence::{self, Turbulence};
use crate::{knock, wiebe, woschni};
use shortblock_lanes::Lane;

/// Exponent of the pressure that a motored cylinder would have, after the spark; own.
const MOTORED_EXPONENT: f64 = 1.33;
/// Largest share of the mass at hand that one step may burn or entrain.
const STEP_SHARE: f64 = 0.7;

/// Mass fraction burned at which the knock integral ends: self-ignition of the last gas does not
/// ring the chamber. Worret et al. 2002, SAE 2002-01-1668, put the end between 0.75 and 0.85 of
/// the burn (from memory); the latest of it is used.
pub(super) const KNOCK_END: f64 = 0.85;

numbers! {
    /// What the closures say at a state. They change slowly, so the first stage of a step takes
    /// those of the middle of the step before; that costs no order, as the first stage only leads
    /// to the middle.
    struct Closures {
        /// Pressure, Pa, that they were taken at, and its logarithm.
        pressure,
        ln_p,
        /// Heat transfer coefficient, W/(m^2 K).
        heat,
        /// Rate of the knock integral, 1/s.
        knock,
        /// Laminar flame speed, m/s.
        laminar,
        /// Viscosity of the unburned gas, kg/(m s).
        viscosity,
        /// Size of the mean flow, m.
        size,
    }
}

/// What the spark left behind for the rates after it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spark<V> {
    pub theta: V,
    /// Size of the mean flow, m, and logarithm of `p/T_u`, Pa/K, at the spark.
    pub size: V,
    pub ln_density: V,
    /// Mass of the kernel, kg.
    pub kernel: V,
}

/// The part of a step that rates are asked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span<V> {
    /// Length, s.
    pub dt: V,
    /// Rate of change of volume that leads to its end, m^3/s.
    pub volume_rate: V,
    /// Angle of its end, rad.
    pub end: V,
    /// Above 0 where the knock integral still runs at its start.
    pub knocking: V,
    /// Mass burned at its start, kg.
    pub burned_before: V,
    /// Whether the rates are those of its start and lead to its end, else those of its middle.
    pub first: bool,
}

impl<V: Lane> Lot<'_, V> {
    /// Rates at the start of a step, with the closures of the step before.
    #[inline(always)]
    pub fn first_rates(
        &self,
        s: &State<V>,
        span: &Span<V>,
        spark: Option<&Spark<V>>,
    ) -> (Gas<V>, Ledger<V>) {
        let z = Zones::new(self.k.r, &s.gas, &s.properties, spark.is_some());
        self.rates(&s.gas, &z, &s.closures, span, spark, &mut V::splat(0.0))
    }

    /// Rates in the middle of a step, and the closures found. `limited` counts burning rates that
    /// were cut. The closures are taken at the pressure foreseen, which is near enough and lets the
    /// processor work on them beside the properties; then the pressure is set to the one that fills
    /// the volume.
    #[inline(always)]
    pub fn middle_rates(
        &self,
        s: &mut Gas<V>,
        span: &Span<V>,
        spark: Option<&Spark<V>>,
        limited: &mut V,
    ) -> (Gas<V>, Ledger<V>, Closures<V>) {
        let fired = spark.is_some();
        let c = self.closures(s, span.knocking, spark);
        let p = self.properties(s, c.ln_p, fired);
        let filled = s.mass_u * self.k.r * s.t_u + s.mass_b * p.r * s.t_b;
        s.pressure = filled / s.volume;
        let z = Zones::new(self.k.r, s, &p, fired);
        let (gas, ledger) = self.rates(s, &z, &c, span, spark, limited);
        (gas, ledger, c)
    }

    #[inline(always)]
    fn rates(
        &self,
        s: &Gas<V>,
        z: &Zones<V>,
        c: &Closures<V>,
        span: &Span<V>,
        spark: Option<&Spark<V>>,
        limited: &mut V,
    ) -> (Gas<V>, Ledger<V>) {
        let (mut r, mut ledger) = (Gas::default(), Ledger::default());
        r.time = V::splat(1.0);
        r.motored = -(V::splat(MOTORED_EXPONENT) * s.motored * span.volume_rate / s.volume);
        ledger.knock = c.knock;
        let mut q = self.heat(s, c.heat, &mut ledger);
        self.evaporate(s, &mut q, &mut r, &mut ledger);
        let burn = match spark {
            Some(spark) => self.burn(s, z, c, span, spark, &mut r, limited),
            None => V::splat(0.0),
        };
        self.balance(s, z, span, q, burn, &mut r, &mut ledger);
        if self.fire == Fire::Entrained {
            stir(s, c.size, &mut r);
        }
        (r, ledger)
    }

    /// All closures at `s`; `knocking` is above 0 where the knock integral runs.
    #[inline(always)]
    pub fn closures(&self, s: &Gas<V>, knocking: V, spark: Option<&Spark<V>>) -> Closures<V> {
        let k = &self.k;
        let (ln_t, ln_p) = (s.t_u.ln(), s.pressure.ln());
        let (rise, ln_mean) = match spark {
            Some(_) => (s.pressure - s.motored, s.mean_temperature().ln()),
            None => (V::splat(0.0), ln_t),
        };
        let speed = woschni::speed_closed(k.piston_speed, k.heat_reference, rise);
        let shape = woschni::ln_shape(woschni::PAPER, ln_p + speed.ln(), ln_mean);
        let knock = k.knock_scale * knock::ln_rate(ln_p, s.t_u).exp();
        let mut c = Closures {
            ln_p,
            pressure: s.pressure,
            heat: k.heat_scale.mul_add(shape.exp(), k.heat_constant),
            knock: pick(knocking, knock, V::splat(0.0)),
            laminar: V::splat(0.0),
            viscosity: V::splat(0.0),
            size: turbulence::size(s.volume, k.bore_area, k.bore),
        };
        if let (Fire::Entrained, Some(spark)) = (self.fire, spark) {
            c.laminar = (k.law[0] + k.law[1] * ln_t + k.law[2] * ln_p).exp();
            c.viscosity = entrainment::ln_viscosity(ln_t).exp();
            // Eddies of constant angular momentum shrink with the cube root of the density.
            let ln_shrink = (spark.ln_density + ln_t - ln_p) * V::splat(1.0 / 3.0);
            c.size = spark.size * ln_shrink.exp();
        }
        c
    }

    /// Wall heat: the coefficient acts on the mass-mean temperature, as its source means it, and
    /// every zone wets its mass share of each wall. Returns the heat from both zones, W.
    #[inline(always)]
    fn heat(&self, s: &Gas<V>, h: V, ledger: &mut Ledger<V>) -> [V; 2] {
        let k = &self.k;
        let share_b = s.burned();
        let mean = s.t_u + share_b * (s.t_b - s.t_u);
        let liner = k.liner_per_volume * (s.volume - k.clearance);
        let areas = [k.head_area, k.bore_area, liner.max(V::splat(0.0))];
        let (mut area, mut cold) = (V::splat(0.0), V::splat(0.0));
        for i in 0..3 {
            ledger.heat[i] = h * areas[i] * (mean - k.walls[i]);
            area += areas[i];
            cold = areas[i].mul_add(k.walls[i], cold);
        }
        let from_b = h * share_b;
        [(h - from_b) * (area * s.t_u - cold), from_b * (area * s.t_b - cold)]
    }

    /// Latent heat, drawn from both zones by their mass: droplets are everywhere, and a vanishing
    /// unburned zone could not give it.
    #[inline(always)]
    fn evaporate(&self, s: &Gas<V>, q: &mut [V; 2], r: &mut Gas<V>, ledger: &mut Ledger<V>) {
        let vapour = self.k.evaporation_rate * s.liquid;
        r.liquid = -vapour;
        ledger.latent = self.k.latent * vapour;
        let from_burned = ledger.latent * s.burned();
        q[0] += ledger.latent - from_burned;
        q[1] += from_burned;
    }

    /// Mass burned per second, kg/s; sets the entrainment rate.
    #[inline(always)]
    fn burn(
        &self,
        s: &Gas<V>,
        z: &Zones<V>,
        c: &Closures<V>,
        span: &Span<V>,
        spark: &Spark<V>,
        r: &mut Gas<V>,
        limited: &mut V,
    ) -> V {
        let (k, zero) = (&self.k, V::splat(0.0));
        let per_dt = V::splat(STEP_SHARE) / span.dt;
        let most = s.mass_u * per_dt;
        let burned = match self.fire {
            Fire::Never => zero,
            Fire::Wiebe => {
                let since = (span.end - spark.theta) / k.wiebe[0];
                let x = wiebe::burned(since, k.wiebe[1], k.wiebe[2]);
                let target = (x * k.mass).max(spark.kernel);
                ((target - span.burned_before) / span.dt).max(zero)
            }
            Fire::Entrained => {
                let enclosed = z.space[1] + s.burning * z.v_u;
                let front = Front {
                    density: V::splat(1.0) / z.v_u,
                    viscosity: c.viscosity,
                    area: FlameTable::area(&self.flames, enclosed / s.volume, s.volume),
                    laminar_speed: c.laminar,
                    intensity: turbulence::intensity(s.turbulent_energy),
                    integral_length: V::splat(turbulence::INTEGRAL_SHARE) * c.size,
                    burning_mass: s.burning,
                    time: s.time,
                };
                let rates = entrainment::rates(&front);
                let fresh = (s.mass_u - s.burning).max(zero);
                let entrained = steady(k.multiplier * rates.entrained, s.mass_b + s.burning, span);
                r.burning = entrained.min(fresh * per_dt);
                steady(k.multiplier * rates.burned, s.mass_b, span)
            }
        };
        *limited += below(most, burned);
        let burned = burned.min(most);
        if self.fire == Fire::Entrained {
            r.burning -= burned;
        }
        burned
    }
}

/// Cascade of flow energy; the unburned gas is squeezed by piston and flame alike.
#[inline(always)]
fn stir<V: Lane>(s: &Gas<V>, size: V, r: &mut Gas<V>) {
    let squeeze = r.pressure / s.pressure - r.t_u / s.t_u;
    let flow = Turbulence { mean_energy: s.mean_energy, turbulent_energy: s.turbulent_energy };
    let rates = turbulence::rates(flow, V::splat(0.0), V::splat(0.0), size, squeeze);
    r.mean_energy = rates.mean_energy;
    r.turbulent_energy = rates.turbulent_energy;
}

/// Mean growth rate over the step of a flame's mass, kg/s, from the rate at hand.
///
/// A young flame's radius grows steadily, its mass as the cube and several-fold in one step: so the
/// step is taken with the radius. From the start of a step it grows by the share `q` to its end,
/// mass by `(1 + q)^3`; about its middle the same growth to both sides gives `3 q + q^3/4`.
#[inline(always)]
fn steady<V: Lane>(rate: V, mass: V, span: &Span<V>) -> V {
    let q = span.dt * rate / (V::splat(3.0) * mass);
    let more =
        if span.first { q + q * q * V::splat(1.0 / 3.0) } else { q * q * V::splat(1.0 / 12.0) };
    rate.mul_add(more, rate)
}
