//! Builds the running engine of one point; a batch has one in each lane.

use crate::ends::{EndSlot, Joint};
use crate::engine::{Clock, CylinderStep, Engine, OpeningSlot};
use crate::gas_exchange::{CylinderConstants, CylinderGas, FuelDose, Tally, WALL_HEAT};
use crate::mesh::Mesh;
use crate::network::{CylinderSpec, DuctSpec, Network, Node, OpeningSpec, Side, VolumeSpec};
use crate::point::Demand;
use crate::table::{CYCLE, CylinderTable, Turns, after_firing};
use crate::vapour::{self, Saturation};
use crate::{CycleError, SCALARS};
use shortblock_cylinder::woschni;
use shortblock_flow::{
    Duct, DuctGeometry, End, EndFlux, Flow, Gas, GasSet, Reservoir, Scratch, Stream, Volume,
};
use shortblock_gas::DuctGas;
use std::sync::Arc;

/// Gases of one lane as the ducts see them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct LaneGases {
    pub air: DuctGas,
    pub fuel: DuctGas,
    pub burned: DuctGas,
}

/// What the engine of one point is built from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Case<'a> {
    pub network: &'a Network,
    pub demand: &'a Demand,
    pub gases: &'a LaneGases,
    pub fuel_per_air: f64,
}

/// Temperature at which ducts and volumes with exhaust gas start, K. Own choice: the cycle
/// forgets it.
const HOT_START: f64 = 900.0;
/// Temperature at which cylinders start, K.
const CYLINDER_START: f64 = 1000.0;
/// The same for a cylinder on its intake stroke, K.
const FRESH_START: f64 = 350.0;
/// Share of burned gas in it.
const FRESH_START_RESIDUAL: f64 = 0.05;
/// Sub-samples of the area around each cell face.
const AREA_SAMPLES: usize = 8;

impl Engine<f64> {
    /// The engine at rest, filled with air and exhaust gas.
    pub fn new(case: &Case, mesh: &Mesh, steps: usize) -> Result<Self, CycleError> {
        let network = case.network;
        let gases = gas_set(case.gases);
        let (ambient_p, ambient_t) = (network.ambient_pressure, network.ambient_temperature);
        let (fresh, burned) = ([0.0; SCALARS], [0.0, 1.0]);
        let filling = |hot: bool| if hot { (HOT_START, burned) } else { (ambient_t, fresh) };

        let mut ducts = Vec::new();
        let mut ends = Vec::new();
        for (i, spec) in network.ducts.iter().enumerate() {
            let mut duct = duct(&gases, spec, mesh.cells[i])?;
            let (t, y) = filling(spec.hot);
            duct.fill(&gases, ambient_p, 0.0, t, &y);
            for end in [End::Left, End::Right] {
                ends.push(end_slot(spec, i, end, duct.end_area(end), ambient_p));
            }
            ducts.push(duct);
        }
        let volumes: Vec<_> = (network.volumes.iter())
            .map(|spec| {
                let (t, y) = filling(spec.hot);
                Volume::new(&gases, spec.volume, ambient_p, t, &y)
            })
            .collect();
        let walls = |spec: &VolumeSpec| [spec.heat_conductance, spec.wall_temperature];
        let opening = |spec: &OpeningSpec| OpeningSlot {
            from: joint(spec.from),
            to: joint(spec.to),
            area: spec.effective_area,
            dose: mixed_dose(case, spec.fuel_vapour_share),
            last: 0.0,
        };
        let turns = Turns::new(steps);
        let mut tables = Vec::new();
        let mut cylinders = Vec::new();
        for (i, spec) in network.cylinders.iter().enumerate() {
            let table = CylinderTable::new(spec, &turns)
                .map_err(|_| CycleError::NeverClosed { cylinder: i + 1 })?;
            // A cylinder that closes before it has drawn starts with fresh gas.
            let drawing = after_firing(-spec.phase) < table.closed.theta_closing;
            let (t, residual) =
                if drawing { (FRESH_START, FRESH_START_RESIDUAL) } else { (CYLINDER_START, 1.0) };
            let volume = table.rows[0].volume;
            cylinders.push(CylinderGas::still(&gases, ambient_p, t, &[0.0, residual], volume));
            tables.push(table);
        }
        let ambient = Reservoir::new(&gases, ambient_p, ambient_t, &fresh);
        let cell = Reservoir::new(&gases, network.cell_pressure, ambient_t, &fresh);
        let still = EndFlux { mass: 0.0, p: ambient_p, u: 0.0, energy: 0.0, scalars: fresh };
        let count = cylinders.len();
        Ok(Self {
            dt: CYCLE / case.demand.speed / steps as f64,
            beat: 0,
            clocks: vec![Clock { tables: Arc::new(tables), step: 0 }],
            constants: network.cylinders.iter().map(|c| constants(case, c)).collect(),
            tallies: vec![Tally::zero(); count],
            dose: dose(case, network.charge_cooling),
            scratch: Scratch::new(mesh.cells.iter().copied().max().unwrap_or(0)),
            passings: Vec::new(),
            volume_states: vec![ambient; volumes.len()],
            axis_states: vec![ambient; volumes.len()],
            volume_forces: vec![0.0; volumes.len()],
            streams: (0..volumes.len()).map(|v| Stream::still(cosine(network, v))).collect(),
            volume_flows: vec![Flow::zero(); volumes.len()],
            cylinder_steps: vec![CylinderStep::zero(); count],
            cylinder_states: vec![ambient; count],
            cylinder_fluxes: vec![[still; 2]; count],
            volume_walls: network.volumes.iter().map(walls).collect(),
            openings: network.openings.iter().map(opening).collect(),
            gases,
            ambient,
            cell,
            ducts,
            ends,
            volumes,
            cylinders,
        })
    }
}

fn gas_set(gases: &LaneGases) -> GasSet<f64, SCALARS> {
    let plain = |gas: &DuctGas| Gas { r: gas.r, e: std::array::from_fn(|k| gas.c[k + 1]) };
    GasSet::new(&plain(&gases.air), &[plain(&gases.fuel), plain(&gases.burned)])
}

/// Fuel that evaporates into the air that passes an opening: `share` of it, as far as the air around
/// can hold it once it has cooled.
fn mixed_dose(case: &Case, share: f64) -> FuelDose<f64> {
    let vapour_per_air = vapour::evaporated(case, share * case.fuel_per_air);
    FuelDose { vapour_per_air, ..dose(case, share) }
}

/// Fuel that evaporates into passing air, where `share` of the fuel evaporates.
fn dose(case: &Case, share: f64) -> FuelDose<f64> {
    let fuel = &case.gases.fuel;
    let t = case.network.ambient_temperature;
    let sensible = fuel.u(t) - fuel.c[0] + fuel.r * t;
    FuelDose {
        vapour_per_air: share * case.fuel_per_air,
        enthalpy: sensible - case.network.fuel.latent_heat,
        saturation: Saturation::of(case),
    }
}

fn constants(case: &Case, cylinder: &CylinderSpec) -> CylinderConstants<f64> {
    let (combustion, mechanism) = (&case.network.combustion, &cylinder.mechanism);
    CylinderConstants {
        bore: mechanism.bore(),
        bore_area: mechanism.bore_area(),
        head_area: mechanism.bore_area() * combustion.head_area_ratio,
        clearance_volume: mechanism.clearance_volume(),
        mean_piston_speed: mechanism.mean_piston_speed(case.demand.speed),
        heat_scale: woschni::scale(WALL_HEAT, mechanism.bore()) * combustion.heat_multiplier,
        walls: [450.0; 3],
    }
}

fn joint(node: Node) -> Joint {
    match node {
        Node::Ambient => Joint::Ambient,
        Node::Cell => Joint::Cell,
        Node::Volume(i) => Joint::Volume(i),
        Node::Axis(i) => Joint::Axis(i),
        Node::Valve(c, Side::Intake) => Joint::Valve(c, 0),
        Node::Valve(c, Side::Exhaust) => Joint::Valve(c, 1),
        Node::Closed => Joint::Closed,
    }
}

/// Cosine of the merge angle of a volume that has a pipe on its axis, else 0.
fn cosine(network: &Network, volume: usize) -> f64 {
    let on_axis = |spec: &DuctSpec| [spec.left.node, spec.right.node].contains(&Node::Axis(volume));
    let passes = network.ducts.iter().any(on_axis);
    if passes { network.volumes[volume].merge_angle.cos() } else { 0.0 }
}

fn end_slot(spec: &DuctSpec, duct: usize, end: End, duct_area: f64, p: f64) -> EndSlot<f64> {
    let at = if end == End::Left { &spec.left } else { &spec.right };
    let joint = joint(at.node);
    let valve = matches!(joint, Joint::Valve(..));
    EndSlot {
        duct,
        end,
        joint,
        area: if valve { at.opening } else { at.opening * duct_area },
        face: duct_area,
        entry_loss: at.entry_loss,
        flux: EndFlux { mass: 0.0, p, u: 0.0, energy: 0.0, scalars: [0.0; SCALARS] },
    }
}

fn duct(
    gases: &GasSet<f64, SCALARS>,
    spec: &DuctSpec,
    cells: usize,
) -> Result<Duct<f64, SCALARS>, CycleError> {
    let mut duct = Duct::new(gases, &[geometry(spec, cells)])
        .map_err(|source| CycleError::Duct { name: spec.name.clone(), source })?;
    for cell in 0..cells {
        let x = (cell as f64 + 0.5) / cells as f64 * spec.length();
        duct.set_wall_temperature(cell, spec.piece_at(x).0.wall_temperature);
    }
    Ok(duct)
}

/// Face areas are means over the half cells to both sides, so that a step in the duct keeps its
/// volume on every mesh.
fn geometry(spec: &DuctSpec, cells: usize) -> DuctGeometry {
    let length = spec.length();
    let dx = length / cells as f64;
    let sample = |face: f64, i: usize| {
        let shift = (i as f64 + 0.5) / AREA_SAMPLES as f64 - 0.5;
        spec.area_at(((face + shift) * dx).clamp(0.0, length))
    };
    let area = |face: usize| match face {
        0 => spec.area_at(0.0),
        f if f == cells => spec.area_at(length),
        f => (0..AREA_SAMPLES).map(|i| sample(f as f64, i)).sum::<f64>() / AREA_SAMPLES as f64,
    };
    DuctGeometry {
        face_areas: (0..=cells).map(area).collect(),
        cell_length: dx,
        wall_temperature: spec.pieces.first().map_or(300.0, |piece| piece.wall_temperature),
        friction_factor: spec.friction_factor,
        heat_factor: spec.heat_factor,
    }
}

impl DuctSpec {
    /// The piece at a distance in m from the left end, and how far into it that is (0 to 1).
    fn piece_at(&self, x: f64) -> (&crate::network::Piece, f64) {
        let mut start = 0.0;
        for piece in &self.pieces {
            if x <= start + piece.length {
                return (piece, (x - start) / piece.length);
            }
            start += piece.length;
        }
        (&self.pieces[self.pieces.len() - 1], 1.0)
    }

    /// Area in m² at a distance in m from the left end, linear in the diameter along a piece.
    fn area_at(&self, x: f64) -> f64 {
        let (piece, along) = self.piece_at(x);
        let (a, b) = (piece.area_left.sqrt(), piece.area_right.sqrt());
        let side = a + (b - a) * along;
        side * side
    }
}
