//! Temperatures of the surfaces in a cylinder: what the heat of a cycle makes them, and what the
//! next cycle is given so that both soon agree.

use crate::close::LaneCloser;
use crate::engine::Engine;
use crate::table::CYCLE;
use shortblock_cylinder::closed::WallTemperatures;
use shortblock_cylinder::wall::HeatFlow;
use shortblock_lanes::{Lane, Lanewise};

/// Surfaces start here, K.
const START: [f64; 3] = [520.0, 530.0, 430.0];
/// A hotter surface takes up less heat, so what a cycle makes of it falls with what it was given:
/// by so much in the beginning. Own choice between slow and fast engines.
const FIRST_SLOPE: f64 = -0.5;
/// Steepest slope that is believed.
const STEEPEST: f64 = -2.0;
/// No cycle is given a hotter surface, K: a search that overshoots comes back from here. Aluminium
/// melts near 900 K, valve alloys lose their strength near 1150 K (from memory); bound ours.
const HOTTEST: f64 = 1400.0;
/// Names of the surfaces.
const NAMES: [&str; 3] = ["head", "piston", "liner"];
/// Smallest change from which a slope is taken, K.
const LEAST_CHANGE: f64 = 0.2;

/// Surfaces of one cylinder: head, piston, liner.
#[derive(Clone, Debug)]
pub(crate) struct Surfaces([Surface; 3]);

/// One surface, found by secants.
#[derive(Clone, Copy, Debug)]
struct Surface {
    /// Temperature in the present cycle, K.
    now: f64,
    /// What the cycle before was given and what it made of it, K.
    before: Option<(f64, f64)>,
    slope: f64,
}

impl Surfaces {
    pub fn new() -> Self {
        Self(START.map(|now| Surface { now, before: None, slope: FIRST_SLOPE }))
    }

    /// Temperatures in the present cycle.
    pub fn temperatures(&self) -> WallTemperatures {
        let [head, piston, liner] = self.0.map(|surface| surface.now);
        WallTemperatures { head, piston, liner }
    }

    /// The first surface, and its temperature in K, that the last cycle's heat would make hotter
    /// than a cycle may be given.
    pub fn too_hot(&self) -> Option<(&'static str, f64)> {
        let made = |surface: &Surface| surface.before.map_or(0.0, |(_, made)| made);
        let mut named = NAMES.into_iter().zip(self.0.iter().map(made));
        named.find(|&(_, made)| made > HOTTEST)
    }
}

impl Surface {
    /// Takes what the cycle made of the surface.
    fn answer(&mut self, answer: f64) {
        if let Some((given, made)) = self.before
            && (self.now - given).abs() > LEAST_CHANGE
        {
            self.slope = ((answer - made) / (self.now - given)).clamp(STEEPEST, 0.0);
        }
        self.before = Some((self.now, answer));
        let next = self.now + (answer - self.now) / (1.0 - self.slope);
        self.now = next.min(HOTTEST);
    }
}

/// Takes the heat of a lane's last cycle.
pub(crate) fn update<V: Lane>(engine: &mut Engine<V>, lane: usize, closer: &mut LaneCloser) {
    let per_second = closer.demand.speed / CYCLE;
    let combustion = &closer.network.combustion;
    for (c, closed) in closer.last.iter().enumerate() {
        let Some(closed) = closed else { continue };
        let open = engine.tallies[c].heat.map(|x| x.get(lane));
        let heat = HeatFlow {
            head: (open[0] + closed.result.heat_head) * per_second,
            piston: (open[1] + closed.result.heat_piston) * per_second,
            liner: (open[2] + closed.result.heat_liner) * per_second,
        };
        let state = combustion.walls.temperatures(
            heat,
            combustion.coolant_temperature,
            combustion.oil_temperature,
        );
        let made = [state.gas_side.head, state.gas_side.piston, state.gas_side.liner];
        let surfaces = &mut closer.surfaces[c];
        surfaces.0.iter_mut().zip(made).for_each(|(surface, made)| surface.answer(made));
        engine.constants[c].walls.set_one(lane, &surfaces.0.map(|surface| surface.now));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A surface whose temperature falls by 0.8 K for each kelvin it is given too much.
    #[test]
    fn a_surface_that_swings_is_found_in_a_few_cycles() {
        let mut surface = Surface { now: 520.0, before: None, slope: FIRST_SLOPE };
        for _ in 0..4 {
            surface.answer(700.0 - 0.8 * (surface.now - 700.0));
        }
        assert!((surface.now - 700.0).abs() < 0.2, "{surface:?}");
    }

    /// Heat that falls by two thirds from 520 K to 1400 K, as a much too hot start makes it: the
    /// search overshoots to the bound and comes back; with three times the heat it does not.
    #[test]
    fn a_surface_that_overshoots_comes_back_from_the_bound() {
        let found = |heat: f64| {
            let mut surfaces = Surfaces::new();
            for _ in 0..12 {
                let piston = &mut surfaces.0[1];
                piston.answer(400.0 + heat * (1.0 - (piston.now - 520.0) / 1320.0));
                assert!(piston.now <= HOTTEST);
            }
            surfaces
        };
        let settled = found(1800.0);
        assert!((settled.0[1].now - 1230.8).abs() < 1.0, "{settled:?}");
        assert_eq!(settled.too_hot(), None);
        assert_eq!(found(5400.0).too_hot().map(|(name, _)| name), Some("piston"));
    }
}
