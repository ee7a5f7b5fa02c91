//! Valves, port and flow of one side of the head.

use std::f64::consts::PI;

use shortblock_units::{Origin, Quantity};

use super::cam::{self, Cam, Which};
use super::short_block::ValveTrain;
use crate::defaults;
use crate::fill::Fill;
use crate::item::{Leaf, Table};
use crate::value::Value;
use shortblock_document::Finding;

/// Valves of one side in one cylinder.
#[derive(Debug, Clone, PartialEq)]
pub struct Valves {
    /// How many.
    pub count: usize,
    /// Head diameter, m.
    pub diameter: Value,
    /// Stem diameter, m.
    pub stem: Value,
    /// Seat angle, rad.
    pub seat_angle: Value,
    /// Throat diameter, m.
    pub throat: Value,
}

/// A port in the head.
#[derive(Debug, Clone, PartialEq)]
pub struct Port {
    /// Valve seat to face, m.
    pub length: Value,
    /// Diameter of the circle of the opening at the face, m.
    pub face: Value,
    /// Poured volume, m³.
    pub volume: Option<Value>,
}

/// Flow of one side of one cylinder on a bench, all its valves open.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowSheet {
    /// Pressure drop of the bench, Pa.
    pub test_pressure: Value,
    /// Lift, m, rising.
    pub lift: Vec<f64>,
    /// Flow at the lift, m³/s; the factor is already applied.
    pub flow: Vec<f64>,
    /// Factor on the flow, 1 ± how far it is known; for an assumed sheet the flow coefficient.
    pub scale: Value,
    /// Above this lift (m) the sheet was carried on and is assumed; 0 when it is assumed whole.
    pub assumed_above: Option<f64>,
    /// Below this lift (m) points were filled in under a sheet that begins high up.
    pub assumed_below: Option<f64>,
}

/// Head, cam and flow of one side.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// Valves of one cylinder.
    pub valves: Valves,
    /// Port.
    pub port: Port,
    /// Flow.
    pub flow: FlowSheet,
    /// Cam.
    pub cam: Cam,
}

/// Air on a flow bench at 25 °C and 101.325 kPa, kg/m³: turns a flow coefficient into a flow.
const BENCH_AIR: f64 = 1.184;
/// Test pressure an assumed sheet is written at, Pa: 28 in of water, the trade's usual one (c.p.).
const USUAL_TEST: f64 = 28.0 * 249.088_91;

/// A sheet whose first row is above this share of the valve's diameter begins too high to be drawn
/// straight down to nothing; own.
const BEGINS_HIGH: f64 = 0.12;

/// One side of the head.
pub(crate) fn of(fill: &mut Fill, which: Which, train: &ValveTrain) -> Side {
    let at = |key: &str| format!("{}.{key}", which.name());
    let valves = Valves {
        count: fill.count(&at("valves.per_cylinder")).max(1),
        diameter: fill.need(&at("valves.diameter")),
        stem: fill.need(&at("valves.stem")),
        seat_angle: fill.need(&at("valves.seat_angle")),
        throat: fill.need(&at("valves.throat")),
    };
    let face = if which == Which::Intake { "port.entry" } else { "port.exit" };
    let port = Port {
        length: fill.need(&at("port.length")),
        face: fill.need(&at(face)),
        volume: fill.stated_value(&at("port.volume")),
    };
    let cam = cam::of(fill, which, train);
    let flow = match fill.table(&at("flow")) {
        Some(table) => measured_flow(fill, which, &table, &valves, &cam),
        None => assumed_flow(fill, which, &valves, &cam),
    };
    if valves.throat.si > valves.diameter.si {
        let path = at("valves.throat");
        let place = fill.place(&path);
        let fault = Finding::new("the throat is wider than the valve").about(&path);
        fill.fault(fault.remedy("Throats are about 0.88 of the valve."), place.as_ref());
    }
    Side { valves, port, flow, cam }
}

/// Lift over diameter and coefficient over that at a quarter, from the shipped file.
fn shape(which: Which, lift_over_diameter: f64) -> f64 {
    let rows = defaults::default_of(&format!("{}.flow_coefficient.shape", which.name()));
    let rows = rows.map_or(&[][..], |d| d.rows.as_slice());
    let at = |row: &Vec<f64>| (row[0], row[1]);
    let above = rows.partition_point(|row| row[0] < lift_over_diameter);
    match (above.checked_sub(1).and_then(|i| rows.get(i)), rows.get(above)) {
        (None, Some(first)) => first[1],
        (Some(last), None) => last[1] * last[0] / lift_over_diameter,
        (Some(low), Some(high)) => {
            let ((x0, y0), (x1, y1)) = (at(low), at(high));
            y0 + (y1 - y0) * (lift_over_diameter - x0) / (x1 - x0)
        }
        (None, None) => 1.0,
    }
}

/// Curtain area times the shape of the coefficient, m²: what a flow follows over lift.
fn shaped_area(which: Which, valves: &Valves, lift: f64) -> f64 {
    let diameter = valves.diameter.si.max(1e-6);
    valves.count as f64 * PI * diameter * lift * shape(which, lift / diameter)
}

/// Lifts of an assumed sheet: eighths of a little more than the cam's lift.
fn lifts(cam: &Cam) -> Vec<f64> {
    (1..=8).map(|i| f64::from(i) / 8.0 * 1.02 * cam.lift.si.max(1e-4)).collect()
}

fn assumed_flow(fill: &mut Fill, which: Which, valves: &Valves, cam: &Cam) -> FlowSheet {
    let coefficient = fill.need(&format!("{}.flow_coefficient", which.name()));
    let ideal = (2.0 * USUAL_TEST / BENCH_AIR).sqrt();
    let lift = lifts(cam);
    let flow = lift.iter().map(|l| coefficient.si * ideal * shaped_area(which, valves, *l));
    FlowSheet {
        test_pressure: Value {
            origin: Origin::Assumed,
            text: "28 inH2O".to_owned(),
            source: "c.p.".to_owned(),
            ..Value::worked_out(USUAL_TEST, 0.0, Quantity::PressureDifference, "usual on benches")
        },
        flow: flow.collect(),
        lift,
        scale: coefficient,
        assumed_above: Some(0.0),
        assumed_below: None,
    }
}

fn measured_flow(
    fill: &mut Fill,
    which: Which,
    table: &Table,
    valves: &Valves,
    cam: &Cam,
) -> FlowSheet {
    let path = format!("{}.flow", which.name());
    let place = fill.place(&path);
    let test = table.beside.get("test_pressure").and_then(|item| item.value().cloned());
    let test_pressure = test.filter(|v| v.si > 0.0).unwrap_or_else(|| {
        let fault = Finding::new("a flow sheet means nothing without its test pressure");
        let remedy = "Write  test_pressure = \"28 inH2O\"  or what the bench was set to.";
        fill.fault(fault.about(&path).remedy(remedy), place.as_ref());
        Value::worked_out(USUAL_TEST, 0.0, Quantity::PressureDifference, "missing")
    });
    let per_valve = table.beside.get("per").is_some_and(|i| i.leaf == Leaf::Word("valve".into()));
    let valves_open = if per_valve { valves.count as f64 } else { 1.0 };
    let factor = table.scale.si * valves_open;
    let column = |name: &str| table.column(name).map(<[f64]>::to_vec).unwrap_or_default();
    let (mut lift, raw) = (column("lift"), column("flow"));
    let mut flow: Vec<f64> = raw.iter().map(|q| q * factor).collect();
    if lift.is_empty() || lift.len() != flow.len() || lift[0] < 0.0 || flow.iter().any(|q| *q < 0.0)
    {
        let fault = Finding::new("a flow sheet needs the columns lift and flow, none below 0");
        let remedy = "Write  columns = [\"lift mm\", \"flow cfm\"]  and a row for each lift.";
        fill.fault(fault.about(&path).remedy(remedy), place.as_ref());
        return FlowSheet {
            test_pressure,
            lift: vec![],
            flow: vec![],
            scale: table.scale.clone(),
            assumed_above: None,
            assumed_below: None,
        };
    }
    plausible(fill, &path, which, (&lift, &flow), valves, &test_pressure);
    let (first, last) = (lift[0], lift[lift.len() - 1]);
    let begins_high = first > BEGINS_HIGH * valves.diameter.si;
    if begins_high {
        fill_below(which, valves, &mut lift, &mut flow);
    }
    let carried_on = cam.lift.si > 1.001 * last;
    if carried_on {
        carry_on(which, valves, cam, &mut lift, &mut flow);
    }
    FlowSheet {
        test_pressure,
        lift,
        flow,
        scale: table.scale.clone(),
        assumed_above: carried_on.then_some(last),
        assumed_below: begins_high.then_some(first),
    }
}

/// Beyond its last row a sheet goes on as the shape of usual heads does.
fn carry_on(which: Which, valves: &Valves, cam: &Cam, lift: &mut Vec<f64>, flow: &mut Vec<f64>) {
    let (Some(&last), Some(&end)) = (lift.last(), flow.last()) else { return };
    let from = shaped_area(which, valves, last);
    let top = 1.02 * cam.lift.si;
    for i in 1..=4 {
        let at = last + (top - last) * f64::from(i) / 4.0;
        lift.push(at);
        flow.push(end * shaped_area(which, valves, at) / from.max(1e-12));
    }
}

/// Under its first row a sheet goes down as the shape of usual heads does: often only the flow at
/// full lift is published.
fn fill_below(which: Which, valves: &Valves, lift: &mut Vec<f64>, flow: &mut Vec<f64>) {
    let (first, start) = (lift[0], flow[0]);
    let from = shaped_area(which, valves, first).max(1e-12);
    for i in (1..=5).rev() {
        let at = first * f64::from(i) / 6.0;
        lift.insert(0, at);
        flow.insert(0, start * shaped_area(which, valves, at) / from);
    }
}

/// More than the ideal flow through the curtain can't be; the usual slip is the test pressure.
fn plausible(
    fill: &mut Fill,
    path: &str,
    which: Which,
    (lift, flow): (&[f64], &[f64]),
    valves: &Valves,
    test: &Value,
) {
    let ideal = (2.0 * test.si / BENCH_AIR).sqrt();
    let curtain = |l: f64| valves.count as f64 * PI * valves.diameter.si * l;
    let above = lift.iter().zip(flow).find(|(l, q)| **q > 1.02 * ideal * curtain(**l));
    if let Some((l, _)) = above {
        let what = format!(
            "the {} flow at {:.2} mm is more than an ideal nozzle of the valve's curtain",
            which.name(),
            l * 1e3
        );
        let doubt = Finding::new(what).mark("is it right?");
        let remedy =
            "Check units of lift and flow, the test pressure, and flow per valve or cylinder.";
        fill.doubt(path, doubt.remedy(remedy));
    }
}
