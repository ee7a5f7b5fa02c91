//! The ends of all ducts: what each opens into, and what passes it in a step.

use crate::SCALARS;
use crate::engine::Engine;
use shortblock_flow::{End, EndFlux, Opening, Passing, Reservoir, Stream, wall_flux};
use shortblock_lanes::{Lane, lanewise};

/// What an end opens into, resolved to indices.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Joint {
    Ambient,
    Cell,
    Volume(usize),
    /// The pipe on the axis of a volume.
    Axis(usize),
    /// Cylinder and side (0 intake, 1 exhaust).
    Valve(usize, usize),
    Closed,
}

/// One end of one duct.
#[derive(Clone, Copy, Debug)]
pub(crate) struct EndSlot<V> {
    pub duct: usize,
    pub end: End,
    pub joint: Joint,
    /// Free area, m²; at a valve the share of the side's effective area.
    pub area: V,
    /// Area of the duct's face, m².
    pub face: V,
    pub entry_loss: V,
    pub flux: EndFlux<V, SCALARS>,
}

lanewise!(EndSlot { area, face, entry_loss, flux } same { duct, end, joint });

/// Passes in which an end is solved.
const PASSES: usize = 2;

impl<V: Lane> Engine<V> {
    /// Takes the flux of every end. Each pass goes through all open ends before the next, because
    /// the steps of one end wait for one another and those of different ends do not.
    #[inline(always)]
    pub fn take_fluxes(&mut self) {
        self.passings.clear();
        for i in 0..self.ends.len() {
            let EndSlot { duct, end, flux, .. } = self.ends[i];
            let state = self.ducts[duct].end_state(&self.gases, end, self.dt);
            match self.node(i) {
                Some((node, opening)) => {
                    let passing = Passing::new(node, &state, &opening, flux.u);
                    self.passings.push((i, passing));
                }
                None => self.ends[i].flux = wall_flux(&state),
            }
        }
        for _ in 0..PASSES {
            self.passings.iter_mut().for_each(|(_, passing)| passing.pass());
        }
        for k in 0..self.passings.len() {
            let (i, passing) = &self.passings[k];
            let Some((node, opening)) = self.node(*i) else { continue };
            let flux = passing.flux(&self.gases, node, &opening);
            self.ends[*i].flux = flux;
            self.gather(*i);
        }
    }

    /// What an end opens into and how, or `None` at a wall.
    #[inline(always)]
    fn node(&self, i: usize) -> Option<(&Reservoir<V, SCALARS>, Opening<V>)> {
        let slot = &self.ends[i];
        let (node, area) = match slot.joint {
            Joint::Ambient => (&self.ambient, slot.area),
            Joint::Cell => (&self.cell, slot.area),
            Joint::Volume(v) => (&self.volume_states[v], slot.area),
            Joint::Axis(v) => (&self.axis_states[v], slot.area),
            Joint::Valve(c, side) if self.cylinder_steps[c].any_area[side] => {
                (&self.cylinder_states[c], slot.area * self.cylinder_steps[c].area[side])
            }
            Joint::Valve(..) | Joint::Closed => return None,
        };
        let opening =
            Opening { inflow_area: area, outflow_area: area, entry_loss: slot.entry_loss };
        Some((node, opening))
    }

    /// Adds an end's flux to what its volume or cylinder takes up.
    #[inline(always)]
    fn gather(&mut self, i: usize) {
        let EndSlot { joint, flux, face, .. } = &self.ends[i];
        match *joint {
            Joint::Volume(v) => {
                self.volume_flows[v] += -flux.flow();
                let p = self.volume_states[v].p;
                self.volume_forces[v] += self.streams[v].arriving(flux, *face, p);
            }
            Joint::Axis(v) => {
                self.volume_flows[v] += -flux.flow();
                let p = self.volume_states[v].p;
                self.volume_forces[v] -= Stream::leaving(flux, *face, p);
            }
            Joint::Valve(c, side) => add(&mut self.cylinder_fluxes[c][side], flux),
            Joint::Ambient | Joint::Cell | Joint::Closed => {}
        }
    }
}

/// Adds the flows of a second duct at the same valves; pressure is the last one's.
#[inline(always)]
fn add<V: Lane>(sum: &mut EndFlux<V, SCALARS>, flux: &EndFlux<V, SCALARS>) {
    sum.mass += flux.mass;
    sum.energy += flux.energy;
    for s in 0..SCALARS {
        sum.scalars[s] += flux.scalars[s];
    }
    sum.p = flux.p;
    sum.u = flux.u;
}
