//! Wall temperatures from the cycle-mean heat flow: a small conductance network.
//!
//! Head to coolant; piston to liner through the rings and to the oil; liner to coolant; valves to
//! head through seat and guide. `Q = G (T_hot - T_cold)` in every branch, steady over a cycle.
//! Conductances per bore area are ours, chosen so that at 0.5 MW/m^2 on the piston the usual wide-
//! open surface temperatures come out (Heywood 1988 section 12.7 from memory: piston crown
//! 470-570 K, liner 380-450 K, head 440-520 K). Film and wall conduction are one number.

use crate::closed::WallTemperatures;
use crate::mechanism::SliderCrank;

/// Head surface to coolant, W/(m^2 K) of bore area; own.
const HEAD_COOLANT: f64 = 4500.0;
/// Liner to coolant, W/(m^2 K) of bore area; own.
const LINER_COOLANT: f64 = 9000.0;
/// Piston to liner through the rings, W/(m^2 K) of bore area; own.
const PISTON_LINER: f64 = 2500.0;
/// Piston to oil without a jet, W/(m^2 K) of bore area; own.
const PISTON_OIL: f64 = 700.0;
/// Valve to head, W/(m^2 K) of valve face area; own: exhaust valves run near 950-1050 K.
const VALVE_SEAT: f64 = 900.0;

/// Conductances of one cylinder, W/K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallNetwork {
    /// Head to coolant.
    pub head_coolant: f64,
    /// Liner to coolant.
    pub liner_coolant: f64,
    /// Piston to liner.
    pub piston_liner: f64,
    /// Piston to oil.
    pub piston_oil: f64,
    /// Valves to head, of all valve faces together.
    pub valve_head: f64,
    /// Share of the head's heat that falls on the valve faces.
    pub valve_share: f64,
}

/// Mean heat flow from gas to each surface over a cycle, W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeatFlow {
    /// Head and valves.
    pub head: f64,
    /// Piston.
    pub piston: f64,
    /// Liner; friction heat of rings may be added.
    pub liner: f64,
}

/// Surface temperatures and where the heat goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallState {
    /// Temperatures for the gas side; the head's is the mean of metal and valve faces.
    pub gas_side: WallTemperatures,
    /// Mean temperature of the valve faces, K.
    pub valves: f64,
    /// Heat to the coolant, W.
    pub to_coolant: f64,
    /// Heat to the oil, W.
    pub to_oil: f64,
}

impl WallNetwork {
    /// Default conductances for a cylinder whose valve faces cover `valve_area` (m^2).
    pub fn new(mechanism: &SliderCrank, valve_area: f64) -> Self {
        let area = mechanism.bore_area();
        let valve_area = valve_area.clamp(0.0, 0.8 * area);
        Self {
            head_coolant: HEAD_COOLANT * area,
            liner_coolant: LINER_COOLANT * area,
            piston_liner: PISTON_LINER * area,
            piston_oil: PISTON_OIL * area,
            valve_head: VALVE_SEAT * valve_area,
            valve_share: valve_area / area,
        }
    }

    /// Returns the steady temperatures for the heat flow (W), coolant and oil temperature (K).
    ///
    /// Used once a cycle with the last cycle's heat flow, this converges by a factor of about ten
    /// a time, because the gas-side conductance is about a tenth of the wall's.
    pub fn temperatures(&self, heat: HeatFlow, coolant: f64, oil: f64) -> WallState {
        let metal = coolant + heat.head / self.head_coolant;
        let rise = if self.valve_head > 0.0 {
            self.valve_share * heat.head / self.valve_head
        } else {
            0.0
        };
        // Piston: Qp = Gr (Tp - Tl) + Go (Tp - oil); liner: Ql + Gr (Tp - Tl) = Gc (Tl - coolant).
        let (gr, go, gc) = (self.piston_liner, self.piston_oil, self.liner_coolant);
        let determinant = (gr + go) * (gr + gc) - gr * gr;
        let (a, b) = (heat.piston + go * oil, heat.liner + gc * coolant);
        let piston = (a * (gr + gc) + gr * b) / determinant;
        let liner = ((gr + go) * b + gr * a) / determinant;
        WallState {
            gas_side: WallTemperatures { head: metal + self.valve_share * rise, piston, liner },
            valves: metal + rise,
            to_coolant: heat.head + gc * (liner - coolant),
            to_oil: go * (piston - oil),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn network() -> (SliderCrank, WallNetwork) {
        let c = SliderCrank::new(0.086, 0.086, 0.143, 0.0, 10.0).unwrap();
        (c, WallNetwork::new(&c, 2.0e-3))
    }

    #[test]
    fn all_heat_arrives_somewhere_and_coolant_temperature_acts() {
        let (_, n) = network();
        let q = HeatFlow { head: 2500.0, piston: 2000.0, liner: 1200.0 };
        let s = n.temperatures(q, 363.0, 373.0);
        assert!((s.to_coolant + s.to_oil - 5700.0).abs() < 1e-9);
        let hotter = n.temperatures(q, 373.0, 383.0);
        assert!((hotter.gas_side.piston - s.gas_side.piston - 10.0).abs() < 1e-9);
    }

    /// Bands of the module documentation at a wide-open heat flux.
    #[test]
    fn surface_temperatures_are_usual_at_full_load() {
        let (c, n) = network();
        let q = 0.5e6 * c.bore_area();
        let s = n.temperatures(HeatFlow { head: 0.9 * q, piston: q, liner: 0.4 * q }, 363.0, 383.0);
        assert!((450.0..=580.0).contains(&s.gas_side.piston), "{s:?}");
        assert!((380.0..=460.0).contains(&s.gas_side.liner), "{s:?}");
        assert!((440.0..=700.0).contains(&s.gas_side.head), "{s:?}");
    }
}
