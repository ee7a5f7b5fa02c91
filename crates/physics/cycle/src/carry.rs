//! Carries the state of an engine from one mesh to another, and checks that it is a state.

use crate::SCALARS;
use crate::engine::Engine;
use crate::network::Network;
use shortblock_flow::Duct;
use shortblock_lanes::Lane;

impl<V: Lane> Engine<V> {
    /// Takes over the gas of `other`, the same engine on another mesh, at the same crank angle.
    pub fn start_from(&mut self, other: &Engine<V>) {
        for (duct, from) in self.ducts.iter_mut().zip(&other.ducts) {
            let n = duct.cell_count();
            for i in 0..n {
                let (p, u, t, y) = interpolate(from, (i as f64 + 0.5) / n as f64);
                duct.set_cell(&self.gases, i, p, u, t, &y);
            }
        }
        for (slot, from) in self.ends.iter_mut().zip(&other.ends) {
            slot.flux = from.flux;
        }
        self.volumes.clone_from(&other.volumes);
        self.cylinders.clone_from(&other.cylinders);
        self.constants.clone_from(&other.constants);
    }

    /// Sets the counters of safeguards to zero.
    pub fn clear_counters(&mut self) {
        self.ducts.iter_mut().for_each(Duct::clear_events);
        self.volumes.iter_mut().for_each(|v| v.floors = V::splat(0.0));
        self.cylinders.iter_mut().for_each(|c| c.gas.floors = V::splat(0.0));
    }

    /// The first part of a lane whose state is no number or not above zero.
    pub fn lost_part(&self, lane: usize, network: &Network) -> Option<String> {
        let bad = |x: V| !(x.get(lane) > 0.0 && x.get(lane).is_finite());
        for (duct, spec) in self.ducts.iter().zip(&network.ducts) {
            if (0..duct.cell_count()).any(|i| bad(duct.cell(i).p) || bad(duct.cell(i).t)) {
                return Some(spec.name.clone());
            }
        }
        for (volume, spec) in self.volumes.iter().zip(&network.volumes) {
            if bad(volume.mass) || bad(volume.energy) {
                return Some(spec.name.clone());
            }
        }
        let lost = self.cylinders.iter().position(|c| bad(c.gas.mass) || bad(c.gas.energy));
        lost.map(|c| format!("cylinder {}", c + 1))
    }
}

/// Pressure, velocity, temperature and fractions at `x` (0 to 1) of a duct's length.
fn interpolate<V: Lane>(duct: &Duct<V, SCALARS>, x: f64) -> (V, V, V, [V; SCALARS]) {
    let n = duct.cell_count();
    let at = (x * n as f64 - 0.5).clamp(0.0, (n - 1) as f64);
    let i = (at as usize).min(n.saturating_sub(2));
    let (a, b, w) = (duct.cell(i), duct.cell((i + 1).min(n - 1)), V::splat(at - i as f64));
    let mix = |a: V, b: V| a + (b - a) * w;
    let mut y = a.y;
    for s in 0..SCALARS {
        y[s] = mix(a.y[s], b.y[s]);
    }
    (mix(a.p, b.p), mix(a.u, b.u), mix(a.t, b.t), y)
}
