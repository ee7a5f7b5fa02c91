//! Traces must add up to the figures of the point they belong to.

use crate::designs;
use shortblock_cycle::*;
use std::f64::consts::PI;

fn traced(stations: &[Station]) -> (Network, Demand, Point, Trace) {
    let network = designs::four();
    let mesh = Mesh::of(&network, CellLength::COARSE);
    let demand = designs::demand(6000.0);
    let job = Job { network: &network, mesh: &mesh, demand: &demand };
    let settings = Settings { tolerance: 1e-4, ..Settings::usual() };
    let point = run(&[job], &settings, &Serial, &Unwatched).remove(0).unwrap();
    let trace = trace(&job, stations, &settings, &Unwatched).unwrap();
    (network.clone(), demand.clone(), point, trace)
}

/// The area of the pressure-volume loop is the indicated work, here of the last cylinder, whose
/// closed part reaches over the end of the cycle. Trapezium over 1440 steps: within 0.5 %.
#[test]
fn the_loop_of_a_cylinder_holds_its_indicated_work() {
    let (_, _, point, trace) = traced(&[Station::Cylinder(0), Station::Cylinder(3)]);
    for (first, cylinder) in [(0, 0), (4, 3)] {
        let (p, v) = (&trace.columns[first].values, &trace.columns[first + 2].values);
        let n = p.len();
        let work: f64 =
            (0..n).map(|i| 0.5 * (p[i] + p[(i + 1) % n]) * (v[(i + 1) % n] - v[i])).sum();
        let c = &point.cylinders[cylinder];
        let expected = c.gross_work + c.pumping_work;
        assert!((work / expected - 1.0).abs() < 0.005, "{work} {expected}");
        let peak = p.iter().copied().fold(0.0, f64::max);
        assert!((peak / c.peak_pressure - 1.0).abs() < 0.01, "{peak} {}", c.peak_pressure);
    }
}

/// What flows in through the intake valves over a cycle is the charge: air, and nothing else here
/// that stays (fuel is added in the cylinder).
#[test]
fn the_flow_through_the_intake_valves_sums_to_the_air() {
    let (_, demand, point, trace) = traced(&[Station::Valve(1, Side::Intake)]);
    let step = 4.0 * PI / demand.speed / trace.angle.len() as f64;
    let sum: f64 = trace.columns[0].values.iter().sum::<f64>() * step;
    let air = point.cylinders[1].air;
    assert!((sum / air - 1.0).abs() < 0.01, "{sum} {air}");
    assert!(trace.columns[1].values.iter().all(|&area| area >= 0.0));
}

#[test]
fn a_field_has_a_column_for_each_cell_and_a_station_lies_in_it() {
    let (network, _, _, trace) = traced(&[Station::Field(0), Station::Duct(0, 0.0)]);
    let mesh = Mesh::of(&network, CellLength::COARSE);
    let cells = mesh.cells[0];
    assert_eq!(trace.columns.len(), 2 * cells + 3);
    assert_eq!(trace.columns[0].values, trace.columns[2 * cells].values);
    assert_eq!(trace.columns[0].name, "intake runner 1 cell 1 pressure");
}

#[test]
fn a_station_that_is_not_there_is_told_with_the_count() {
    let network = designs::four();
    let mesh = Mesh::of(&network, CellLength::COARSE);
    let demand = designs::demand(6000.0);
    let job = Job { network: &network, mesh: &mesh, demand: &demand };
    let error = trace(&job, &[Station::Cylinder(6)], &Settings::usual(), &Unwatched).unwrap_err();
    assert_eq!(error.to_string(), "there is no cylinder 7 to trace\nhint: count from 1 to 4");
}
