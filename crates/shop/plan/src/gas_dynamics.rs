//! The cycle simulation as a solver: designs on one mesh, in lanes.

use crate::error::PlanError;
use crate::network::{Design, network};
use crate::solver::{Asked, Solver, Trial, Worked};
use crate::watch::Staged;
use shortblock_cycle::{CellLength, CycleError, Demand, DuctSpec, Executor, Job, Mesh, Point, run};

/// The cycle simulation.
pub(crate) struct GasDynamics;

impl Solver for GasDynamics {
    fn work_out(
        &self,
        asked: &Asked,
        executor: &dyn Executor,
        watch: &Staged,
    ) -> Result<Worked, PlanError> {
        let centre = network(asked.centre)?;
        let designs: Vec<Result<Design, PlanError>> = asked.trials.iter().map(design).collect();
        let shared = shared_mesh(&centre, &designs, asked.cells);
        let cells = shared.cells.iter().sum();
        // A design unlike the centre has a mesh of its own.
        let own: Vec<Option<Mesh>> = designs
            .iter()
            .map(|design| {
                let design = design.as_ref().ok()?;
                (!alike(&centre, design)).then(|| Mesh::of(&design.network, asked.cells))
            })
            .collect();
        let points = all_points(asked, &designs, &own, &shared, executor, watch);
        let mut points = points.into_iter();
        let rows = designs
            .into_iter()
            .map(|design| design.map(|_| points.by_ref().take(asked.speeds.len()).collect()))
            .collect();
        Ok(Worked { rows, cells })
    }
}

fn design(trial: &Trial) -> Result<Design, PlanError> {
    let mut design = network(trial.build)?;
    trial.closures.act_on(&mut design.network);
    Ok(design)
}

/// All points, speed by speed within each design; lanes are filled with designs of one speed.
fn all_points(
    asked: &Asked,
    designs: &[Result<Design, PlanError>],
    own: &[Option<Mesh>],
    shared: &Mesh,
    executor: &dyn Executor,
    watch: &Staged,
) -> Vec<Result<Point, CycleError>> {
    let good: Vec<(&Design, &Mesh)> = designs
        .iter()
        .zip(own)
        .filter_map(|(design, own)| Some((design.as_ref().ok()?, own.as_ref().unwrap_or(shared))))
        .collect();
    let demands: Vec<Vec<Demand>> = asked
        .speeds
        .iter()
        .map(|&speed| good.iter().map(|(design, _)| design.demand(speed)).collect())
        .collect();
    let jobs: Vec<Job> = demands
        .iter()
        .flat_map(|row| row.iter().zip(&good))
        .map(|(demand, (design, mesh))| Job { network: &design.network, mesh, demand })
        .collect();
    let mut results: Vec<Option<Result<Point, CycleError>>> =
        run(&jobs, &asked.settings, executor, watch).into_iter().map(Some).collect();
    let mut ordered = Vec::with_capacity(results.len());
    for d in 0..good.len() {
        for s in 0..asked.speeds.len() {
            let result = results[s * good.len() + d].take();
            ordered.push(result.unwrap_or(Err(CycleError::Stopped)));
        }
    }
    ordered
}

/// Lengths of ducts within this factor of the centre's share its mesh; own.
const ALIKE: f64 = 1.8;

/// Whether a design has the centre's parts, of much the same length.
fn alike(centre: &Design, design: &Design) -> bool {
    let (a, b) = (&centre.network, &design.network);
    let like = |(x, y): (&DuctSpec, &DuctSpec)| {
        let ratio = y.length() / x.length();
        x.pieces.len() == y.pieces.len() && ratio < ALIKE && ratio * ALIKE > 1.0
    };
    a.ducts.len() == b.ducts.len()
        && a.volumes.len() == b.volumes.len()
        && a.openings.len() == b.openings.len()
        && a.cylinders.len() == b.cylinders.len()
        && a.ducts.iter().zip(&b.ducts).all(like)
}

/// The centre's mesh, with a step that is short enough for every design alike.
fn shared_mesh(centre: &Design, designs: &[Result<Design, PlanError>], wanted: CellLength) -> Mesh {
    let alike = designs.iter().flatten().filter(|design| alike(centre, design));
    alike.fold(Mesh::of(&centre.network, wanted), |mesh, d| mesh.also_for(&d.network))
}
