//! The one loop that advances the engine.
//!
//! Every step has two phases: all ends take their flux from the states of their two sides half
//! way through the step; then ducts, volumes and cylinders take in what has passed their ends.

use super::{Engine, HEAT_EVERY};
use crate::close::{Closer, Place};
use crate::ends::Joint;
use crate::gas_exchange::Step;
use crate::level::Dispatch;
use crate::{BURNED, FUEL, SCALARS};
use shortblock_flow::{EndFlux, Flow, Reservoir, Stream, Yielding, yielding_orifice};
use shortblock_lanes::Lane;

/// How much of a step's change of flow an opening between volumes feels at once. Small volumes swing
/// least at this one: the change left over is 0.58 of the one before (linear analysis, own).
const YIELDING: f64 = 0.75;

/// Advances the engine by a number of steps. Afterwards no closed part waits in a lane whose cycle
/// has ended.
#[inline(always)]
pub(crate) fn advance<V: Dispatch>(engine: &mut Engine<V>, closer: &mut Closer, steps: usize) {
    for _ in 0..steps {
        engine.advance(closer);
    }
    engine.work_out_due(closer);
}

impl<V: Dispatch> Engine<V> {
    /// Advances every lane by one step of its cycle.
    #[inline(always)]
    pub fn advance(&mut self, closer: &mut Closer) {
        self.work_out_due(closer);
        self.read_tables();
        self.look_ahead();
        self.take_fluxes();
        self.take_openings();
        self.sweep();
        self.fill_volumes();
        self.fill_cylinders(closer);
        self.beat += 1;
        for clock in &mut self.clocks {
            clock.step = if clock.step + 1 == clock.steps() { 0 } else { clock.step + 1 };
        }
    }

    #[inline(always)]
    fn work_out_due(&mut self, closer: &mut Closer) {
        if closer.is_due(self.beat) {
            closer.work_out(self.beat, &mut self.cylinders);
        }
    }

    #[inline(always)]
    fn read_tables(&mut self) {
        for (lane, clock) in self.clocks.iter().enumerate() {
            for (now, table) in self.cylinder_steps.iter_mut().zip(clock.tables.iter()) {
                let (row, next) = (&table.rows[clock.step], &table.rows[clock.step + 1]);
                now.volume.set(lane, row.volume);
                now.volume_half.set(lane, row.volume_half);
                now.volume_next.set(lane, next.volume);
                now.area[0].set(lane, row.area[0]);
                now.area[1].set(lane, row.area[1]);
                now.open.set(lane, row.open);
                now.pumping.set(lane, row.pumping);
                now.any_open = row.open > 0.0 || (lane > 0 && now.any_open);
                for (any, area) in now.any_area.iter_mut().zip(row.area) {
                    *any = area > 0.0 || (lane > 0 && *any);
                }
            }
        }
    }

    /// States of volumes and cylinders half way through the step.
    #[inline(always)]
    fn look_ahead(&mut self) {
        for (i, volume) in self.volumes.iter_mut().enumerate() {
            let (speed, mut still) = self.streams[i].at_half(volume, self.dt);
            let state = still.reservoir_at_half(&self.gases, self.dt, volume.volume);
            volume.floors = still.floors;
            self.axis_states[i] = Stream::stagnation(&state, speed);
            self.volume_states[i] = state;
            self.volume_flows[i] = Flow::zero();
            self.volume_forces[i] = V::splat(0.0);
        }
        for (i, now) in self.cylinder_steps.iter().enumerate() {
            if now.any_open {
                let gas = &mut self.cylinders[i].gas;
                let floors = gas.floors;
                self.cylinder_states[i] =
                    gas.reservoir_at_half(&self.gases, self.dt, now.volume_half);
                // A lane whose valves are shut is not looked at.
                gas.floors = V::select_lt(V::splat(0.0), now.open, gas.floors, floors);
                self.cylinder_fluxes[i] = [no_flux(self.cylinder_states[i].p); 2];
            }
        }
    }

    #[inline(always)]
    fn take_openings(&mut self) {
        let zero = V::splat(0.0);
        for slot in &mut self.openings {
            let state = |joint| match joint {
                Joint::Volume(v) | Joint::Axis(v) => &self.volume_states[v],
                Joint::Cell => &self.cell,
                _ => &self.ambient,
            };
            let (from, to) = (state(slot.from), state(slot.to));
            // Rise of pressure for each kg taken up.
            let stiffness = |joint, state: &Reservoir<V, SCALARS>| match joint {
                Joint::Volume(v) | Joint::Axis(v) => {
                    state.gamma * state.r * state.t / self.volumes[v].volume
                }
                _ => zero,
            };
            let slope = stiffness(slot.from, from) + stiffness(slot.to, to);
            let slope = V::splat(YIELDING) * self.dt * slope;
            let yielding = Yielding { slope, last: slot.last };
            let mut flow = yielding_orifice(from, to, slot.area, &yielding);
            slot.last = flow.mass;
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
    fn sweep(&mut self) {
        let heat_now = self.clocks[0].step % HEAT_EVERY == HEAT_EVERY - 1;
        for (i, duct) in self.ducts.iter_mut().enumerate() {
            let (left, right) = (&self.ends[2 * i].flux, &self.ends[2 * i + 1].flux);
            if heat_now {
                duct.take_heat(self.dt * V::splat(HEAT_EVERY as f64));
            }
            duct.sweep(&self.gases, self.dt, left, right, &mut self.scratch);
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
            self.streams[i].apply(self.volume_forces[i], self.dt, volume);
        }
    }

    #[inline(always)]
    fn fill_cylinders(&mut self, closer: &mut Closer) {
        for c in 0..self.cylinders.len() {
            let now = &self.cylinder_steps[c];
            if !now.any_open {
                continue;
            }
            let step = Step {
                dt: self.dt,
                now,
                flux: self.cylinder_fluxes[c],
                constants: &self.constants[c],
                dose: self.dose,
            };
            let half = &self.cylinder_states[c];
            self.cylinders[c].advance(half, &step, &mut self.tallies[c]);
            for (lane, clock) in self.clocks.iter().enumerate() {
                let table = &clock.tables[c];
                if table.closed.last_open_step == clock.step {
                    let volume = table.rows[clock.step + 1].volume;
                    let left = clock.steps() - 1 - clock.step;
                    let due = self.beat + table.closed.steps.min(left) + 1;
                    let place = Place { cylinder: c, lane, span: table.closed, due };
                    closer.close(place, volume, &self.gases, &self.cylinders[c]);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Case, LaneGases};
    use crate::designs;
    use crate::mesh::{CellLength, Mesh};
    use crate::network::{Network, Node};
    use shortblock_gas::DuctGas;
    use shortblock_lanes::{Lanes, Lanewise};

    /// The V8 with blind pipes, its intake plenum and collectors, without a carburettor.
    fn shut_off() -> (Network, LaneGases) {
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
        let gases = LaneGases {
            air: DuctGas::air(&network.air),
            fuel: DuctGas::fuel_vapour(&network.fuel),
            burned: DuctGas::burned(&network.fuel, 1.0, &network.air).unwrap(),
        };
        (network, gases)
    }

    /// Largest relative drift of the masses of all gas and of burned gas over so many cycles.
    fn drift<V: Dispatch>(cycles: usize) -> f64 {
        let (network, gases) = shut_off();
        let demand = designs::demand(4000.0);
        let case = Case { network: &network, demand: &demand, gases: &gases, fuel_per_air: 0.0 };
        let mesh = Mesh::of(&network, CellLength::COARSE);
        let steps = mesh.steps_per_cycle(demand.speed);
        let one = Engine::new(&case, &mesh, steps).unwrap();
        let mut engine: Engine<V> = Lanewise::from_one(&one);
        let mut closer =
            Closer { lanes: Vec::new(), trace: false, step_deg: 0.0, waiting: Vec::new() };
        let before = held(&engine);
        advance(&mut engine, &mut closer, cycles * steps);
        before.iter().zip(held(&engine)).map(|(a, b)| (b / a - 1.0).abs()).fold(0.0, f64::max)
    }

    /// An engine that breathes into blind pipes and burns nothing neither gains nor loses gas.
    #[test]
    fn an_engine_shut_off_from_the_air_keeps_its_gas_to_rounding() {
        let drift = drift::<Lanes<f64, 2, false>>(3);
        assert!(drift < 1e-12, "{drift:e}");
    }

    /// In 32 bits, over more cycles than a point takes (measured: 5e-7): far below the thousandth to
    /// which cycles repeat, so that volumes need no wider numbers than their pipes.
    #[test]
    fn the_same_in_narrow_numbers_drifts_less_than_anyone_sees() {
        let drift = drift::<Lanes<f32, 4, false>>(40);
        assert!(drift < 5e-6, "{drift:e}");
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
