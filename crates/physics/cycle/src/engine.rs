//! The running engine in lock-step lanes, and the one loop that advances it by a cycle.
//!
//! Every step has two phases: all ends take their flux from the states of their two sides half
//! way through the step; then ducts, volumes and cylinders take in what has passed their ends.
//! Ends stand in one flat list; volumes gather their flows in the order of that list.

use crate::close::Closer;
use crate::gas_exchange::{CylinderConstants, CylinderGas, FuelDose, Step, Tally};
use crate::table::CylinderTable;
use crate::{BURNED, FUEL, SCALARS};
use shortblock_flow::{
    Duct, End, EndFlux, Flow, GasSet, Opening, Reservoir, Scratch, Volume, end_flux, orifice,
    wall_flux,
};
use shortblock_lanes::Lane;

/// Steps between two exchanges of heat with the walls of the ducts.
const HEAT_EVERY: usize = 4;

/// What an end opens into, resolved to indices.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Joint {
    Ambient,
    Volume(usize),
    /// Cylinder and side (0 intake, 1 exhaust).
    Valve(usize, usize),
    Closed,
}

/// One end of one duct.
#[derive(Clone, Copy, Debug)]
pub(crate) struct EndSlot<V> {
    pub duct: usize,
    pub end: End,
    pub joint: Joint,
    /// Free area, m²; at a valve the share of the side's effective area.
    pub area: V,
    pub entry_loss: V,
    pub flux: EndFlux<V, SCALARS>,
}

/// An opening between two volumes or a volume and the air around.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OpeningSlot<V> {
    pub from: Joint,
    pub to: Joint,
    pub area: V,
    /// Fuel that evaporates into the air that passes.
    pub dose: FuelDose<V>,
}

/// Everything that changes while the engine turns, and the tables it turns by.
pub(crate) struct Engine<V> {
    pub dt: V,
    pub steps: usize,
    pub gases: GasSet<V, SCALARS>,
    pub ambient: Reservoir<V, SCALARS>,
    pub ducts: Vec<Duct<V, SCALARS>>,
    pub ends: Vec<EndSlot<V>>,
    pub volumes: Vec<Volume<V, SCALARS>>,
    /// Heat conductance (W/K) and temperature (K) of each volume's walls.
    pub volume_walls: Vec<[V; 2]>,
    pub openings: Vec<OpeningSlot<V>>,
    pub cylinders: Vec<CylinderGas<V>>,
    pub constants: Vec<CylinderConstants<V>>,
    pub tables: Vec<CylinderTable<V>>,
    pub tallies: Vec<Tally<V>>,
    pub dose: FuelDose<V>,
    pub scratch: Scratch<V, SCALARS>,
    pub volume_states: Vec<Reservoir<V, SCALARS>>,
    pub volume_flows: Vec<Flow<V, SCALARS>>,
    pub cylinder_states: Vec<Reservoir<V, SCALARS>>,
    pub cylinder_fluxes: Vec<[EndFlux<V, SCALARS>; 2]>,
}

/// Advances the engine by one cycle of the crank.
#[inline(always)]
pub(crate) fn advance_cycle<V: Lane>(engine: &mut Engine<V>, closer: &mut Closer) {
    engine.start_tallies();
    for step in 0..engine.steps {
        engine.advance(step, closer);
    }
}

impl<V: Lane> Engine<V> {
    #[inline(always)]
    pub fn start_tallies(&mut self) {
        for tally in &mut self.tallies {
            *tally = Tally::zero();
        }
    }

    /// Advances the engine by one step of its cycle.
    #[inline(always)]
    pub fn advance(&mut self, step: usize, closer: &mut Closer) {
        self.look_ahead(step);
        self.take_fluxes(step);
        self.take_openings();
        self.sweep(step);
        self.fill_volumes();
        self.fill_cylinders(step, closer);
    }

    /// States of volumes and cylinders half way through the step.
    #[inline(always)]
    fn look_ahead(&mut self, step: usize) {
        for (i, volume) in self.volumes.iter_mut().enumerate() {
            let size = volume.volume;
            self.volume_states[i] = volume.reservoir_at_half(&self.gases, self.dt, size);
            self.volume_flows[i] = Flow::zero();
        }
        for (i, table) in self.tables.iter().enumerate() {
            if table.any_open[step] {
                let half = table.volume_half[step];
                self.cylinder_states[i] =
                    self.cylinders[i].gas.reservoir_at_half(&self.gases, self.dt, half);
                self.cylinder_fluxes[i] = [no_flux(self.cylinder_states[i].p); 2];
            }
        }
    }

    #[inline(always)]
    fn take_fluxes(&mut self, step: usize) {
        for slot in &mut self.ends {
            let state = self.ducts[slot.duct].end_state(&self.gases, slot.end, self.dt);
            let (node, area) = match slot.joint {
                Joint::Ambient => (&self.ambient, slot.area),
                Joint::Volume(v) => (&self.volume_states[v], slot.area),
                Joint::Valve(c, side) if self.tables[c].any_open[step] => {
                    (&self.cylinder_states[c], slot.area * self.tables[c].area[side][step])
                }
                Joint::Valve(..) | Joint::Closed => {
                    slot.flux = wall_flux(&state);
                    continue;
                }
            };
            let opening =
                Opening { inflow_area: area, outflow_area: area, entry_loss: slot.entry_loss };
            slot.flux = end_flux(&self.gases, node, &state, &opening, slot.flux.u);
            match slot.joint {
                Joint::Volume(v) => self.volume_flows[v] += -slot.flux.flow(),
                Joint::Valve(c, side) => add(&mut self.cylinder_fluxes[c][side], &slot.flux),
                Joint::Ambient | Joint::Closed => {}
            }
        }
    }

    #[inline(always)]
    fn take_openings(&mut self) {
        let zero = V::splat(0.0);
        for slot in &self.openings {
            let state = |joint| match joint {
                Joint::Volume(v) => &self.volume_states[v],
                _ => &self.ambient,
            };
            let (from, to) = (state(slot.from), state(slot.to));
            let mut flow = orifice(from, to, slot.area);
            if let Joint::Volume(v) = slot.from {
                self.volume_flows[v] += -flow;
            }
            let air = (flow.mass - flow.scalars[FUEL] - flow.scalars[BURNED]).max(zero);
            let dose = slot.dose.vapour_per_air * air;
            flow.mass += dose;
            flow.scalars[FUEL] += dose;
            flow.energy += dose * slot.dose.enthalpy;
            if let Joint::Volume(v) = slot.to {
                self.volume_flows[v] += flow;
            }
        }
    }

    #[inline(always)]
    fn sweep(&mut self, step: usize) {
        let heat_now = step % HEAT_EVERY == HEAT_EVERY - 1;
        for (i, duct) in self.ducts.iter_mut().enumerate() {
            let (left, right) = (&self.ends[2 * i].flux, &self.ends[2 * i + 1].flux);
            duct.sweep(&self.gases, self.dt, left, right, &mut self.scratch);
            if heat_now {
                duct.exchange_heat(&self.gases, self.dt * V::splat(HEAT_EVERY as f64));
            }
        }
    }

    #[inline(always)]
    fn fill_volumes(&mut self) {
        for (i, volume) in self.volumes.iter_mut().enumerate() {
            let [conductance, wall] = self.volume_walls[i];
            let state = &self.volume_states[i];
            let flow = &mut self.volume_flows[i];
            flow.energy += conductance * (wall - state.t);
            let size = volume.volume;
            volume.apply(flow, self.dt, state.p, size);
        }
    }

    #[inline(always)]
    fn fill_cylinders(&mut self, step: usize, closer: &mut Closer) {
        for c in 0..self.cylinders.len() {
            let table = &self.tables[c];
            if !table.any_open[step] {
                continue;
            }
            let now = Step {
                dt: self.dt,
                volume: table.volume[step],
                volume_half: table.volume_half[step],
                volume_next: table.volume[step + 1],
                open: table.open[step],
                pumping: table.pumping[step],
                area: [table.area[0][step], table.area[1][step]],
                flux: self.cylinder_fluxes[c],
                constants: &self.constants[c],
                dose: self.dose,
            };
            let half = &self.cylinder_states[c];
            self.cylinders[c].advance(half, &now, &mut self.tallies[c]);
            for lane in 0..V::WIDTH {
                if table.closed[lane].last_open_step == step {
                    let volume = table.volume[step + 1].get(lane);
                    let span = &table.closed[lane];
                    closer.close(c, lane, span, volume, &self.gases, &mut self.cylinders[c]);
                }
            }
        }
    }
}

#[inline(always)]
fn no_flux<V: Lane>(p: V) -> EndFlux<V, SCALARS> {
    let zero = V::splat(0.0);
    EndFlux { mass: zero, p, u: zero, energy: zero, scalars: [zero; SCALARS] }
}

/// Adds the flows of a second duct at the same valves; pressure is the last one's.
#[inline(always)]
fn add<V: Lane>(sum: &mut EndFlux<V, SCALARS>, flux: &EndFlux<V, SCALARS>) {
    sum.mass += flux.mass;
    sum.energy += flux.energy;
    for s in 0..SCALARS {
        sum.scalars[s] += flux.scalars[s];
    }
    sum.p = flux.p;
    sum.u = flux.u;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{LaneCase, LaneGases};
    use crate::designs;
    use crate::mesh::{CellLength, Mesh};
    use crate::network::Node;
    use shortblock_gas::DuctGas;
    use shortblock_lanes::Lanes;

    /// An engine that breathes into blind pipes and burns nothing neither gains nor loses gas.
    #[test]
    fn an_engine_shut_off_from_the_air_keeps_its_gas_to_rounding() {
        let mut network = designs::v8();
        network.charge_cooling = 0.0;
        network.openings.clear();
        for duct in &mut network.ducts {
            for end in [&mut duct.left, &mut duct.right] {
                if end.node == Node::Ambient {
                    end.node = Node::Closed;
                }
            }
        }
        let demand = designs::demand(4000.0);
        let gases = LaneGases {
            air: DuctGas::air(&network.air),
            fuel: DuctGas::fuel_vapour(&network.fuel),
            burned: DuctGas::burned(&network.fuel, 1.0, &network.air).unwrap(),
        };
        let case =
            LaneCase { network: &network, demand: &demand, gases: &gases, fuel_per_air: 0.0 };
        let mesh = Mesh::of(&network, CellLength::COARSE);
        let steps = mesh.steps_per_cycle(demand.speed);
        let mut engine: Engine<Lanes<f64, 2, false>> =
            Engine::new(&[case.clone(), case], &mesh, steps).unwrap();
        let mut closer =
            Closer { lanes: Vec::new(), searching: false, trace: false, step_deg: 0.0 };
        let before = held(&engine);
        for _ in 0..3 {
            advance_cycle(&mut engine, &mut closer);
        }
        for (a, b) in before.iter().zip(held(&engine)) {
            assert!((b / a - 1.0).abs() < 1e-12, "{a} {b}");
        }
    }

    /// Mass of all gas and of burned gas, kg.
    fn held<V: Lane>(engine: &Engine<V>) -> [f64; 2] {
        let mut sum = [V::splat(0.0); 2];
        for duct in &engine.ducts {
            let totals = duct.totals();
            sum[0] += totals.mass;
            sum[1] += totals.scalars[BURNED];
        }
        let volumes = engine.volumes.iter().chain(engine.cylinders.iter().map(|c| &c.gas));
        for volume in volumes {
            sum[0] += volume.mass;
            sum[1] += volume.scalars[BURNED];
        }
        sum.map(|x| x.get(0))
    }
}
