//! A measured lobe or lift table turned to lift of the valve over crank angle.

use super::cam::{Cam, LiftCurve, Which};
use crate::fault::Finding;
use crate::fill::Fill;
use crate::item::Table;

/// A table's greatest lift may be this far from the stated centreline, rad; own: 4 degrees.
const PEAK_DOUBT: f64 = 0.07;

/// The curve of one side, when there is a table.
pub(crate) fn of(fill: &mut Fill, which: Which, cam: &Cam) -> Option<LiftCurve> {
    let path = format!("{}.cam.lift_curve", which.name());
    let table = fill.table(&path)?;
    let centre = match which {
        Which::Intake => cam.centreline.si,
        Which::Exhaust => -cam.centreline.si,
    };
    let curve = turned(&table, cam, centre);
    let problem = match &curve {
        None => Some("a lift curve needs an angle (crank or cam) and a lift (valve or lifter)"),
        Some(curve) if curve.angle.len() < 8 => Some("a lift curve needs at least 8 points"),
        Some(curve) if curve.lift.iter().all(|l| *l <= 0.0) => Some("this lift curve never lifts"),
        Some(_) => None,
    };
    if let Some(problem) = problem {
        let place = fill.place(&path);
        let remedy =
            "Columns \"crank deg, valve mm\" or \"cam deg, lifter in\" are the usual ones.";
        fill.fault(Finding::new(problem).about(&path).remedy(remedy), place.as_ref());
        return None;
    }
    let curve = curve?;
    peak_near(fill, &path, &curve, centre);
    Some(curve)
}

/// Angle after top dead centre of the gas exchange, lift with the lash taken off.
fn turned(table: &Table, cam: &Cam, centre: f64) -> Option<LiftCurve> {
    let angle: Vec<f64> = match (table.column("crank"), table.column("cam")) {
        (Some(crank), _) => crank.to_vec(),
        (None, Some(cam)) => cam.iter().map(|a| centre + 2.0 * a).collect(),
        _ => return None,
    };
    let scale = table.scale.si;
    let lift: Vec<f64> = match (table.column("valve"), table.column("lifter")) {
        (Some(valve), _) => valve.iter().map(|l| (l * scale).max(0.0)).collect(),
        (None, Some(lifter)) => {
            let net = |rise: &f64| (rise * scale * cam.rocker_ratio.si - cam.lash.si).max(0.0);
            lifter.iter().map(net).collect()
        }
        _ => return None,
    };
    Some(LiftCurve { angle, lift })
}

fn peak_near(fill: &mut Fill, path: &str, curve: &LiftCurve, centre: f64) {
    let top = curve.lift.iter().copied().fold(0.0, f64::max);
    // The nose is flat: the middle of the angles within 1 % of the top stands for it.
    let near = curve.angle.iter().zip(&curve.lift).filter(|(_, l)| **l >= 0.99 * top);
    let angles: Vec<f64> = near.map(|(a, _)| *a).collect();
    let (Some(first), Some(last)) = (angles.first(), angles.last()) else { return };
    let apart = 0.5 * (first + last) - centre;
    if apart.abs() > PEAK_DOUBT {
        let what = format!(
            "the curve's greatest lift is {:.1} deg from the centreline",
            apart.to_degrees()
        );
        let remedy = "The curve is used. Crank angles count from gas-exchange top dead centre.";
        fill.doubt(path, Finding::new(what).mark("which is right?").remedy(remedy));
    }
}
