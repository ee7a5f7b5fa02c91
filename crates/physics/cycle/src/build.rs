//! Builds the running engine of a batch: one design and speed per lane, one topology.

use crate::engine::{EndSlot, Engine, Joint, OpeningSlot};
use crate::gas_exchange::{CylinderConstants, CylinderGas, FuelDose, Tally, WALL_HEAT};
use crate::mesh::Mesh;
use crate::network::{DuctSpec, Network, Node, Side};
use crate::point::Demand;
use crate::table::{CylinderTable, after_firing};
use crate::{CycleError, SCALARS};
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_cylinder::woschni;
use shortblock_flow::{
    Duct, DuctGeometry, End, EndFlux, Flow, Gas, GasSet, Reservoir, Scratch, Volume,
};
use shortblock_gas::DuctGas;
use shortblock_lanes::Lane;

/// Gases of one lane as the ducts see them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct LaneGases {
    pub air: DuctGas,
    pub fuel: DuctGas,
    pub burned: DuctGas,
}

/// One lane of a batch.
#[derive(Clone, Debug)]
pub(crate) struct LaneCase<'a> {
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

impl<V: Lane> Engine<V> {
    /// The engine at rest, filled with air and exhaust gas. `cases` has one entry per lane.
    pub fn new(cases: &[LaneCase], mesh: &Mesh, steps: usize) -> Result<Self, CycleError> {
        let gases = gas_set(cases);
        let first = cases[0].network;
        let lane = |f: &dyn Fn(&LaneCase) -> f64| V::from_fn(|l| f(&cases[l]));
        let ambient_p = lane(&|c| c.network.ambient_pressure);
        let ambient_t = lane(&|c| c.network.ambient_temperature);
        let hot = V::splat(HOT_START);
        let zero = V::splat(0.0);
        let (fresh, burned) = ([zero; SCALARS], [zero, V::splat(1.0)]);

        let mut ducts = Vec::new();
        let mut ends = Vec::new();
        for (i, spec) in first.ducts.iter().enumerate() {
            let mut duct = duct(&gases, cases, i, mesh.cells[i])?;
            if spec.hot {
                duct.fill(&gases, ambient_p, zero, hot, &burned);
            } else {
                duct.fill(&gases, ambient_p, zero, ambient_t, &fresh);
            }
            for end in [End::Left, End::Right] {
                ends.push(end_slot(cases, i, end, duct.end_area(end), ambient_p));
            }
            ducts.push(duct);
        }
        let volumes: Vec<_> = (first.volumes.iter().enumerate())
            .map(|(i, spec)| {
                let size = lane(&|c| c.network.volumes[i].volume);
                let (t, y) = if spec.hot { (hot, burned) } else { (ambient_t, fresh) };
                Volume::new(&gases, size, ambient_p, t, &y)
            })
            .collect();
        let volume_walls = (0..volumes.len())
            .map(|i| {
                [
                    lane(&|c| c.network.volumes[i].heat_conductance),
                    lane(&|c| c.network.volumes[i].wall_temperature),
                ]
            })
            .collect();
        let openings = (first.openings.iter().enumerate())
            .map(|(i, spec)| OpeningSlot {
                from: joint(spec.from),
                to: joint(spec.to),
                area: lane(&|c| c.network.openings[i].effective_area),
                dose: dose(cases, |network| network.openings[i].fuel_vapour_share),
            })
            .collect();
        let mut tables = Vec::new();
        let mut cylinders = Vec::new();
        for i in 0..first.cylinders.len() {
            let specs: Vec<_> = cases.iter().map(|c| &c.network.cylinders[i]).collect();
            let table = CylinderTable::new(&specs, steps)
                .map_err(|_| CycleError::NeverClosed { cylinder: i + 1 })?;
            // A cylinder that closes before it has drawn starts with fresh gas.
            let drawing = |l: usize, yes: f64, no: f64| {
                let theta = after_firing(-specs[l].phase);
                if theta < table.closed[l].theta_closing { yes } else { no }
            };
            let t = V::from_fn(|l| drawing(l, FRESH_START, CYLINDER_START));
            let y = [zero, V::from_fn(|l| drawing(l, FRESH_START_RESIDUAL, 1.0))];
            cylinders.push(CylinderGas::still(&gases, ambient_p, t, &y, table.volume[0]));
            tables.push(table);
        }
        let ambient = Reservoir::new(&gases, ambient_p, ambient_t, &fresh);
        let still = EndFlux { mass: zero, p: ambient_p, u: zero, energy: zero, scalars: fresh };
        Ok(Self {
            dt: lane(&|c| crate::table::CYCLE / c.demand.speed / steps as f64),
            steps,
            constants: (0..cylinders.len()).map(|i| constants(cases, i)).collect(),
            tallies: vec![Tally::zero(); cylinders.len()],
            dose: dose(cases, |network| network.charge_cooling),
            scratch: Scratch::new(mesh.cells.iter().copied().max().unwrap_or(0)),
            volume_states: vec![ambient; volumes.len()],
            volume_flows: vec![Flow::zero(); volumes.len()],
            cylinder_states: vec![ambient; cylinders.len()],
            cylinder_fluxes: vec![[still; 2]; cylinders.len()],
            gases,
            ambient,
            ducts,
            ends,
            volumes,
            volume_walls,
            openings,
            cylinders,
            tables,
        })
    }
}

fn gas_set<V: Lane>(cases: &[LaneCase]) -> GasSet<V, SCALARS> {
    let plain = |gas: &DuctGas| Gas { r: gas.r, e: std::array::from_fn(|k| gas.c[k + 1]) };
    let of = |gases: &LaneGases| (plain(&gases.air), [plain(&gases.fuel), plain(&gases.burned)]);
    let (base, others) = of(cases[0].gases);
    let mut set = GasSet::new(&base, &others);
    for (lane, case) in cases.iter().enumerate().skip(1) {
        if !std::ptr::eq(case.gases, cases[0].gases) {
            let (base, others) = of(case.gases);
            set.set_lane(lane, &base, &others);
        }
    }
    set
}

/// Fuel that evaporates into passing air, where `share` of the fuel evaporates.
fn dose<V: Lane>(cases: &[LaneCase], share: impl Fn(&Network) -> f64) -> FuelDose<V> {
    FuelDose {
        vapour_per_air: V::from_fn(|l| share(cases[l].network) * cases[l].fuel_per_air),
        enthalpy: V::from_fn(|l| {
            let (case, vapour) = (&cases[l], &cases[l].gases.fuel);
            let t = case.network.ambient_temperature;
            let sensible = vapour.u(t) - vapour.c[0] + vapour.r * t;
            sensible - case.network.fuel.latent_heat
        }),
    }
}

fn constants<V: Lane>(cases: &[LaneCase], cylinder: usize) -> CylinderConstants<V> {
    let lane = |f: &dyn Fn(&SliderCrank, &LaneCase) -> f64| {
        V::from_fn(|l| f(&cases[l].network.cylinders[cylinder].mechanism, &cases[l]))
    };
    CylinderConstants {
        bore: lane(&|m, _| m.bore()),
        bore_area: lane(&|m, _| m.bore_area()),
        head_area: lane(&|m, c| m.bore_area() * c.network.combustion.head_area_ratio),
        clearance_volume: lane(&|m, _| m.clearance_volume()),
        mean_piston_speed: lane(&|m, c| m.mean_piston_speed(c.demand.speed)),
        heat_scale: lane(&|m, c| {
            woschni::scale(WALL_HEAT, m.bore()) * c.network.combustion.heat_multiplier
        }),
        walls: [V::splat(450.0); 3],
    }
}

fn joint(node: Node) -> Joint {
    match node {
        Node::Ambient => Joint::Ambient,
        Node::Volume(i) => Joint::Volume(i),
        Node::Valve(c, Side::Intake) => Joint::Valve(c, 0),
        Node::Valve(c, Side::Exhaust) => Joint::Valve(c, 1),
        Node::Closed => Joint::Closed,
    }
}

fn end_slot<V: Lane>(cases: &[LaneCase], duct: usize, end: End, duct_area: V, p: V) -> EndSlot<V> {
    let spec = |l: usize| {
        let duct = &cases[l].network.ducts[duct];
        if end == End::Left { duct.left } else { duct.right }
    };
    let joint = joint(spec(0).node);
    let opening = V::from_fn(|l| spec(l).opening);
    let zero = V::splat(0.0);
    EndSlot {
        duct,
        end,
        joint,
        area: if matches!(joint, Joint::Valve(..)) { opening } else { opening * duct_area },
        entry_loss: V::from_fn(|l| spec(l).entry_loss),
        flux: EndFlux { mass: zero, p, u: zero, energy: zero, scalars: [zero; SCALARS] },
    }
}

fn duct<V: Lane>(
    gases: &GasSet<V, SCALARS>,
    cases: &[LaneCase],
    index: usize,
    cells: usize,
) -> Result<Duct<V, SCALARS>, CycleError> {
    let geometry: Vec<DuctGeometry> =
        cases.iter().map(|case| geometry(&case.network.ducts[index], cells)).collect();
    let mut duct = Duct::new(gases, &geometry).map_err(|source| CycleError::Duct {
        name: cases[0].network.ducts[index].name.clone(),
        source,
    })?;
    for cell in 0..cells {
        let wall = V::from_fn(|l| {
            let spec = &cases[l].network.ducts[index];
            spec.piece_at((cell as f64 + 0.5) / cells as f64 * spec.length()).0.wall_temperature
        });
        duct.set_wall_temperature(cell, wall);
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
