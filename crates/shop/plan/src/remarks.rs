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
    let unburned = |point: &&Point| point.cylinders.iter().any(|c| c.burn_10_90.is_nan());
    for point in points.iter().filter(unburned) {
        out.push(format!(
            "{:.0} rpm: a cylinder does not burn through before the exhaust opens (mixture, residual \
             gas or spark); it has no burn angles",
            rpm(point)
        ));
    }
    out.extend(safeguards(points));
    if let Some(band) = band {
        let lost = band.deviations.iter().filter(|row| row.is_none()).count();
        if lost > 0 {
            let all = band.deviations.len();
            out.push(format!("{lost} of {all} samples could not be worked out; the ± is wider"));
        }
    }
    out
}

/// Safeguards that acted, those of the same speeds in one sentence.
fn safeguards(points: &[Point]) -> Vec<String> {
    let mut acted: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for point in points {
        for (name, _) in &point.clamps {
            acted.entry(name).or_default().push(rpm(point));
        }
    }
    let mut together: Vec<(Vec<f64>, Vec<&str>)> = Vec::new();
    for (name, speeds) in acted {
        match together.iter_mut().find(|(at, _)| *at == speeds) {
            Some((_, names)) => names.push(name),
            None => together.push((speeds, vec![name])),
        }
    }
    let sentence = |(speeds, names): (Vec<f64>, Vec<&str>)| {
        let at = match speeds.len() == points.len() && points.len() > 1 {
            true => "at every speed".to_owned(),
            false => {
                speeds.iter().map(|rpm| format!("{rpm:.0}")).collect::<Vec<_>>().join(", ") + " rpm"
            }
        };
        format!("safeguards of the calculation acted, {at}: {}", names.join("; "))
    };
    together.into_iter().map(sentence).collect()
}

fn rpm(point: &Point) -> f64 {
    point.speed * 30.0 / PI
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests_support::{four, plain_point};

    #[test]
    fn safeguards_of_the_same_speeds_share_a_sentence() {
        let build = four();
        let with = |rpm: f64, clamps: &[&'static str]| {
            let clamps = clamps.iter().map(|name| (*name, 3)).collect();
            Point { clamps, ..plain_point(&build, rpm * PI / 30.0) }
        };
        let points = [with(2000.0, &["a", "b"]), with(3000.0, &["a", "b", "c"])];
        let said = safeguards(&points);
        assert_eq!(
            said,
            [
                "safeguards of the calculation acted, at every speed: a; b",
                "safeguards of the calculation acted, 3000 rpm: c",
            ]
        );
        assert!(safeguards(&[with(2000.0, &[])]).is_empty());
    }
}
