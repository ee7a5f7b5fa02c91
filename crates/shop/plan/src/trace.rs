//! Crank-resolved traces of a build at one speed, asked for in the shop's words.
//!
//! Stations: `cylinder 1`, `intake valve 3`, `exhaust valve 3`, the name of a duct with a place,
//! `exhaust primary 2 at 0.5` (share of its length in the direction of flow), or `field of exhaust
//! primary 2` for every cell of it.

use crate::ask::{Ask, Quality};
use crate::error::PlanError;
use crate::network::{Design, network};
use crate::predict::in_conditions;
use crate::watch::{Stage, Staged, Watch};
use shortblock_cycle::{CellLength, CycleError, Job, Mesh, Side, Station, Trace};
use shortblock_document::nearest;
use shortblock_engine::Build;

/// Traces a build at `speed` (rad/s) over one cycle.
///
/// # Errors
/// A station that is not there (with the nearest one), a build that cannot be worked out.
pub fn trace(
    build: &Build,
    ask: &Ask,
    speed: f64,
    stations: &[String],
    watch: &dyn Watch,
) -> Result<Trace, PlanError> {
    let build = in_conditions(build, ask)?;
    let mut design = network(&build)?;
    ask.factors().act_on(&mut design.network);
    let stations: Vec<Station> =
        stations.iter().map(|text| station(text, &design)).collect::<Result<_, _>>()?;
    let wanted = if ask.quality == Quality::Coarse { CellLength::COARSE } else { CellLength::FINE };
    let mesh = Mesh::of(&design.network, wanted);
    let demand = design.demand(speed);
    let job = Job { network: &design.network, mesh: &mesh, demand: &demand };
    let staged = Staged { watch, stage: Stage::Fine };
    shortblock_cycle::trace(&job, &stations, &ask.settings, &staged).map_err(|error| match error {
        CycleError::Stopped => PlanError::Stopped,
        other => PlanError::NoPoint { speed, reason: Box::new(other) },
    })
}

/// All station names of a design, without places.
fn names(design: &Design) -> Vec<String> {
    let cylinders = 1..=design.network.cylinders.len();
    let mut names: Vec<String> = cylinders
        .flat_map(|i| {
            [format!("cylinder {i}"), format!("intake valve {i}"), format!("exhaust valve {i}")]
        })
        .collect();
    names.extend(design.network.ducts.iter().map(|duct| duct.name.clone()));
    names
}

fn station(text: &str, design: &Design) -> Result<Station, PlanError> {
    let asked = text.trim();
    let (field, asked) = match asked.strip_prefix("field of ") {
        Some(rest) => (true, rest.trim()),
        None => (false, asked),
    };
    let (name, place) = match asked.rsplit_once(" at ") {
        Some((name, place)) => (name.trim(), Some(place.trim())),
        None => (asked, None),
    };
    let number = |prefix: &str| -> Option<usize> {
        let number: usize = name.strip_prefix(prefix)?.trim().parse().ok()?;
        (1..=design.network.cylinders.len()).contains(&number).then(|| number - 1)
    };
    if !field && place.is_none() {
        let known = [
            number("cylinder ").map(Station::Cylinder),
            number("intake valve ").map(|i| Station::Valve(i, Side::Intake)),
            number("exhaust valve ").map(|i| Station::Valve(i, Side::Exhaust)),
        ];
        if let Some(station) = known.into_iter().flatten().next() {
            return Ok(station);
        }
    }
    let Some(duct) = design.network.ducts.iter().position(|duct| duct.name == name) else {
        let names = names(design);
        let near = nearest(name, names.iter().map(String::as_str));
        let hint = match near {
            Some(near) => format!("did you mean {near}?"),
            None => format!("there are: {}", names.join(", ")),
        };
        return Err(PlanError::Ask { what: format!("there is no \"{name}\" to trace"), hint });
    };
    if field {
        return Ok(Station::Field(duct));
    }
    match place.unwrap_or("0.5").parse::<f64>() {
        Ok(share) if (0.0..=1.0).contains(&share) => Ok(Station::Duct(duct, share)),
        _ => Err(PlanError::Ask {
            what: format!("{asked}: the place is no number from 0 to 1"),
            hint: format!("write the share of its length, \"{name} at 0.5\""),
        }),
    }
}
