//! A measured lobe or lift table turned to lift of the valve over crank angle.

use shortblock_units::Quantity;

use super::cam::{LiftCurve, Which};
use crate::fill::Fill;
use crate::item::Table;
use crate::value::Value;
use shortblock_document::Finding;

/// A nose this far from 0 in a table over cam angle is asked, rad; own: 2 degrees.
const NOSE_DOUBT: f64 = 0.035;
/// How well the middle of a measured nose gives the centreline, rad; own: 1 degree.
const PEAK_KNOWN: f64 = 0.0175;

fn path(which: Which) -> String {
    format!("{}.cam.lift_curve", which.name())
}

/// The curve of one side, when there is a table.
pub(super) fn of(
    fill: &mut Fill,
    which: Which,
    ratio: &Value,
    lash: &Value,
    centreline: &Value,
) -> Option<LiftCurve> {
    let path = path(which);
    let table = fill.table(&path)?;
    let curve = turned(&table, which, ratio, lash, centreline);
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
    nose_at_zero(fill, &path, &table);
    curve
}

/// The centreline that a table over crank angle shows: intake after, exhaust before top dead centre.
pub(super) fn peak(fill: &Fill, which: Which) -> Option<Value> {
    let table = fill.table(&path(which))?;
    let middle = nose(table.column("crank")?, lift_column(&table)?)?;
    let si = if which == Which::Intake { middle } else { -middle };
    Some(Value::worked_out(si, PEAK_KNOWN, Quantity::Angle, "greatest lift of the measured curve"))
}

/// The same table counted in cam angle from its nose, so that it follows a new centreline.
pub(crate) fn about_its_nose(table: &Table) -> Option<Table> {
    let crank = table.column("crank")?;
    let middle = nose(crank, lift_column(table)?)?;
    let cam: Vec<f64> = crank.iter().map(|a| 0.5 * (a - middle)).collect();
    let columns = table.columns.iter().map(|(name, values)| match *name {
        "crank" => ("cam", cam.clone()),
        other => (other, values.clone()),
    });
    Some(Table { columns: columns.collect(), ..table.clone() })
}

fn lift_column(table: &Table) -> Option<&[f64]> {
    table.column("valve").or_else(|| table.column("lifter"))
}

/// Middle of the angles within 1 % of the top: the nose is flat.
fn nose(angle: &[f64], lift: &[f64]) -> Option<f64> {
    let top = lift.iter().copied().fold(0.0, f64::max);
    let near = angle.iter().zip(lift).filter(|(_, l)| top > 0.0 && **l >= 0.99 * top);
    let angles: Vec<f64> = near.map(|(a, _)| *a).collect();
    Some(0.5 * (angles.first()? + angles.last()?))
}

/// Angle after top dead centre of the gas exchange, lift with the lash taken off.
fn turned(
    table: &Table,
    which: Which,
    ratio: &Value,
    lash: &Value,
    centreline: &Value,
) -> Option<LiftCurve> {
    let centre = if which == Which::Intake { centreline.si } else { -centreline.si };
    let angle: Vec<f64> = match (table.column("crank"), table.column("cam")) {
        (Some(crank), _) => crank.to_vec(),
        (None, Some(cam)) => cam.iter().map(|a| centre + 2.0 * a).collect(),
        _ => return None,
    };
    let scale = table.scale.si;
    let lift: Vec<f64> = match (table.column("valve"), table.column("lifter")) {
        (Some(valve), _) => valve.iter().map(|l| (l * scale).max(0.0)).collect(),
        (None, Some(lifter)) => {
            lifter.iter().map(|rise| (rise * scale * ratio.si - lash.si).max(0.0)).collect()
        }
        _ => return None,
    };
    Some(LiftCurve { angle, lift })
}

fn nose_at_zero(fill: &mut Fill, path: &str, table: &Table) {
    let (None, Some(cam), Some(lift)) =
        (table.column("crank"), table.column("cam"), lift_column(table))
    else {
        return;
    };
    if let Some(middle) = nose(cam, lift).filter(|m| m.abs() > NOSE_DOUBT) {
        let what =
            format!("the lobe's nose stands at {:.1} deg of cam, not at 0", middle.to_degrees());
        let remedy =
            "Cam angles count from the point of greatest lift; that point gets the centreline.";
        fill.doubt(path, Finding::new(what).mark("is it right?").remedy(remedy));
    }
}
