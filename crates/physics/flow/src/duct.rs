//! A duct: a row of cells with areas, walls and gas, per lane.

use crate::geometry::check;
use crate::riemann::{FaceFlux, Waves};
use crate::sweep::CellFaces;
use crate::{Conserved, DuctGeometry, FlowError, GasSet, Primitive};
use shortblock_lanes::{Lane, Lanewise, lanewise};

/// Which end of a duct: `Left` is where its geometry starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The first cell's outer face.
    Left,
    /// The last cell's outer face.
    Right,
}

/// The shape of a cell.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub(crate) struct CellShape<V> {
    /// 1 / volume, 1/m3.
    pub inverse_volume: V,
    /// Half the change of ln A along the cell.
    pub half_taper: V,
    /// Half the friction force per momentum flow through the cell, `f dx / D`.
    pub half_friction: V,
    /// Area on which the pressure difference of the two faces acts, m2.
    pub push: V,
}

/// What a cell's wall gives to the gas.
#[derive(Clone, Copy, Debug)]
#[repr(C)]
pub(crate) struct CellWall<V> {
    /// 1 / diameter of a circle of the cell's area, 1/m.
    pub inverse_diameter: V,
    /// Wall temperature, K.
    pub temperature: V,
    /// Multiplier on the heat transfer.
    pub heat_factor: V,
}

lanewise!(CellShape { inverse_volume, half_taper, half_friction, push });
lanewise!(CellWall { inverse_diameter, temperature, heat_factor });
lanewise!(Events { half_step_floors, energy_floors });

/// A cell that holds a sudden step of area in some lanes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AreaStep<V> {
    pub cell: usize,
    /// 1 in the lanes that have it, else 0.
    pub here: V,
}

/// Times a safeguard acted, counted per lane (as numbers, so that they live in lanes).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Events<V> {
    /// Sweeps in which a half step's pressure or temperature was held above a fraction of the
    /// cell's, and end cells of which that is true.
    pub half_step_floors: V,
    /// Cells whose internal energy was held above zero.
    pub energy_floors: V,
}

/// What a duct holds, for balances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Totals<V, const S: usize> {
    /// Mass, kg.
    pub mass: V,
    /// Sensible internal plus kinetic energy, J.
    pub energy: V,
    /// Masses of the transported gases, kg.
    pub scalars: [V; S],
}

/// A duct of `n` cells.
#[derive(Clone, Debug)]
pub struct Duct<V, const S: usize> {
    pub(crate) cells: Vec<Conserved<V, S>>,
    pub(crate) primitives: Vec<Primitive<V, S>>,
    pub(crate) shape: Vec<CellShape<V>>,
    pub(crate) walls: Vec<CellWall<V>>,
    pub(crate) inverse_length: V,
    pub(crate) face_areas: Vec<V>,
    pub(crate) steps: Vec<AreaStep<V>>,
    pub(crate) events: Events<V>,
    /// Faces of the end cells from this step's `end_state`, left and right.
    pub(crate) ends: [Option<CellFaces<V, S>>; 2],
}

impl<V: Lane> AreaStep<V> {
    fn new(geometry: &[DuctGeometry], cell: usize) -> Option<Self> {
        let here = V::from_fn(|l| f64::from(geometry[l].has_step(cell)));
        (here.largest() > 0.0).then_some(Self { cell, here })
    }
}

/// All lanes have the same number of cells; between two steps.
impl<V: Lane, const S: usize> Lanewise for Duct<V, S> {
    type One = Duct<f64, S>;

    fn from_one(one: &Duct<f64, S>) -> Self {
        let step = |s: &AreaStep<f64>| AreaStep { cell: s.cell, here: V::splat(s.here) };
        Self {
            cells: Lanewise::from_one(&one.cells),
            primitives: Lanewise::from_one(&one.primitives),
            shape: Lanewise::from_one(&one.shape),
            walls: Lanewise::from_one(&one.walls),
            inverse_length: V::splat(one.inverse_length),
            face_areas: Lanewise::from_one(&one.face_areas),
            steps: one.steps.iter().map(step).collect(),
            events: Lanewise::from_one(&one.events),
            ends: [None; 2],
        }
    }

    fn one(&self, lane: usize) -> Duct<f64, S> {
        let own = self.steps.iter().filter(|s| s.here.get(lane) > 0.0);
        Duct {
            cells: self.cells.one(lane),
            primitives: self.primitives.one(lane),
            shape: self.shape.one(lane),
            walls: self.walls.one(lane),
            inverse_length: self.inverse_length.get(lane),
            face_areas: self.face_areas.one(lane),
            steps: own.map(|s| AreaStep { cell: s.cell, here: 1.0 }).collect(),
            events: self.events.one(lane),
            ends: [None; 2],
        }
    }

    fn set_one(&mut self, lane: usize, one: &Duct<f64, S>) {
        self.cells.set_one(lane, &one.cells);
        self.primitives.set_one(lane, &one.primitives);
        self.shape.set_one(lane, &one.shape);
        self.walls.set_one(lane, &one.walls);
        self.inverse_length.set(lane, one.inverse_length);
        self.face_areas.set_one(lane, &one.face_areas);
        self.events.set_one(lane, &one.events);
        for step in &mut self.steps {
            step.here.set(lane, 0.0);
        }
        for step in &one.steps {
            match self.steps.iter_mut().find(|own| own.cell == step.cell) {
                Some(own) => own.here.set(lane, 1.0),
                None => {
                    let mut here = V::splat(0.0);
                    here.set(lane, 1.0);
                    self.steps.push(AreaStep { cell: step.cell, here });
                }
            }
        }
    }
}

/// Working space of one sweep, large enough for the longest duct of a network; one will do for
/// all ducts, so that it stays in the fastest cache.
#[derive(Clone, Debug, Default)]
pub struct Scratch<V, const S: usize> {
    pub(crate) faces: Vec<CellFaces<V, S>>,
    pub(crate) fluxes: Vec<FaceFlux<V, S>>,
    pub(crate) waves: Vec<Waves<V>>,
}

impl<V: Lane, const S: usize> Scratch<V, S> {
    /// Room for ducts of up to `cells` cells.
    pub fn new(cells: usize) -> Self {
        Self {
            faces: vec![CellFaces::zero(); cells],
            fluxes: vec![FaceFlux::zero(); cells + 1],
            waves: vec![Waves::zero(); cells + 1],
        }
    }
}

impl<V: Lane, const S: usize> Scratch<V, S> {
    #[inline(always)]
    pub(crate) fn reserve(&mut self, cells: usize) {
        if self.faces.len() < cells {
            *self = Self::new(cells);
        }
    }
}

impl<V: Lane, const S: usize> Duct<V, S> {
    /// A duct from one geometry per lane, all with the same number of cells (at least 3), filled
    /// with still gas 0 at 1e5 Pa and 300 K.
    pub fn new(gases: &GasSet<V, S>, geometry: &[DuctGeometry]) -> Result<Self, FlowError> {
        let n = check(geometry, V::WIDTH)?;
        let zero = V::splat(0.0);
        let still =
            Conserved::from_primitive(gases, V::splat(1e5), zero, V::splat(300.0), &[zero; S]);
        let face_areas = (0..=n).map(|i| V::from_fn(|l| geometry[l].face_areas[i])).collect();
        Ok(Self {
            cells: vec![still; n],
            primitives: vec![still.primitive(gases); n],
            shape: (0..n).map(|i| CellShape::new(geometry, i)).collect(),
            walls: (0..n).map(|i| CellWall::new(geometry, i)).collect(),
            inverse_length: V::from_fn(|l| 1.0 / geometry[l].cell_length),
            face_areas,
            steps: (0..n).filter_map(|i| AreaStep::new(geometry, i)).collect(),
            events: Events { half_step_floors: zero, energy_floors: zero },
            ends: [None; 2],
        })
    }

    /// The number of cells.
    pub fn cell_count(&self) -> usize {
        self.cells.len()
    }

    /// The state of cell `i` (0 at the left end). Panics when there is no such cell.
    pub fn cell(&self, i: usize) -> &Primitive<V, S> {
        &self.primitives[i]
    }

    /// Sets cell `i` to pressure `p` (Pa), velocity `u` (m/s), temperature `t` (K), fractions `y`.
    /// Panics when there is no such cell.
    pub fn set_cell(&mut self, gases: &GasSet<V, S>, i: usize, p: V, u: V, t: V, y: &[V; S]) {
        self.cells[i] = Conserved::from_primitive(gases, p, u, t, y);
        self.primitives[i] = self.cells[i].primitive(gases);
    }

    /// Sets all cells to one state, as [`Duct::set_cell`].
    pub fn fill(&mut self, gases: &GasSet<V, S>, p: V, u: V, t: V, y: &[V; S]) {
        for i in 0..self.cells.len() {
            self.set_cell(gases, i, p, u, t, y);
        }
    }

    /// Sets the wall temperature in K of cell `i`. Panics when there is no such cell.
    pub fn set_wall_temperature(&mut self, i: usize, t: V) {
        self.walls[i].temperature = t;
    }

    /// Length of one cell, m.
    pub fn cell_length(&self) -> V {
        V::splat(1.0) / self.inverse_length
    }

    /// Mean area in m2 of cell `i`. Panics when there is no such cell.
    pub fn cell_area(&self, i: usize) -> V {
        self.inverse_length / self.shape[i].inverse_volume
    }

    /// Area in m2 of the face at an end.
    #[inline(always)]
    pub fn end_area(&self, end: End) -> V {
        match end {
            End::Left => self.face_areas[0],
            End::Right => self.face_areas[self.cells.len()],
        }
    }

    /// Mass, energy and scalar masses in the duct.
    pub fn totals(&self) -> Totals<V, S> {
        let zero = V::splat(0.0);
        let mut sum = Totals { mass: zero, energy: zero, scalars: [zero; S] };
        for (cell, shape) in self.cells.iter().zip(&self.shape) {
            let volume = V::splat(1.0) / shape.inverse_volume;
            sum.mass += cell.rho * volume;
            sum.energy += cell.energy * volume;
            for s in 0..S {
                sum.scalars[s] += cell.scalars[s] * volume;
            }
        }
        sum
    }

    /// How often a safeguard has acted since the duct was made or [`Duct::clear_events`]
    /// was called.
    pub fn events(&self) -> Events<V> {
        self.events
    }

    /// Sets one lane's counters of safeguards to zero. Panics when there is no such lane.
    pub fn clear_events(&mut self, lane: usize) {
        self.events.half_step_floors.set(lane, 0.0);
        self.events.energy_floors.set(lane, 0.0);
    }

    /// Largest `(|u| + c) / dx` over the cells, 1/s: the step times this is the Courant number.
    pub fn signal_rate(&self) -> V {
        let mut rate = V::splat(0.0);
        for q in &self.primitives {
            rate = rate.max(q.u.abs() + (q.gamma * q.p * q.v).sqrt());
        }
        rate * self.inverse_length
    }
}
