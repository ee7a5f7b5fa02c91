//! The running engine in lanes: what changes while it turns. [`step`] turns it, [`lanes`] fills its
//! lanes and takes them out.
//!
//! A lane is one point: it turns by its own steps through its own cycle, and may be filled with
//! another point at the end of any of its cycles. Ends stand in one flat list; volumes gather their
//! flows in the order of that list.

mod lanes;
pub(crate) mod step;

use crate::SCALARS;
use crate::ends::{EndSlot, Joint};
use crate::gas_exchange::{CylinderConstants, CylinderGas, FuelDose, Tally};
use crate::table::CylinderTable;
use shortblock_flow::{Duct, EndFlux, Flow, GasSet, Passing, Reservoir, Scratch, Stream, Volume};
use shortblock_lanes::{Lane, lanewise};
use std::sync::Arc;

/// Steps between two exchanges of heat with the walls of the ducts. Cycles have a multiple of it,
/// so that all lanes exchange in the same steps.
pub(crate) const HEAT_EVERY: usize = 4;

/// How far a lane has come in its cycle.
#[derive(Clone, Debug)]
pub(crate) struct Clock {
    pub tables: Arc<Vec<CylinderTable>>,
    /// The next step.
    pub step: usize,
}

impl Clock {
    /// Steps of the whole cycle.
    pub fn steps(&self) -> usize {
        self.tables[0].rows.len() - 1
    }
}

/// One cylinder in the present step: the rows of its tables, lane beside lane.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CylinderStep<V> {
    pub volume: V,
    pub volume_half: V,
    pub volume_next: V,
    pub area: [V; 2],
    pub open: V,
    pub pumping: V,
    /// Whether the gas exchange is on in any lane.
    pub any_open: bool,
    /// Whether the valves of a side are open in any lane.
    pub any_area: [bool; 2],
}

impl<V: Lane> CylinderStep<V> {
    pub fn zero() -> Self {
        let zero = V::splat(0.0);
        Self {
            volume: zero,
            volume_half: zero,
            volume_next: zero,
            area: [zero; 2],
            open: zero,
            pumping: zero,
            any_open: false,
            any_area: [false; 2],
        }
    }
}

/// An opening between two volumes or a volume and the air around.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OpeningSlot<V> {
    pub from: Joint,
    pub to: Joint,
    pub area: V,
    /// Fuel that evaporates into the air that passes.
    pub dose: FuelDose<V>,
    /// Mass flow of the last step without it, kg/s.
    pub last: V,
}

lanewise!(OpeningSlot { area, dose, last } same { from, to });

/// Everything that changes while the engine turns, and the tables it turns by.
pub(crate) struct Engine<V> {
    pub dt: V,
    /// Steps since the engine was put together.
    pub beat: usize,
    /// One for each lane.
    pub clocks: Vec<Clock>,
    pub gases: GasSet<V, SCALARS>,
    pub ambient: Reservoir<V, SCALARS>,
    pub cell: Reservoir<V, SCALARS>,
    pub ducts: Vec<Duct<V, SCALARS>>,
    pub ends: Vec<EndSlot<V>>,
    /// Ends that are open in this step, by their place in `ends`.
    pub passings: Vec<(usize, Passing<V, SCALARS>)>,
    pub volumes: Vec<Volume<V, SCALARS>>,
    /// One for each volume.
    pub streams: Vec<Stream<V>>,
    /// Heat conductance (W/K) and temperature (K) of each volume's walls.
    pub volume_walls: Vec<[V; 2]>,
    pub openings: Vec<OpeningSlot<V>>,
    pub cylinders: Vec<CylinderGas<V>>,
    pub constants: Vec<CylinderConstants<V>>,
    pub tallies: Vec<Tally<V>>,
    pub dose: FuelDose<V>,
    pub scratch: Scratch<V, SCALARS>,
    pub volume_states: Vec<Reservoir<V, SCALARS>>,
    /// What the pipes on the axes of the volumes draw on, and the forces on their streams, N.
    pub axis_states: Vec<Reservoir<V, SCALARS>>,
    pub volume_forces: Vec<V>,
    pub volume_flows: Vec<Flow<V, SCALARS>>,
    pub cylinder_steps: Vec<CylinderStep<V>>,
    pub cylinder_states: Vec<Reservoir<V, SCALARS>>,
    pub cylinder_fluxes: Vec<[EndFlux<V, SCALARS>; 2]>,
}
