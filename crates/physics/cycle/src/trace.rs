//! Crank-resolved traces of a point that repeats: cylinders, valves, stations along ducts, and
//! the state of a whole duct over the cycle.
//!
//! The traced cycle is worked out in one lane at the baseline level, and agrees with the point's
//! figures as the levels agree.

use crate::close::{Closer, LaneCloser};
use crate::ends::Joint;
use crate::engine::Engine;
use crate::network::{Network, Side};
use crate::prepare::prepare;
use crate::run::{Job, Serial, Watch, turned};
use crate::stage::Underway;
use crate::table::{CYCLE, after_firing};
use crate::{CycleError, Settings};

/// What is traced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Station {
    /// Pressure, temperature, volume and burned share of a cylinder.
    Cylinder(usize),
    /// Flow through the valves of one side of a cylinder, into the cylinder when positive, and
    /// their effective area.
    Valve(usize, Side),
    /// Pressure, velocity and temperature in a duct at a share of its length (0 left, 1 right).
    Duct(usize, f64),
    /// Pressure and velocity in each cell of a duct.
    Field(usize),
}

/// One traced quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Where and what: "cylinder 1 pressure".
    pub name: String,
    /// SI unit.
    pub unit: &'static str,
    /// One value a step.
    pub values: Vec<f64>,
}

/// Traces over one cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Crank angle of the engine at each row, rad; 0 is where cylinder phases count from.
    pub angle: Vec<f64>,
    /// The quantities.
    pub columns: Vec<Column>,
}

/// Works out one point and traces its stations over a cycle more.
///
/// # Errors
/// As [`crate::run`]; [`CycleError::Station`] for a cylinder or duct that is not there.
pub fn trace(
    job: &Job,
    stations: &[Station],
    settings: &Settings,
    watch: &dyn Watch,
) -> Result<Trace, CycleError> {
    stations.iter().try_for_each(|station| station.check(job.network))?;
    let ready = prepare(std::slice::from_ref(job)).remove(0)?;
    let jobs = std::slice::from_ref(job);
    let underway = vec![Underway::new(0, job, &ready)];
    let mut points = turned(jobs, underway, settings, &Serial, watch);
    let Some(Underway { engine: Some(mut engine), closer: mut lane, result, .. }) = points.pop()
    else {
        return Err(CycleError::Stopped);
    };
    result.unwrap_or(Err(CycleError::Stopped))?;
    lane.settled = true;
    let mut closer =
        Closer { lanes: vec![Some(lane)], trace: true, step_deg: 0.0, waiting: Vec::new() };
    let mut recorder = Recorder::new(job.network, &engine, stations);
    // A cycle ahead, for the closed parts that reach into the recorded one.
    let steps = engine.clocks[0].steps();
    for _ in 0..steps {
        engine.advance(&mut closer);
    }
    for step in 0..steps {
        engine.advance(&mut closer);
        recorder.record(step, &engine);
    }
    if let Some(lane) = &closer.lanes[0] {
        recorder.add_closed_parts(&engine, lane);
    }
    Ok(recorder.trace)
}

impl Station {
    fn check(&self, network: &Network) -> Result<(), CycleError> {
        let (what, index, count) = match *self {
            Station::Cylinder(i) | Station::Valve(i, _) => ("cylinder", i, network.cylinders.len()),
            Station::Duct(i, _) | Station::Field(i) => ("duct", i, network.ducts.len()),
        };
        if index < count {
            Ok(())
        } else {
            Err(CycleError::Station { what, number: index + 1, count })
        }
    }
}

struct Recorder<'a> {
    stations: &'a [Station],
    /// First column of each station.
    first: Vec<usize>,
    trace: Trace,
}

impl<'a> Recorder<'a> {
    fn new(network: &Network, engine: &Engine<f64>, stations: &'a [Station]) -> Self {
        let mut first = Vec::new();
        let mut columns: Vec<Column> = Vec::new();
        for station in stations {
            first.push(columns.len());
            let mut add = |place: String, what: &str, unit| {
                columns.push(Column { name: format!("{place} {what}"), unit, values: Vec::new() });
            };
            match *station {
                Station::Cylinder(i) => {
                    for (what, unit) in [
                        ("pressure", "Pa"),
                        ("temperature", "K"),
                        ("volume", "m3"),
                        ("burned", "1"),
                    ] {
                        add(format!("cylinder {}", i + 1), what, unit);
                    }
                }
                Station::Valve(i, side) => {
                    let side = if side == Side::Intake { "intake" } else { "exhaust" };
                    add(format!("cylinder {} {side} valve", i + 1), "flow", "kg/s");
                    add(format!("cylinder {} {side} valve", i + 1), "effective area", "m2");
                }
                Station::Duct(i, x) => {
                    for (what, unit) in
                        [("pressure", "Pa"), ("velocity", "m/s"), ("temperature", "K")]
                    {
                        add(format!("{} at {x:.2}", network.ducts[i].name), what, unit);
                    }
                }
                Station::Field(i) => {
                    for cell in 0..engine.ducts[i].cell_count() {
                        let place = format!("{} cell {}", network.ducts[i].name, cell + 1);
                        add(place.clone(), "pressure", "Pa");
                        add(place, "velocity", "m/s");
                    }
                }
            }
        }
        Self { stations, first, trace: Trace { angle: Vec::new(), columns } }
    }

    fn record(&mut self, step: usize, engine: &Engine<f64>) {
        let angle = (step as f64 + 0.5) * CYCLE / engine.clocks[0].steps() as f64;
        self.trace.angle.push(angle);
        for (station, &first) in self.stations.iter().zip(&self.first) {
            let values = match *station {
                Station::Cylinder(i) => cylinder(i, step, engine),
                Station::Valve(i, side) => valve(i, side, step, engine),
                Station::Duct(i, x) => duct(i, x, engine),
                Station::Field(i) => field(i, engine),
            };
            for (column, value) in self.trace.columns[first..].iter_mut().zip(values) {
                column.values.push(value);
            }
        }
    }

    /// The closed parts are known only after the cycle that closed them: put in afterwards.
    fn add_closed_parts(&mut self, engine: &Engine<f64>, closer: &LaneCloser) {
        for (station, &first) in self.stations.iter().zip(&self.first) {
            let Station::Cylinder(i) = *station else { continue };
            let Some(closed) = &closer.last[i] else { continue };
            let rows = &closed.result.trace;
            if rows.len() < 2 {
                continue;
            }
            for (k, &angle) in self.trace.angle.iter().enumerate() {
                if engine.clocks[0].tables[i].rows[k].open > 0.0 {
                    continue;
                }
                let theta = after_firing(angle - closer.network.cylinders[i].phase);
                let above = rows.partition_point(|row| row.angle < theta).clamp(1, rows.len() - 1);
                let (a, b) = (&rows[above - 1], &rows[above]);
                let share = ((theta - a.angle) / (b.angle - a.angle)).clamp(0.0, 1.0);
                let mix = |x: f64, y: f64| x + (y - x) * share;
                let mean = |row: &shortblock_cylinder::closed::TraceRow| {
                    if row.burned_temperature > 0.0 {
                        row.unburned_temperature * (1.0 - row.burned)
                            + row.burned_temperature * row.burned
                    } else {
                        row.unburned_temperature
                    }
                };
                self.trace.columns[first].values[k] = mix(a.pressure, b.pressure);
                self.trace.columns[first + 1].values[k] = mix(mean(a), mean(b));
                self.trace.columns[first + 3].values[k] = mix(a.burned, b.burned);
            }
        }
    }
}

fn cylinder(i: usize, step: usize, engine: &Engine<f64>) -> Vec<f64> {
    let state = &engine.cylinder_states[i];
    let volume = engine.clocks[0].tables[i].rows[step].volume_half;
    vec![state.p, state.t, volume, state.y[crate::BURNED]]
}

fn valve(i: usize, side: Side, step: usize, engine: &Engine<f64>) -> Vec<f64> {
    let index = usize::from(side == Side::Exhaust);
    let row = &engine.clocks[0].tables[i].rows[step];
    let flow: f64 = engine
        .ends
        .iter()
        .filter(|slot| row.open > 0.0 && slot.joint == Joint::Valve(i, index))
        .map(|slot| -slot.flux.mass)
        .sum();
    vec![flow, row.area[index]]
}

fn duct(i: usize, x: f64, engine: &Engine<f64>) -> Vec<f64> {
    let duct = &engine.ducts[i];
    let n = duct.cell_count();
    let state = duct.cell(((x * n as f64) as usize).min(n - 1));
    vec![state.p, state.u, state.t]
}

fn field(i: usize, engine: &Engine<f64>) -> Vec<f64> {
    let duct = &engine.ducts[i];
    (0..duct.cell_count()).flat_map(|cell| [duct.cell(cell).p, duct.cell(cell).u]).collect()
}
