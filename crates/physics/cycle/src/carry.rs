//! Carries the state of an engine from one mesh to another, and from one cycle to the next.

use crate::SCALARS;
use crate::close::Closed;
use crate::engine::Engine;
use crate::gas_exchange::Tally;
use shortblock_flow::Duct;
use shortblock_lanes::{Lane, Lanewise};

impl Engine<f64> {
    /// Takes over the gas of `other`, the same engine on another mesh, at the same crank angle;
    /// `last` is what its cylinders closed in last.
    pub fn start_from(&mut self, other: &Engine<f64>, last: &[Option<Closed>]) {
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
        for (slot, from) in self.openings.iter_mut().zip(&other.openings) {
            slot.last = from.last;
        }
        self.volumes.clone_from(&other.volumes);
        self.cylinders.clone_from(&other.cylinders);
        self.constants.clone_from(&other.constants);
        self.open_again(other, last);
    }

    /// A closing next to the cycle's end may fall to the other side of it on this mesh: a charge
    /// that has burned in `other` and is yet to be closed in here must be the unburned one again.
    fn open_again(&mut self, other: &Engine<f64>, last: &[Option<Closed>]) {
        let tables = self.clocks[0].tables.iter().zip(other.clocks[0].tables.iter());
        for (c, (table, before)) in tables.enumerate() {
            if let Some(Some(closed)) = last.get(c)
                && before.begins_closed()
                && table.begins_filling()
            {
                self.cylinders[c] = closed.unburned(&self.gases, table.rows[0].volume);
            }
        }
    }
}

impl<V: Lane> Engine<V> {
    /// Begins a cycle in one lane: nothing tallied, no safeguard counted.
    pub fn begin_cycle(&mut self, lane: usize) {
        self.tallies.iter_mut().for_each(|tally| tally.set_one(lane, &Tally::zero()));
        self.ducts.iter_mut().for_each(|duct| duct.clear_events(lane));
        self.volumes.iter_mut().for_each(|v| v.floors.set(lane, 0.0));
        self.cylinders.iter_mut().for_each(|c| c.gas.floors.set(lane, 0.0));
    }
}

/// Pressure, velocity, temperature and fractions at `x` (0 to 1) of a duct's length.
fn interpolate(duct: &Duct<f64, SCALARS>, x: f64) -> (f64, f64, f64, [f64; SCALARS]) {
    let n = duct.cell_count();
    let at = (x * n as f64 - 0.5).clamp(0.0, (n - 1) as f64);
    let i = (at as usize).min(n.saturating_sub(2));
    let (a, b, w) = (duct.cell(i), duct.cell((i + 1).min(n - 1)), at - i as f64);
    let mix = |a: f64, b: f64| a + (b - a) * w;
    let mut y = a.y;
    for s in 0..SCALARS {
        y[s] = mix(a.y[s], b.y[s]);
    }
    (mix(a.p, b.p), mix(a.u, b.u), mix(a.t, b.t), y)
}
