//! Why a point cannot be worked out: which part, and the last state that was good.

use crate::close::LaneCloser;
use crate::engine::Engine;
use crate::error::{CycleError, LastGood};
use crate::network::Network;
use crate::point::Convergence;
use crate::table::CYCLE;
use shortblock_lanes::Lane;
use std::f64::consts::PI;

/// Pressure (Pa) and temperature (K) of the gas in every part of a lane: ducts in their middle,
/// volumes, cylinders (`None` for one that is closed).
pub(crate) struct Standing {
    parts: Vec<Option<(f64, f64)>>,
    /// The cycle, from 1; 0 before the first.
    cycle: usize,
    /// Turn of the crank since it began, degrees.
    angle_deg: f64,
}

impl Standing {
    /// As a lane stands now, in this cycle or, where it is about to begin another, at its end.
    pub fn of<V: Lane>(engine: &Engine<V>, lane: usize, cycle: usize) -> Self {
        let (gases, clock) = (&engine.gases, &engine.clocks[lane]);
        let ended = clock.step == 0 && cycle > 0;
        let step = if ended { clock.steps() } else { clock.step };
        let angle_deg = (CYCLE * step as f64 / clock.steps() as f64).to_degrees();
        let pair = |p: V, t: V| Some((p.get(lane), t.get(lane)));
        let ducts = engine.ducts.iter().map(|duct| {
            let middle = duct.cell(duct.cell_count() / 2);
            pair(middle.p, middle.t)
        });
        let volumes = engine.volumes.iter().map(|volume| {
            let inside = volume.reservoir(gases);
            pair(inside.p, inside.t)
        });
        let tables = clock.tables.iter();
        let cylinders = engine.cylinders.iter().zip(tables).map(|(cylinder, table)| {
            let (row, mut gas) = (&table.rows[clock.step], cylinder.gas);
            gas.volume.set(lane, row.volume);
            let inside = gas.reservoir(gases);
            pair(inside.p, inside.t).filter(|_| row.open > 0.0)
        });
        Self { parts: ducts.chain(volumes).chain(cylinders).collect(), cycle, angle_deg }
    }
}

/// Why the point in a lane cannot be worked out, if so; `good` is how it stood before.
pub(crate) fn failure<V: Lane>(
    engine: &Engine<V>,
    lane: usize,
    closer: &LaneCloser,
    convergence: &Convergence,
    good: &Standing,
) -> Option<CycleError> {
    let (speed_rpm, cycle) = (rpm(closer), convergence.cycles);
    let lost = lost_part(engine, lane);
    // A charge that is no number is not the cylinder's fault.
    if let Some((c, source)) = &closer.failure
        && (lost.is_none() || !source.is_no_number())
    {
        let (cylinder, source) = (c + 1, source.clone());
        return Some(CycleError::Cylinder { cylinder, speed_rpm, cycle, source });
    }
    let lost = lost?;
    let gas = good.parts.get(lost).copied().flatten();
    let Standing { cycle, angle_deg, .. } = *good;
    let last = LastGood { cycle, angle_deg, change: convergence.change, gas };
    Some(CycleError::Lost { part: name(lost, closer.network), speed_rpm, last })
}

/// The first surface that cannot be, if there is one.
pub(crate) fn too_hot(closer: &LaneCloser, convergence: &Convergence) -> Option<CycleError> {
    let speed_rpm = rpm(closer);
    closer.surfaces.iter().zip(&closer.last).enumerate().find_map(|(c, (surfaces, last))| {
        let (surface, temperature) = surfaces.too_hot()?;
        let peak = last.as_ref().map(|l| (l.result.peak_pressure, l.result.peak_pressure_angle));
        let (peak_pressure, angle) = peak.unwrap_or((f64::NAN, f64::NAN));
        Some(CycleError::TooHot {
            cylinder: c + 1,
            speed_rpm,
            surface,
            temperature,
            cycle: convergence.cycles,
            change: convergence.change,
            peak_pressure,
            peak_angle_deg: angle.to_degrees(),
        })
    })
}

fn rpm(closer: &LaneCloser) -> f64 {
    closer.demand.speed * 30.0 / PI
}

/// Whether some gas of a lane is no state any more.
pub(crate) fn is_lost<V: Lane>(engine: &Engine<V>, lane: usize) -> bool {
    lost_part(engine, lane).is_some()
}

/// The first part of a lane whose state is no number or not above zero, counted as in [`Standing`].
fn lost_part<V: Lane>(engine: &Engine<V>, lane: usize) -> Option<usize> {
    let bad = |x: V| !(x.get(lane) > 0.0 && x.get(lane).is_finite());
    let ducts = engine
        .ducts
        .iter()
        .map(|duct| (0..duct.cell_count()).any(|i| bad(duct.cell(i).p) || bad(duct.cell(i).t)));
    let volumes = engine.volumes.iter().map(|volume| bad(volume.mass) || bad(volume.energy));
    let cylinders = engine.cylinders.iter().map(|c| bad(c.gas.mass) || bad(c.gas.energy));
    ducts.chain(volumes).chain(cylinders).position(|lost| lost)
}

/// The name of a part, counted as in [`Standing`].
fn name(part: usize, network: &Network) -> String {
    let ducts = network.ducts.iter().map(|duct| duct.name.clone());
    let volumes = network.volumes.iter().map(|volume| volume.name.clone());
    let mut named = ducts.chain(volumes);
    let count = network.ducts.len() + network.volumes.len();
    named.nth(part).unwrap_or_else(|| format!("cylinder {}", (part + 1).saturating_sub(count)))
}
