//! What to know about the numbers of a prediction.

use crate::band::Band;
use crate::network::network;
use shortblock_cycle::Point;
use shortblock_engine::Build;
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// What was simplified, points that do not repeat, safeguards that acted, samples that could not be worked out.
pub(crate) fn of(build: &Build, points: &[Point], band: Option<&Band>) -> Vec<String> {
    let mut out = network(build).map_or_else(|_| Vec::new(), |design| design.notes);
    for point in points.iter().filter(|point| !point.convergence.converged) {
        out.push(format!(
            "{:.0} rpm does not repeat: after {} cycles it still changed by {:.2} %",
            rpm(point),
            point.convergence.cycles,
            100.0 * point.convergence.change
        ));
    }
    let mut acted: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for point in points {
        for (name, count) in &point.clamps {
            acted.entry(name).or_default().push(format!("{:.0} rpm ({count}x)", rpm(point)));
        }
    }
    out.extend(acted.iter().map(|(name, at)| match at.len() == points.len() && at.len() > 1 {
        true => format!("{name}: at every speed"),
        false => format!("{name}: {}", at.join(", ")),
    }));
    if let Some(band) = band {
        let lost = band.deviations.iter().filter(|row| row.is_none()).count();
        if lost > 0 {
            let all = band.deviations.len();
            out.push(format!("{lost} of {all} samples could not be worked out; the ± is wider"));
        }
    }
    out
}

fn rpm(point: &Point) -> f64 {
    point.speed * 30.0 / PI
}
