//! A fixed number of cycles of the four on coarse cells: what `scripts/count` counts.
//!
//! No cycle repeats to the bit so soon, so the run ends after just so many, whatever the last
//! places of its numbers are. Baseline instructions, because a counter may know no others.

#[path = "../tests/designs/mod.rs"]
#[allow(dead_code)] // the V8 is not counted
mod designs;

use shortblock_cycle::*;

const CYCLES: usize = 8;

fn main() -> Result<(), CycleError> {
    let network = designs::four();
    let mesh = Mesh::of(&network, CellLength::COARSE);
    let demand = designs::demand(6000.0);
    let jobs = [Job { network: &network, mesh: &mesh, demand: &demand }];
    let settings = Settings {
        level: Level::BASELINE,
        tolerance: 0.0,
        most_cycles: CYCLES,
        ..Settings::usual()
    };
    for point in run(&jobs, &settings, &Serial, &Unwatched) {
        let cycles = point?.convergence.cycles;
        assert_eq!(cycles, CYCLES, "another number of cycles was turned");
    }
    Ok(())
}
