//! Turns a converged cycle of one lane into the figures of a [`Point`].

use crate::close::LaneCloser;
use crate::engine::Engine;
use crate::point::{Convergence, CylinderPoint, Point};
use crate::table::CYCLE;
use shortblock_cylinder::closed::Clamps;
use shortblock_cylinder::friction::{auxiliary, fmep};
use shortblock_lanes::Lane;

/// The figures of one lane after a cycle.
pub(crate) fn point<V: Lane>(
    engine: &Engine<V>,
    lane: usize,
    closer: &LaneCloser,
    convergence: Convergence,
) -> Point {
    let network = closer.network;
    let speed = closer.demand.speed;
    let count = network.cylinders.len() as f64;
    let displacement: f64 = network.cylinders.iter().map(|c| c.mechanism.displacement()).sum();
    let cylinders: Vec<CylinderPoint> =
        (0..network.cylinders.len()).map(|c| cylinder(engine, lane, closer, c)).collect();
    let sum = |f: &dyn Fn(&CylinderPoint) -> f64| cylinders.iter().map(f).sum::<f64>();

    let air = sum(&|c| c.air);
    let fuel: f64 = closer.last.iter().flatten().map(|closed| closed.fuel).sum();
    let cycles_per_second = speed / CYCLE;
    let imep = (sum(&|c| c.gross_work) + sum(&|c| c.pumping_work)) / displacement;
    let fmep = friction(closer, speed);
    let brake_torque = (imep - fmep) * displacement / CYCLE;
    let brake_power = brake_torque * speed;
    let fuel_flow = fuel * cycles_per_second;
    let density = network.air.density(network.ambient_pressure, network.ambient_temperature);
    let mechanism = &network.cylinders[0].mechanism;
    let mean_piston_speed = mechanism.mean_piston_speed(speed);
    let sound = closer.gases.air.sound_speed(network.ambient_temperature);
    let intake_area = network.cylinders[0].intake.mean_open_area();
    Point {
        speed,
        brake_torque,
        brake_power,
        imep,
        pmep: sum(&|c| c.pumping_work) / displacement,
        fmep,
        volumetric_efficiency: air / (density * displacement),
        air_flow: air * cycles_per_second,
        fuel_flow,
        bsfc: if brake_power > 0.0 { fuel_flow / brake_power } else { f64::INFINITY },
        lambda: closer.demand.lambda,
        mean_piston_speed,
        inlet_mach_index: mechanism.bore_area() * mean_piston_speed / (intake_area * sound),
        heat_share: sum(&|c| c.wall_heat) / (fuel * network.fuel.lower_heating_value()),
        air_per_cylinder_spread: spread(&cylinders, air / count),
        cylinders,
        convergence,
        clamps: clamps(engine, lane, closer),
    }
}

fn cylinder<V: Lane>(
    engine: &Engine<V>,
    lane: usize,
    closer: &LaneCloser,
    c: usize,
) -> CylinderPoint {
    let Some(closed) = &closer.last[c] else { return CylinderPoint::default() };
    let (tally, result) = (&engine.tallies[c], &closed.result);
    let of = |x: V| x.get(lane);
    let heat: f64 = tally.heat.iter().map(|&x| of(x)).sum();
    let burn = result.burn;
    let angle =
        |f: fn(&shortblock_cylinder::closed::BurnAngles) -> f64| burn.as_ref().map_or(f64::NAN, f);
    CylinderPoint {
        trapped_mass: closed.mass,
        residual: closed.residual,
        air: of(tally.air),
        gross_work: of(tally.gross_work) + result.work,
        pumping_work: of(tally.pumping_work),
        wall_heat: heat + result.heat_head + result.heat_piston + result.heat_liner,
        spark_advance: -result.spark,
        knock_limited: closer.is_held_back(c),
        knock_margin: closer.knock_limit[c].map(|limit| result.spark - limit),
        octane_margin: result.octane_margin,
        burn_0_10: angle(|b| b.spark_to_10),
        burn_10_50: angle(|b| b.from_10_to_50),
        burn_10_90: angle(|b| b.from_10_to_90),
        burn_50: angle(|b| b.angle_50),
        peak_pressure: result.peak_pressure,
        peak_pressure_angle: result.peak_pressure_angle,
        exhaust_temperature: exhaust_temperature(engine, lane, c),
        piston_temperature: closer.surfaces[c].temperatures().piston,
        intake_choked: share(of(tally.choked_steps[0]), of(tally.open_steps[0])),
        exhaust_choked: share(of(tally.choked_steps[1]), of(tally.open_steps[1])),
        blow_down_choked: share(of(tally.blow_down_choked), of(tally.open_steps[1])),
    }
}

fn share(part: f64, of: f64) -> f64 {
    if of > 0.0 { part / of } else { 0.0 }
}

/// Temperature whose enthalpy is the mean of the gas that left through the exhaust valves, K.
fn exhaust_temperature<V: Lane>(engine: &Engine<V>, lane: usize, c: usize) -> f64 {
    let tally = &engine.tallies[c];
    let mass = tally.exhaust_mass.get(lane);
    if mass <= 0.0 {
        return f64::NAN;
    }
    let enthalpy = tally.exhaust_heat.get(lane) / mass;
    let burned = engine.gases.mix(&[V::splat(0.0), V::splat(1.0)]);
    let mut t = 1000.0;
    for _ in 0..20 {
        let at = V::splat(t);
        let cp = burned.cv(at).get(lane) + burned.r.get(lane);
        t += (enthalpy - burned.enthalpy(at).get(lane)) / cp;
    }
    t
}

fn friction(closer: &LaneCloser, speed: f64) -> f64 {
    let friction = &closer.network.friction;
    let parts = fmep(friction.edition, &friction.parts, speed, 1.0).total();
    let driven: f64 = friction
        .auxiliaries
        .iter()
        .map(|&machine| auxiliary::mep(machine, friction.edition, speed))
        .sum();
    friction.multiplier * (parts + driven)
}

fn spread(cylinders: &[CylinderPoint], mean: f64) -> f64 {
    cylinders.iter().map(|c| (c.air / mean - 1.0).abs()).fold(0.0, f64::max)
}

/// Safeguards that acted in the last cycle.
fn clamps<V: Lane>(
    engine: &Engine<V>,
    lane: usize,
    closer: &LaneCloser,
) -> Vec<(&'static str, usize)> {
    let of = |x: V| x.get(lane) as usize;
    let events = |f: &dyn Fn(&shortblock_flow::Events<V>) -> V| -> usize {
        engine.ducts.iter().map(|duct| of(f(&duct.events()))).sum()
    };
    let volumes: usize = engine.volumes.iter().map(|v| of(v.floors)).sum();
    let cylinders: usize = engine.cylinders.iter().map(|c| of(c.gas.floors)).sum();
    let closed = |f: fn(&Clamps) -> u32| -> usize {
        closer.last.iter().flatten().map(|c| f(&c.result.clamps) as usize).sum()
    };
    [
        ("half step held in a duct", events(&|e| e.half_step_floors)),
        ("energy held in a duct", events(&|e| e.energy_floors)),
        ("half step held in a volume", volumes),
        ("half step held in a cylinder", cylinders),
        ("flame speed outside its range", closed(|c| c.flame_speed)),
        ("burned gas outside its table", closed(|c| c.burned_table)),
        ("burning rate held", closed(|c| c.burn_rate)),
        ("octane number outside its range", closed(|c| c.octane_range)),
    ]
    .into_iter()
    .filter(|(_, count)| *count > 0)
    .collect()
}
