//! Whole-engine checks: what must hold of any cycle, whatever the closures.

mod designs;
mod independence;
mod mach_index;
mod order;
mod physics;
mod single;
mod traces;
mod valves;

use shortblock_cycle::*;

/// Points of a design at the speeds (rpm) on the usual settings.
fn points(network: &Network, speeds: &[f64], settings: &Settings) -> Vec<Point> {
    let mesh = Mesh::of(network, CellLength::COARSE);
    let demands: Vec<Demand> = speeds.iter().map(|&rpm| designs::demand(rpm)).collect();
    points_of(network, &mesh, &demands, settings)
}

fn points_of(
    network: &Network,
    mesh: &Mesh,
    demands: &[Demand],
    settings: &Settings,
) -> Vec<Point> {
    let jobs: Vec<Job> = demands.iter().map(|demand| Job { network, mesh, demand }).collect();
    run(&jobs, settings, &Serial, &Unwatched).into_iter().map(|point| point.unwrap()).collect()
}
