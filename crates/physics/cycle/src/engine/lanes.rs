//! The engine's lanes: one engine is put into all or one of them and taken out of one.

use super::{CylinderStep, Engine};
use shortblock_flow::Scratch;
use shortblock_lanes::{Lane, Lanewise};

/// What one lane's engine is: filled, taken out and exchanged between steps.
impl<V: Lane> Lanewise for Engine<V> {
    type One = Engine<f64>;

    fn from_one(one: &Engine<f64>) -> Self {
        Self {
            dt: V::splat(one.dt),
            beat: 0,
            clocks: vec![one.clocks[0].clone(); V::WIDTH],
            scratch: Scratch::default(),
            passings: Vec::new(),
            volume_states: Lanewise::from_one(&one.volume_states),
            axis_states: Lanewise::from_one(&one.axis_states),
            volume_forces: vec![V::splat(0.0); one.volumes.len()],
            volume_flows: Lanewise::from_one(&one.volume_flows),
            cylinder_steps: vec![CylinderStep::zero(); one.cylinders.len()],
            cylinder_states: Lanewise::from_one(&one.cylinder_states),
            cylinder_fluxes: Lanewise::from_one(&one.cylinder_fluxes),
            gases: Lanewise::from_one(&one.gases),
            ambient: Lanewise::from_one(&one.ambient),
            cell: Lanewise::from_one(&one.cell),
            ducts: Lanewise::from_one(&one.ducts),
            ends: Lanewise::from_one(&one.ends),
            volumes: Lanewise::from_one(&one.volumes),
            streams: Lanewise::from_one(&one.streams),
            volume_walls: Lanewise::from_one(&one.volume_walls),
            openings: Lanewise::from_one(&one.openings),
            cylinders: Lanewise::from_one(&one.cylinders),
            constants: Lanewise::from_one(&one.constants),
            tallies: Lanewise::from_one(&one.tallies),
            dose: Lanewise::from_one(&one.dose),
        }
    }

    fn one(&self, lane: usize) -> Engine<f64> {
        Engine {
            dt: self.dt.get(lane),
            beat: 0,
            clocks: vec![self.clocks[lane].clone()],
            scratch: Scratch::default(),
            passings: Vec::new(),
            volume_states: self.volume_states.one(lane),
            axis_states: self.axis_states.one(lane),
            volume_forces: vec![0.0; self.volumes.len()],
            volume_flows: self.volume_flows.one(lane),
            cylinder_steps: vec![CylinderStep::zero(); self.cylinders.len()],
            cylinder_states: self.cylinder_states.one(lane),
            cylinder_fluxes: self.cylinder_fluxes.one(lane),
            gases: self.gases.one(lane),
            ambient: self.ambient.one(lane),
            cell: self.cell.one(lane),
            ducts: self.ducts.one(lane),
            ends: self.ends.one(lane),
            volumes: self.volumes.one(lane),
            streams: self.streams.one(lane),
            volume_walls: self.volume_walls.one(lane),
            openings: self.openings.one(lane),
            cylinders: self.cylinders.one(lane),
            constants: self.constants.one(lane),
            tallies: self.tallies.one(lane),
            dose: self.dose.one(lane),
        }
    }

    fn set_one(&mut self, lane: usize, one: &Engine<f64>) {
        self.dt.set(lane, one.dt);
        self.clocks[lane] = one.clocks[0].clone();
        self.gases.set_one(lane, &one.gases);
        self.ambient.set_one(lane, &one.ambient);
        self.cell.set_one(lane, &one.cell);
        self.ducts.set_one(lane, &one.ducts);
        self.ends.set_one(lane, &one.ends);
        self.volumes.set_one(lane, &one.volumes);
        self.streams.set_one(lane, &one.streams);
        self.volume_walls.set_one(lane, &one.volume_walls);
        self.openings.set_one(lane, &one.openings);
        self.cylinders.set_one(lane, &one.cylinders);
        self.constants.set_one(lane, &one.constants);
        self.tallies.set_one(lane, &one.tallies);
        self.dose.set_one(lane, &one.dose);
    }
}
