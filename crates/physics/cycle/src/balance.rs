//! First law over a cycle of the whole engine (tests only).

use crate::build::LaneGases;
use crate::close::Closer;
use crate::designs;
use crate::ends::Joint;
use crate::engine::Engine;
use crate::gas_exchange::CylinderGas;
use crate::mesh::{CellLength, Mesh};
use crate::network::Network;
use crate::point::Demand;
use crate::prepare::prepare;
use crate::run::{Job, Serial, Unwatched, turned};
use crate::stage::Underway;
use crate::{BURNED, FUEL, Settings};
use shortblock_cylinder::closed::{ClosedResult, SparkDemand};

/// A four whose pipes are tight to heat, so that only cylinders lose any; fuel goes in as the valves
/// close.
fn engine() -> Network {
    let mut network = designs::four();
    network.charge_cooling = 0.0;
    network.ducts.iter_mut().for_each(|duct| duct.heat_factor = 0.0);
    network
}

/// What went through the borders of the engine in one cycle, J.
#[derive(Debug, Default)]
struct Borders {
    /// Sensible energy held at the end less that at the start.
    gained: f64,
    /// Sensible enthalpy in through all ends that open into the air.
    inflow: f64,
    /// Energy of formation that went the same way.
    formation: f64,
    /// Work on the pistons and heat to the walls while valves are open.
    open: [f64; 2],
    /// Work, heat and absolute enthalpy past the rings in the closed parts, as they are reported.
    closed: [f64; 3],
    /// Change of sensible energy over the closed parts.
    jump: f64,
    /// Absolute energy of the fuel that is put in as the valves close, as vapour, less the latent
    /// heat that the charge gives.
    fuel: f64,
    /// The same fuel's lower heating value.
    heating_value: f64,
}

fn held(engine: &Engine<f64>) -> f64 {
    let ducts: f64 = engine.ducts.iter().map(|duct| duct.totals().energy).sum();
    let volumes: f64 = engine.volumes.iter().map(|v| v.energy).sum();
    ducts + volumes + engine.cylinders.iter().map(|c| c.gas.energy).sum::<f64>()
}

/// One cycle after `cycles` that led there.
fn cycle(network: &Network, demand: &Demand, cycles: usize) -> Borders {
    let mesh = Mesh::of(network, CellLength::COARSE);
    let job = Job { network, mesh: &mesh, demand };
    let ready = prepare(std::slice::from_ref(&job)).remove(0).unwrap();
    let settings = Settings { tolerance: 0.0, most_cycles: cycles, ..Settings::usual() };
    let underway = vec![Underway::new(0, &job, &ready)];
    let Underway { engine, closer: mut lane, .. } =
        turned(std::slice::from_ref(&job), underway, &settings, &Serial, &Unwatched).remove(0);
    let mut engine = engine.unwrap();
    lane.settled = true;
    let mut closer =
        Closer { lanes: vec![Some(lane)], trace: false, step_deg: 0.0, waiting: Vec::new() };
    let mut sum = Borders { gained: -held(&engine), ..Borders::default() };
    engine.begin_cycle(0);
    for step in 0..engine.clocks[0].steps() {
        engine.advance(&mut closer);
        sum.add_ends(&engine, &ready.gases);
        let before: Vec<[f64; 2]> = engine.cylinders.iter().map(contents).collect();
        closer.work_out(usize::MAX, &mut engine.cylinders);
        for (c, table) in engine.clocks[0].tables.iter().enumerate() {
            if table.closed.last_open_step != step {
                continue;
            }
            let [mass, energy] = contents(&engine.cylinders[c]);
            sum.jump += energy - before[c][1];
            let last = &closer.lanes[0].as_ref().unwrap().last[c].as_ref().unwrap().result;
            let fuel = mass + last.blow_by_mass - before[c][0];
            sum.add_closed(last, fuel * ready.gases.fuel.u(engine.cylinder_states[c].t));
            sum.heating_value += fuel * network.fuel.lower_heating_value();
        }
    }
    for tally in &engine.tallies {
        sum.open[0] += tally.gross_work + tally.pumping_work;
        sum.open[1] += tally.heat.iter().sum::<f64>();
    }
    sum.gained += held(&engine);
    sum
}

impl Borders {
    /// What a step brought through the ends that open into the air.
    fn add_ends(&mut self, engine: &Engine<f64>, gases: &LaneGases) {
        for slot in engine.ends.iter().filter(|slot| slot.joint == Joint::Ambient) {
            let flux = &slot.flux;
            let [fuel, burned] = [flux.scalars[FUEL], flux.scalars[BURNED]];
            self.inflow += flux.energy * engine.dt;
            self.formation += engine.dt
                * ((flux.mass - fuel - burned) * gases.air.c[0]
                    + fuel * gases.fuel.c[0]
                    + burned * gases.burned.c[0]);
        }
    }

    /// `vapour` is the absolute energy of the fuel's vapour, J.
    fn add_closed(&mut self, r: &ClosedResult, vapour: f64) {
        self.closed[0] += r.work;
        self.closed[1] += r.heat_head + r.heat_piston + r.heat_liner;
        self.closed[2] += r.blow_by_enthalpy;
        self.fuel += vapour - r.latent_heat;
    }
}

/// Mass (kg) and sensible energy (J).
fn contents(cylinder: &CylinderGas<f64>) -> [f64; 2] {
    [cylinder.gas.mass, cylinder.gas.energy]
}

/// Fired, and motored by a spark that comes as the exhaust opens: what goes in comes out.
///
/// While valves are open the ledger closes to rounding. Over the whole engine the hand-over between
/// the gas of the ducts and that of the closed part adds the difference of their properties: ducts
/// are fitted to 0.1 % of the sensible energy, of which the charge carries less than half of the fuel's
/// heating value.
#[test]
fn the_first_law_holds_over_a_cycle_fired_and_motored() {
    for spark_deg in [-25.0f64, 100.0] {
        let spark = SparkDemand::Fixed(spark_deg.to_radians());
        let demand = Demand { spark, ..designs::demand(6000.0) };
        let b = cycle(&engine(), &demand, 12);
        let spent: f64 = b.open.iter().sum();
        let ledger = b.gained - (b.inflow + b.jump - spent);
        assert!(ledger.abs() < 1e-12 * b.heating_value, "{spark_deg}: {ledger} {b:?}");
        assert!(b.gained.abs() < 1e-3 * b.heating_value, "{spark_deg}: does not repeat {b:?}");
        let whole = b.inflow + b.formation + b.fuel - spent - b.closed.iter().sum::<f64>();
        assert!(whole.abs() < 5e-4 * b.heating_value, "{spark_deg}: {whole} {b:?}");
        let motored = spark_deg > 0.0;
        assert_eq!(b.closed[0] + b.open[0] < 0.0, motored, "{b:?}");
    }
}
