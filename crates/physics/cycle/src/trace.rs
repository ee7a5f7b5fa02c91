//! Crank-resolved traces of a point that repeats: cylinders, valves, stations along ducts, and
//! the state of a whole duct over the cycle.
//!
//! A trace is worked out at the baseline level, one point alone, and agrees with the point's
//! figures as the levels agree.

use crate::batch::turned;
use crate::close::LaneCloser;
use crate::engine::{Engine, Joint};
use crate::level::Base64;
use crate::network::{Network, Side};
use crate::prepare::prepare;
use crate::run::{Job, Watch};
use crate::table::{CYCLE, after_firing};
use crate::{CycleError, Settings};
use shortblock_lanes::Lane;

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
    let lanes = [(job, &ready)];
    let (mut engine, mut closer, mut points) = turned::<Base64>(&lanes, settings, watch)?;
    points.remove(0)?;
    closer.searching = false;
    closer.trace = true;
    let mut recorder = Recorder::new(job.network, &engine, stations);
    // A cycle ahead, for the closed parts that reach into the recorded one.
    for step in 0..engine.steps {
        engine.advance(step, &mut closer);
    }
    for step in 0..engine.steps {
        engine.advance(step, &mut closer);
        recorder.record(step, &engine);
    }
    recorder.add_closed_parts(&engine, &closer.lanes[0]);
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
    fn new(network: &Network, engine: &Engine<Base64>, stations: &'a [Station]) -> Self {
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

    fn record(&mut self, step: usize, engine: &Engine<Base64>) {
        let angle = (step as f64 + 0.5) * CYCLE / engine.steps as f64;
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
    fn add_closed_parts(&mut self, engine: &Engine<Base64>, closer: &LaneCloser) {
        for (station, &first) in self.stations.iter().zip(&self.first) {
            let Station::Cylinder(i) = *station else { continue };
            let Some(closed) = &closer.last[i] else { continue };
            let rows = &closed.result.trace;
            if rows.len() < 2 {
                continue;
            }
            for (k, &angle) in self.trace.angle.iter().enumerate() {
                if engine.tables[i].open[k].get(0) > 0.0 {
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

fn cylinder(i: usize, step: usize, engine: &Engine<Base64>) -> Vec<f64> {
    let (state, table) = (&engine.cylinder_states[i], &engine.tables[i]);
    let volume = table.volume_half[step].get(0);
    vec![state.p.get(0), state.t.get(0), volume, state.y[crate::BURNED].get(0)]
}

fn valve(i: usize, side: Side, step: usize, engine: &Engine<Base64>) -> Vec<f64> {
    let index = usize::from(side == Side::Exhaust);
    let open = engine.tables[i].any_open[step];
    let flow: f64 = engine
        .ends
        .iter()
        .filter(|slot| open && slot.joint == Joint::Valve(i, index))
        .map(|slot| -slot.flux.mass.get(0))
        .sum();
    vec![flow, engine.tables[i].area[index][step].get(0)]
}

fn duct(i: usize, x: f64, engine: &Engine<Base64>) -> Vec<f64> {
    let duct = &engine.ducts[i];
    let n = duct.cell_count();
    let state = duct.cell(((x * n as f64) as usize).min(n - 1));
    vec![state.p.get(0), state.u.get(0), state.t.get(0)]
}

fn field(i: usize, engine: &Engine<Base64>) -> Vec<f64> {
    let duct = &engine.ducts[i];
    (0..duct.cell_count())
        .flat_map(|cell| [duct.cell(cell).p.get(0), duct.cell(cell).u.get(0)])
        .collect()
}
