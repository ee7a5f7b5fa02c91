//! One point of the four on coarse cells, the same instructions every time: what `scripts/count`
//! counts. Baseline instructions, because a counter may know no others.

#[path = "../tests/designs/mod.rs"]
#[allow(dead_code)] // the V8 is not counted
mod designs;

use shortblock_cycle::*;

fn main() -> Result<(), CycleError> {
    let network = designs::four();
    let mesh = Mesh::of(&network, CellLength::COARSE);
    let demand = designs::demand(6000.0);
    let jobs = [Job { network: &network, mesh: &mesh, demand: &demand }];
    let settings = Settings { level: Level::BASELINE, ..Settings::usual() };
    for point in run(&jobs, &settings, &Serial, &Unwatched) {
        let point = point?;
        println!("{:.3} N m after {} cycles", point.brake_torque, point.convergence.cycles);
    }
    Ok(())
}
