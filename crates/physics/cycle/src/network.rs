//! What is simulated: cylinders, ducts, volumes and openings, as plain numbers in SI units.
//!
//! A [`Network`] is one design. Gas flows from the left end of a duct to its right end when the
//! engine draws or blows the way it should: an intake duct has its valve on the right, an
//! exhaust duct its valve on the left.

use shortblock_cylinder::closed::Crevice;
use shortblock_cylinder::flame::FlameTable;
use shortblock_cylinder::friction::{Auxiliary, Edition, FrictionParts};
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_cylinder::wall::WallNetwork;
use shortblock_gas::{Fuel, HumidAir};

/// One side of the gas exchange.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The intake valves.
    Intake,
    /// The exhaust valves.
    Exhaust,
}

/// What a duct's end opens into.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Node {
    /// The air around the engine, at rest.
    Ambient,
    /// The room or pipework that the exhaust blows into, at rest: air at [`Network::cell_pressure`].
    Cell,
    /// The volume with this index in [`Network::volumes`].
    Volume(usize),
    /// The volume with this index, along the axis of the stream through it: the one pipe that leaves
    /// where others have met. It draws on the stream's dynamic head; see [`VolumeSpec::merge_angle`].
    Axis(usize),
    /// The valves of one side of the cylinder with this index in [`Network::cylinders`].
    Valve(usize, Side),
    /// Nothing: a blind end.
    Closed,
}

/// One end of a duct.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// What it opens into.
    pub node: Node,
    /// Free area over the duct's own area at this end, above 0, at most 1; at a valve the share
    /// of the side's effective area that this duct has.
    pub opening: f64,
    /// Loss coefficient of the inflow into the duct (0 rounded, 0.5 sharp edged), at least 0.
    pub entry_loss: f64,
}

/// A piece of a duct with straight walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Length, m.
    pub length: f64,
    /// Cross-section at the left end, m².
    pub area_left: f64,
    /// Cross-section at the right end, m².
    pub area_right: f64,
    /// Wall temperature, K.
    pub wall_temperature: f64,
}

/// A duct: pieces from left to right.
#[derive(Clone, Debug, PartialEq)]
pub struct DuctSpec {
    /// The trade's name, for messages and traces: "intake runner 3".
    pub name: String,
    /// Pieces from left to right; their areas may jump.
    pub pieces: Vec<Piece>,
    /// Left end.
    pub left: End,
    /// Right end.
    pub right: End,
    /// Whether it carries hot exhaust gas, which allows longer cells.
    pub hot: bool,
    /// Fanning friction factor.
    pub friction_factor: f64,
    /// Factor on the wall-heat correlation.
    pub heat_factor: f64,
}

impl DuctSpec {
    /// Sum of the pieces' lengths, m.
    pub fn length(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.length).sum()
    }
}

/// A volume with uniform state: plenum, collector, silencer, air box.
#[derive(Clone, Debug, PartialEq)]
pub struct VolumeSpec {
    /// The trade's name, for messages and traces.
    pub name: String,
    /// Volume, m³.
    pub volume: f64,
    /// Wall temperature, K.
    pub wall_temperature: f64,
    /// Heat transfer coefficient times wall area, W/K.
    pub heat_conductance: f64,
    /// Whether it starts filled with exhaust gas.
    pub hot: bool,
    /// Angle between the pipes that arrive ([`Node::Volume`]) and the one on the axis
    /// ([`Node::Axis`]), rad; without a pipe on the axis every jet is stopped.
    pub merge_angle: f64,
}

/// An opening between two nodes without a duct: throttle, carburettor, restrictor, bridge.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningSpec {
    /// The trade's name, for messages and traces.
    pub name: String,
    /// From here (a volume or the air around).
    pub from: Node,
    /// To here (a volume or the air around).
    pub to: Node,
    /// Effective area (discharge coefficient included), m².
    pub effective_area: f64,
    /// Share of the fuel that evaporates into the air that passes here (0 to 1); 0 where no fuel
    /// is added.
    pub fuel_vapour_share: f64,
}

/// Effective area of the valves of one side over the crank angle of their own cylinder.
#[derive(Clone, Debug, PartialEq)]
pub struct ValveFlow {
    /// Effective area at equal steps over 720 degrees, from the cylinder's firing dead centre,
    /// m²; all valves of the side together.
    pub effective_area: Vec<f64>,
}

/// One cylinder.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderSpec {
    /// Bore, stroke, rod, compression ratio of this cylinder.
    pub mechanism: SliderCrank,
    /// Crank angle of the engine at which this cylinder is at firing dead centre, rad, 0 to 4 pi.
    pub phase: f64,
    /// Intake valves.
    pub intake: ValveFlow,
    /// Exhaust valves.
    pub exhaust: ValveFlow,
}

/// How the charge burns, loses heat and knocks; the same in all cylinders.
#[derive(Clone, Debug, PartialEq)]
pub struct Combustion {
    /// Head area over bore area.
    pub head_area_ratio: f64,
    /// Flame area for this chamber and spark plug.
    pub flame: FlameTable,
    /// Multiplies every burning rate.
    pub burn_multiplier: f64,
    /// Multiplies the wall-heat correlation.
    pub heat_multiplier: f64,
    /// Crevice and ring gap of one cylinder.
    pub crevice: Crevice,
    /// Octane number for the knock integral, where one describes the fuel.
    pub octane_number: Option<f64>,
    /// Share of the latent heat of the fuel still liquid at intake closing that the charge gives.
    pub latent_share: f64,
    /// From gas to coolant and oil, one cylinder.
    pub walls: WallNetwork,
    /// Coolant temperature (air-cooled: of the fins), K.
    pub coolant_temperature: f64,
    /// Oil temperature, K.
    pub oil_temperature: f64,
}

/// What the engine loses to friction and drives itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Friction {
    /// Dimensions that the correlation asks for.
    pub parts: FrictionParts,
    /// Which edition of the correlation.
    pub edition: Edition,
    /// Auxiliaries driven in the test.
    pub auxiliaries: Vec<Auxiliary>,
    /// Multiplies the sum.
    pub multiplier: f64,
}

/// One design in its surroundings.
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    /// Cylinders.
    pub cylinders: Vec<CylinderSpec>,
    /// Ducts.
    pub ducts: Vec<DuctSpec>,
    /// Volumes.
    pub volumes: Vec<VolumeSpec>,
    /// Openings between volumes.
    pub openings: Vec<OpeningSpec>,
    /// Fuel.
    pub fuel: Fuel,
    /// Composition of the air around.
    pub air: HumidAir,
    /// Pressure of the air around, Pa.
    pub ambient_pressure: f64,
    /// Temperature of the air around, K.
    pub ambient_temperature: f64,
    /// Pressure where the exhaust ends ([`Node::Cell`]), Pa.
    pub cell_pressure: f64,
    /// Share of the fuel that evaporates on the way into the cylinder at the cost of the charge
    /// (0 to 1); what evaporated further upstream counts towards it.
    pub charge_cooling: f64,
    /// Burn, wall heat and knock.
    pub combustion: Combustion,
    /// Friction and auxiliaries.
    pub friction: Friction,
}
