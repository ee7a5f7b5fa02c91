//! A single cylinder that breathes through short straight stubs, for checks of its gas exchange
//! against solutions that know no pipes.

use crate::designs::four;
use shortblock_cycle::*;
use shortblock_cylinder::closed::Crevice;
use shortblock_cylinder::flame::{ChamberShape, FlameTable};
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_gas::HumidAir;

/// What there is to choose.
pub struct Stubs {
    pub mechanism: SliderCrank,
    /// Length of both stubs, m.
    pub length: f64,
    /// Area of the intake and of the exhaust stub, m².
    pub area: [f64; 2],
    pub intake: ValveFlow,
    pub exhaust: ValveFlow,
}

/// The engine: no friction, no heat to any wall, dry air, tight rings, no fuel that evaporates
/// before the valves have closed.
pub fn single(stubs: Stubs) -> Network {
    let mut network = four();
    network.cylinders.truncate(1);
    network.volumes.clear();
    network.ducts.truncate(2);
    for (duct, area) in network.ducts.iter_mut().zip(stubs.area) {
        duct.pieces.truncate(1);
        let piece = &mut duct.pieces[0];
        *piece = Piece { length: stubs.length, area_left: area, area_right: area, ..*piece };
        duct.left.entry_loss = 0.0;
        duct.friction_factor = 0.0;
        duct.heat_factor = 0.0;
    }
    network.ducts[1].right.node = Node::Ambient;
    network.cylinders[0] = CylinderSpec {
        mechanism: stubs.mechanism,
        phase: 0.0,
        intake: stubs.intake,
        exhaust: stubs.exhaust,
    };
    network.air = HumidAir::new(99_000.0, 298.15, 0.0).unwrap();
    network.charge_cooling = 0.0;
    network.combustion.flame = FlameTable::new(&stubs.mechanism, ChamberShape::Disc, 0.0).unwrap();
    network.combustion.crevice = Crevice::NONE;
    network.combustion.latent_share = 0.0;
    network.combustion.heat_multiplier = 0.0;
    network.combustion.octane_number = None;
    network
}

/// Valves that open over `ramp` degrees to an effective area (m²), stand, and close again; angles
/// in degrees after firing dead centre.
pub fn held_open(opens: f64, closes: f64, ramp: f64, area: f64) -> ValveFlow {
    let at = |degree: f64| area * ((degree - opens).min(closes - degree) / ramp).clamp(0.0, 1.0);
    ValveFlow { effective_area: (0..1440).map(|i| at(i as f64 * 0.5)).collect() }
}
