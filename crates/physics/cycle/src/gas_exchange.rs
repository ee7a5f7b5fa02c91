//! The gas in the cylinders while valves are open: one zone, in lock-step lanes.

use crate::engine::CylinderStep;
use crate::vapour::Saturation;
use crate::{BURNED, FUEL, SCALARS};
use shortblock_cylinder::turbulence::{self, Turbulence};
use shortblock_cylinder::woschni;
use shortblock_flow::{EndFlux, GasSet, Reservoir, Volume};
use shortblock_lanes::{Lane, lanewise};

/// What does not change over the cycle, per lane.
#[derive(Clone, Debug)]
pub(crate) struct CylinderConstants<V> {
    /// Bore, m.
    pub bore: V,
    /// Bore area, m².
    pub bore_area: V,
    /// Head area, m².
    pub head_area: V,
    /// Clearance volume, m³.
    pub clearance_volume: V,
    /// Mean piston speed, m/s.
    pub mean_piston_speed: V,
    /// [`woschni::scale`] times the design's multiplier.
    pub heat_scale: V,
    /// Temperatures of head, piston and liner, K.
    pub walls: [V; 3],
}

lanewise!(CylinderConstants {
    bore,
    bore_area,
    head_area,
    clearance_volume,
    mean_piston_speed,
    heat_scale,
    walls,
});

/// What is known of the fuel that gets into a cylinder with its air, per lane.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FuelDose<V> {
    /// Mass of fuel per mass of air that has evaporated once inside.
    pub vapour_per_air: V,
    /// Sensible enthalpy of the vapour at the fuel's temperature less the latent heat, J/kg.
    pub enthalpy: V,
    /// What bounds it.
    pub saturation: Saturation<V>,
}

lanewise!(FuelDose { vapour_per_air, enthalpy, saturation });

/// The gas of one cylinder.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CylinderGas<V> {
    /// Contents; its own `volume` is not used, the tables have it.
    pub gas: Volume<V, SCALARS>,
    /// Mean and turbulent kinetic energy of the flow.
    pub turbulence: Turbulence<V>,
}

lanewise!(CylinderGas { gas, turbulence });

/// What a cylinder's gas did in the cycle so far.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tally<V> {
    /// Work on the piston in the compression and expansion strokes, gas exchange only, J.
    pub gross_work: V,
    /// Work on the piston in the exhaust and intake strokes, J.
    pub pumping_work: V,
    /// Heat to head, piston and liner during the gas exchange, J.
    pub heat: [V; 3],
    /// Fresh air in through the intake valves, kg.
    pub air: V,
    /// Mass and sensible enthalpy out through the exhaust valves, kg and J.
    pub exhaust_mass: V,
    /// See `exhaust_mass`.
    pub exhaust_heat: V,
    /// Steps with open valves and steps with choked ones: intake, exhaust.
    pub open_steps: [V; 2],
    /// See `open_steps`.
    pub choked_steps: [V; 2],
    /// Those of the exhaust valves before bottom dead centre.
    pub blow_down_choked: V,
}

lanewise!(Tally {
    gross_work,
    pumping_work,
    heat,
    air,
    exhaust_mass,
    exhaust_heat,
    open_steps,
    choked_steps,
    blow_down_choked,
});

impl<V: Lane> Tally<V> {
    pub(crate) fn zero() -> Self {
        let zero = V::splat(0.0);
        Self {
            gross_work: zero,
            pumping_work: zero,
            heat: [zero; 3],
            air: zero,
            exhaust_mass: zero,
            exhaust_heat: zero,
            open_steps: [zero; 2],
            choked_steps: [zero; 2],
            blow_down_choked: zero,
        }
    }
}

/// One step of one cylinder: what the tables and the ends say.
pub(crate) struct Step<'a, V> {
    pub dt: V,
    pub now: &'a CylinderStep<V>,
    /// Sum over the ducts of each side, positive into the duct.
    pub flux: [EndFlux<V, SCALARS>; 2],
    pub constants: &'a CylinderConstants<V>,
    pub dose: FuelDose<V>,
}

impl<V: Lane> CylinderGas<V> {
    /// Gas at pressure (Pa), temperature (K) and fractions in a volume (m³), nothing moving.
    pub fn still(gases: &GasSet<V, SCALARS>, p: V, t: V, y: &[V; SCALARS], volume: V) -> Self {
        let turbulence = Turbulence { mean_energy: V::splat(0.0), turbulent_energy: V::splat(1.0) };
        Self { gas: Volume::new(gases, volume, p, t, y), turbulence }
    }

    /// Adds one step; lanes whose valves are shut keep their state.
    #[inline(always)]
    pub fn advance(&mut self, half: &Reservoir<V, SCALARS>, step: &Step<V>, tally: &mut Tally<V>) {
        let zero = V::splat(0.0);
        let [intake, exhaust] = &step.flux;
        let heat = wall_heat(half, step);
        let heat_sum = heat[0] + heat[1] + heat[2];
        // Fuel that the air brings in as liquid and that evaporates on the way in, as far as the gas
        // in the cylinder can hold it; the rest is liquid at intake closing.
        let air_in = (intake.scalars[FUEL] + intake.scalars[BURNED] - intake.mass).max(zero);
        let fuel_in = (-intake.scalars[FUEL]).max(zero);
        let free = step.dose.saturation.free(half.rho * half.y[FUEL], half.t);
        let dose = (step.dose.vapour_per_air * air_in - fuel_in).max(zero) * free;
        let expansion = half.p * (step.now.volume_next - step.now.volume);

        // Behind shut valves the rates are those at the next opening already.
        let while_open = |new: V, kept: V| V::select_lt(zero, step.now.open, new, kept);
        let rate = &mut self.gas.rate;
        rate.mass = while_open(dose - intake.mass - exhaust.mass, rate.mass);
        rate.energy = while_open(
            dose * step.dose.enthalpy
                - intake.energy
                - exhaust.energy
                - heat_sum
                - expansion / step.dt,
            rate.energy,
        );
        for s in 0..SCALARS {
            let dose = if s == FUEL { dose } else { zero };
            let gain = dose - intake.scalars[s] - exhaust.scalars[s];
            rate.scalars[s] = while_open(gain, rate.scalars[s]);
        }

        let dt = step.dt * step.now.open;
        self.stir(step, intake, dt);
        let gas = &mut self.gas;
        gas.mass = gas.rate.mass.mul_add(dt, gas.mass);
        gas.energy = gas.rate.energy.mul_add(dt, gas.energy);
        for s in 0..SCALARS {
            gas.scalars[s] = gas.rate.scalars[s].mul_add(dt, gas.scalars[s]);
        }

        let work = expansion * step.now.open;
        tally.pumping_work += work * step.now.pumping;
        tally.gross_work += work * (V::splat(1.0) - step.now.pumping);
        for i in 0..3 {
            tally.heat[i] += heat[i] * dt;
        }
        tally.air += (intake.scalars[FUEL] + intake.scalars[BURNED] - intake.mass) * dt;
        let out = exhaust.mass.max(zero);
        tally.exhaust_mass += out * dt;
        tally.exhaust_heat += V::select_lt(zero, exhaust.mass, exhaust.energy, zero) * dt;
        for (i, flux) in step.flux.iter().enumerate() {
            let flows = V::select_lt(zero, step.now.area[i], V::splat(1.0), zero);
            tally.open_steps[i] += flows;
            let choked = flows * choked(half, flux);
            tally.choked_steps[i] += choked;
            if i == 1 {
                tally.blow_down_choked += choked * (V::splat(1.0) - step.now.pumping);
            }
        }
    }

    /// Turbulence made by the jet through the intake valves.
    #[inline(always)]
    fn stir(&mut self, step: &Step<V>, intake: &EndFlux<V, SCALARS>, dt: V) {
        let zero = V::splat(0.0);
        let inflow = (-intake.mass).max(zero);
        let density = self.gas.mass / step.now.volume_half;
        // Speed of the jet in the valve's opening; with no opening there is no inflow either.
        let area = step.now.area[0].max(V::splat(1e-9));
        let jet = (inflow / (density * area)).min(V::splat(JET_SPEED_MAX));
        let per_mass = V::splat(1.0) / self.gas.mass;
        let c = step.constants;
        let density_rate = self.gas.rate.mass * per_mass
            - (step.now.volume_next - step.now.volume) / (step.dt * step.now.volume_half);
        let rates = turbulence::rates(
            self.turbulence,
            V::splat(0.5) * inflow * per_mass * jet * jet,
            inflow * per_mass,
            turbulence::size(step.now.volume_half, c.bore_area, c.bore),
            density_rate,
        );
        let floor = V::splat(0.0);
        let mean = rates.mean_energy.mul_add(dt, self.turbulence.mean_energy);
        let turbulent = rates.turbulent_energy.mul_add(dt, self.turbulence.turbulent_energy);
        self.turbulence =
            Turbulence { mean_energy: mean.max(floor), turbulent_energy: turbulent.max(floor) };
    }
}

/// The form of the wall-heat correlation used throughout.
pub(crate) const WALL_HEAT: woschni::Form = woschni::PAPER;

/// No jet is faster than sound in hot residual gas, m/s. Own choice.
const JET_SPEED_MAX: f64 = 500.0;

/// Heat flow to head, piston and liner, W.
#[inline(always)]
fn wall_heat<V: Lane>(gas: &Reservoir<V, SCALARS>, step: &Step<V>) -> [V; 3] {
    let c = step.constants;
    let speed = woschni::speed_open(c.mean_piston_speed);
    let h = woschni::coefficient(WALL_HEAT, c.heat_scale, gas.p, gas.t, speed);
    let liner = (step.now.volume_half - c.clearance_volume) * V::splat(4.0) / c.bore;
    [
        h * c.head_area * (gas.t - c.walls[0]),
        h * c.bore_area * (gas.t - c.walls[1]),
        h * liner * (gas.t - c.walls[2]),
    ]
}

/// 1 where the pressure across an opening is above the critical ratio, else 0.
#[inline(always)]
fn choked<V: Lane>(gas: &Reservoir<V, SCALARS>, flux: &EndFlux<V, SCALARS>) -> V {
    let critical = V::splat(CRITICAL_RATIO);
    let (one, zero) = (V::splat(1.0), V::splat(0.0));
    let out = V::select_lt(flux.p, critical * gas.p, one, zero);
    let into = V::select_lt(gas.p, critical * flux.p, one, zero);
    V::select_lt(zero, flux.mass, out, into)
}

/// Critical pressure ratio of a gas with a ratio of specific heats of 1.33; the share of choked
/// steps is told to the nearest per cent, so one number does for all gases.
const CRITICAL_RATIO: f64 = 0.54;

#[cfg(test)]
mod tests {
    use super::*;
    use shortblock_flow::{Gas, orifice};
    use std::f64::consts::PI;

    /// Gas constant and ratio of specific heats of air, fuel vapour (not there) and burned gas.
    const GASES: [(f64, f64); 3] = [(287.0, 1.4), (73.0, 1.05), (291.0, 1.3)];
    /// Pressure and temperature of the room that feeds and of the one that is blown into.
    const ROOMS: [(f64, f64); 2] = [(1.6e5, 320.0), (0.5e5, 700.0)];
    const SPEED: f64 = 300.0;

    fn volume(theta: f64) -> f64 {
        0.6e-3 + 0.06e-3 * (1.0 - theta.cos())
    }

    /// Both valves, m².
    fn area(theta: f64) -> [f64; 2] {
        [2e-4 * (0.5 * theta).sin().powi(2), 2e-4]
    }

    /// Mass, mass of burned gas, energy and work on the piston after a turn from 1 bar and 500 K,
    /// stepped as the engine steps.
    fn stepped(steps: usize) -> [f64; 4] {
        let gas = |i: usize| Gas::constant_gamma(GASES[i].0, GASES[i].1);
        let gases: GasSet<f64, SCALARS> = GasSet::new(&gas(0), &[gas(1), gas(2)]);
        let y = [[0.0, 0.0], [0.0, 1.0]];
        let rooms = [0, 1].map(|i| Reservoir::new(&gases, ROOMS[i].0, ROOMS[i].1, &y[i]));
        let mut cylinder = CylinderGas::still(&gases, 1e5, 500.0, &[0.0, 0.5], volume(0.0));
        let constants = CylinderConstants {
            bore: 0.1,
            bore_area: 0.008,
            head_area: 0.008,
            clearance_volume: 0.6e-3,
            mean_piston_speed: 10.0,
            heat_scale: 0.0,
            walls: [400.0; 3],
        };
        let mut tally = Tally::zero();
        let d = 2.0 * PI / steps as f64;
        let dt = d / SPEED;
        for k in 0..steps {
            let theta = [0.0, 0.5, 1.0].map(|part| (k as f64 + part) * d);
            let [now, half, next] = theta.map(volume);
            let state = cylinder.gas.reservoir_at_half(&gases, dt, half);
            let area = area(theta[1]);
            let flux = [0, 1].map(|i| {
                let flow = orifice(&state, &rooms[i], area[i]);
                EndFlux {
                    mass: flow.mass,
                    p: rooms[i].p,
                    u: 0.0,
                    energy: flow.energy,
                    scalars: flow.scalars,
                }
            });
            let now = CylinderStep {
                volume: now,
                volume_half: half,
                volume_next: next,
                area,
                open: 1.0,
                pumping: 1.0,
                any_open: true,
                any_area: [true; 2],
            };
            let saturation = Saturation { a: 20.0, b: 4000.0, r: 80.0 };
            let dose = FuelDose { vapour_per_air: 0.0, enthalpy: 0.0, saturation };
            let step = Step { dt, now: &now, flux, constants: &constants, dose };
            cylinder.advance(&state, &step, &mut tally);
        }
        let gas = &cylinder.gas;
        [gas.mass, gas.scalars[BURNED], gas.energy, tally.pumping_work]
    }

    /// Flow per area by the ellipse of ISO 6358 through both ends of the isentropic nozzle.
    fn nozzle(p0: f64, t0: f64, p: f64, r: f64, g: f64) -> f64 {
        let b = (2.0 / (g + 1.0)).powf(g / (g - 1.0));
        let k = g * (2.0 / (g + 1.0)).powf((g + 1.0) / (g - 1.0));
        let (s, delta) = (1.0 - b, 1.0 - p / p0);
        let top = k / s;
        let c2 = (2.0 * top - 2.0) / (s * s);
        let c1 = (2.0 - top) / s - c2 * s;
        let law = if delta < s { 2.0 - c1 * delta - c2 * delta * delta } else { k / delta };
        p0 / (r * t0).sqrt() * (delta * law).sqrt()
    }

    /// The same by the equations themselves in Runge-Kutta steps of the fourth order.
    fn solved(steps: usize) -> [f64; 4] {
        let heat = |i: usize| GASES[i].0 / (GASES[i].1 - 1.0);
        let rate = |theta: f64, [mass, burned, energy, _]: [f64; 4]| {
            let air = mass - burned;
            let cv = air * heat(0) + burned * heat(2);
            let r = (air * GASES[0].0 + burned * GASES[2].0) / mass;
            let t = energy / cv;
            let p = mass * r * t / volume(theta);
            let [inlet, outlet] = area(theta);
            let (room, room_t) = ROOMS[0];
            let drawn = inlet * nozzle(room, room_t, p, GASES[0].0, GASES[0].1);
            let blown = outlet * nozzle(p, t, ROOMS[1].0, r, 1.0 + r * mass / cv);
            let work = p * 0.06e-3 * theta.sin();
            let enthalpy = drawn * (heat(0) + GASES[0].0) * room_t - blown * (cv / mass + r) * t;
            [(drawn - blown) / SPEED, -blown * burned / mass / SPEED, enthalpy / SPEED - work, work]
        };
        let r = 0.5 * (GASES[0].0 + GASES[2].0);
        let mass = 1e5 * volume(0.0) / (r * 500.0);
        let mut state = [mass, 0.5 * mass, 0.25 * mass * (heat(0) + heat(2)) * 2.0 * 500.0, 0.0];
        let h = 2.0 * PI / steps as f64;
        for k in 0..steps {
            let theta = k as f64 * h;
            let after = |slope: &[f64; 4], h: f64| -> [f64; 4] {
                std::array::from_fn(|i| state[i] + h * slope[i])
            };
            let a = rate(theta, state);
            let b = rate(theta + 0.5 * h, after(&a, 0.5 * h));
            let c = rate(theta + 0.5 * h, after(&b, 0.5 * h));
            let d = rate(theta + h, after(&c, h));
            state = std::array::from_fn(|i| {
                state[i] + h / 6.0 * (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i])
            });
        }
        state
    }

    /// A motored cylinder with two valves and no pipes, against an independent solver: order of at
    /// least 1.8 and 1e-6 once the second order is extrapolated away (both own requirements).
    #[test]
    fn a_cylinder_with_two_valves_follows_its_differential_equations() {
        let exact = solved(20_000);
        let runs = [180, 360, 720].map(stepped);
        for i in 0..4 {
            let error = runs.map(|run| run[i] / exact[i] - 1.0);
            println!("{i} {error:?} {}", (error[0] / error[1]).log2());
            let order = (error[1] / error[2]).log2();
            assert!(order > 1.8, "{i}: order {order} {error:?}");
            let extrapolated = (4.0 * runs[2][i] - runs[1][i]) / 3.0;
            assert!((extrapolated / exact[i] - 1.0).abs() < 1e-6, "{i}: {error:?}");
        }
    }
}
