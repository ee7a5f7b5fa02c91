//! What to know about the numbers of a prediction.

use crate::band::Band;
use crate::network::network;
use shortblock_cycle::Point;
use shortblock_engine::Build;
use shortblock_engine::build::SparkPlan;
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
    let unburned: Vec<f64> = points.iter().filter(unburned).map(rpm).collect();
    if !unburned.is_empty() {
        out.push(format!(
            "{}: a cylinder does not burn through before the exhaust opens (mixture, residual gas or \
             spark); it has no burn angles",
            places(&unburned, points)
        ));
    }
    out.extend(early_spark(build, points));
    out.extend(safeguards(points));
    out.extend(usual(points));
    if let Some(band) = band {
        let lost = band.deviations.iter().filter(|row| row.is_none()).count();
        if lost > 0 {
            let all = band.deviations.len();
            out.push(format!("{lost} of {all} samples could not be worked out; the ± is wider"));
        }
    }
    out
}

/// A spark of the file that has half the charge burned before dead centre: far from the 8 to 10
/// degrees after it of best torque (Heywood 1988, chapter 9, from memory).
fn early_spark(build: &Build, points: &[Point]) -> Option<String> {
    if matches!(build.spark.plan, SparkPlan::BestTorque { .. }) {
        return None;
    }
    let half = |point: &Point| point.mean(|c| c.burn_50);
    let early: Vec<&Point> = points.iter().filter(|point| half(point) < 0.0).collect();
    let worst = early.iter().map(|point| -half(point)).reduce(f64::max)?;
    let speeds: Vec<f64> = early.iter().map(|point| rpm(point)).collect();
    Some(format!(
        "{}: the spark in the file has half the charge burned up to {:.0} degrees before dead centre, \
         where 8 to 10 after is best; either it is too early, or this engine burns slower at first than \
         worked out, and then it makes more torque, less pressure and less heat than shown",
        places(&speeds, points),
        worst.to_degrees()
    ))
}

/// Safeguards that act in sound engines, and what they mean to the reader.
const USUAL: [(&str, &str); 2] = [
    (
        "flame speed outside its range",
        "the flame speed is taken beyond the pressures and temperatures it was measured at",
    ),
    (
        "burning rate held",
        "the last of the charge burns as fast as one step of the calculation lets it",
    ),
];

/// Those of [`USUAL`] that acted, in one sentence with the range of their speeds: nothing can be done
/// about them.
fn usual(points: &[Point]) -> Option<String> {
    let at = |name: &str| {
        let acted = points.iter().filter(|p| p.clamps.iter().any(|(acted, _)| *acted == name));
        span(&acted.map(rpm).collect::<Vec<f64>>(), points)
    };
    let said: Vec<(String, &str)> =
        USUAL.iter().filter_map(|(name, means)| Some((at(name)?, *means))).collect();
    let (first, _) = said.first()?;
    let together = said.iter().all(|(speeds, _)| speeds == first);
    let each = said.iter().map(|(speeds, means)| match together {
        true => (*means).to_owned(),
        false => format!("{means} ({speeds})"),
    });
    let each = each.collect::<Vec<String>>().join("; ");
    let first = if together { format!(", {first}") } else { String::new() };
    Some(format!("usual at full load{first}: {each}"))
}

/// From the lowest to the highest of some speeds (rpm); none for no speed.
fn span(speeds: &[f64], points: &[Point]) -> Option<String> {
    Some(match (*speeds.first()?, *speeds.last()?) {
        _ if speeds.len() == points.len() && points.len() > 1 => "at every speed".to_owned(),
        (low, high) if low == high => format!("at {low:.0} rpm"),
        (low, high) => format!("from {low:.0} to {high:.0} rpm"),
    })
}

/// Other safeguards that acted, those of the same speeds in one sentence.
fn safeguards(points: &[Point]) -> Vec<String> {
    let mut acted: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for point in points {
        let others = point.clamps.iter().filter(|(name, _)| USUAL.iter().all(|(u, _)| u != name));
        for (name, _) in others {
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
        let at = places(&speeds, points);
        format!("safeguards of the calculation acted, {at}: {}", names.join("; "))
    };
    together.into_iter().map(sentence).collect()
}

/// Speeds (rpm) out of those of all points, in words.
fn places(speeds: &[f64], points: &[Point]) -> String {
    if speeds.len() == points.len() && points.len() > 1 {
        return "at every speed".to_owned();
    }
    speeds.iter().map(|rpm| format!("{rpm:.0}")).collect::<Vec<_>>().join(", ") + " rpm"
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

    #[test]
    fn a_typed_spark_far_beyond_the_best_is_told() {
        let point = |build: &Build, degrees: f64| {
            let mut point = plain_point(build, 500.0);
            point.cylinders.iter_mut().for_each(|c| c.burn_50 = f64::to_radians(degrees));
            point
        };
        let asked = four();
        let typed = four().with("spark.advance", "30 deg").unwrap();
        assert_eq!(early_spark(&asked, &[point(&asked, -9.0)]), None);
        assert_eq!(early_spark(&typed, &[point(&typed, 8.0)]), None);
        let said = early_spark(&typed, &[point(&typed, -9.0), point(&typed, 8.0)]).unwrap();
        assert!(
            said.starts_with("4775 rpm: ") && said.contains("up to 9 degrees before"),
            "{said}"
        );
    }

    #[test]
    fn what_acts_in_every_engine_is_said_once_and_quietly() {
        let build = four();
        let with = |rpm: f64, clamps: &[&'static str]| {
            let clamps = clamps.iter().map(|name| (*name, 3)).collect();
            Point { clamps, ..plain_point(&build, rpm * PI / 30.0) }
        };
        let names = USUAL.map(|(name, _)| name);
        let points = [with(2000.0, &names), with(3000.0, &names[..1]), with(4000.0, &["a"])];
        let said = of(&build, &points, None);
        let about = |word: &str| said.iter().filter(|remark| remark.contains(word)).count();
        assert_eq!(
            (about("flame speed"), about("usual at full load"), about("4000 rpm: a")),
            (1, 1, 1)
        );
        let [(_, flame), (_, held)] = USUAL;
        let wanted =
            format!("usual at full load: {flame} (from 2000 to 3000 rpm); {held} (at 2000 rpm)");
        assert_eq!(usual(&points), Some(wanted));
        let every = format!("usual at full load, at every speed: {flame}; {held}");
        assert_eq!(usual(&[points[0].clone(), points[0].clone()]), Some(every));
        assert_eq!(usual(&points[2..]), None);
    }
}
