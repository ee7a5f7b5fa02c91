//! A lift curve from a measured table.

use super::{CYCLE, Lift, LiftCurve, MeasuredAt};
use crate::CylinderError;
use crate::monotone::Monotone;

impl LiftCurve {
    /// Takes a measured table of angle (rad after firing dead centre, ascending) and lift (m,
    /// measured as `at` says), with the running lash (m at the valve).
    ///
    /// # Errors
    /// [`CylinderError::Table`] naming the first row that is not in order or not a number, or when
    /// the valve never opens.
    pub fn measured(rows: &[(f64, f64)], at: MeasuredAt, lash: f64) -> Result<Self, CylinderError> {
        let fault =
            |row, what, hint| Err(CylinderError::Table { table: "lift table", row, what, hint });
        if rows.len() < 5 {
            return fault(rows.len(), "is the last", "give at least five points");
        }
        for (i, (angle, lift)) in rows.iter().enumerate() {
            if !angle.is_finite() || !(-0.01..0.2).contains(lift) {
                return fault(i + 1, "is not an angle and a lift", "lift below 0.2 m");
            }
            if i > 0 && *angle <= rows[i - 1].0 {
                return fault(i + 1, "does not follow the row before", "sort the rows by angle");
            }
        }
        if rows[rows.len() - 1].0 - rows[0].0 >= CYCLE {
            return fault(rows.len(), "is more than two turns on", "give one opening only");
        }
        let net: Vec<(f64, f64)> =
            rows.iter().map(|(a, y)| (*a, Lift { value: *y, at }.net(lash))).collect();
        let Some(first) = net.iter().position(|p| p.1 > 0.0) else {
            return fault(
                1,
                "and all others stay shut",
                "check the lash and where lift was measured",
            );
        };
        let last = net.iter().rposition(|p| p.1 > 0.0).unwrap_or(first);
        let mut points: Vec<(f64, f64)> = Vec::with_capacity(last - first + 3);
        if first > 0 {
            points.push((zero_between(net[first - 1], net[first]), 0.0));
        }
        points.extend(net[first..=last].iter().map(|p| (p.0, p.1.max(0.0))));
        if last + 1 < net.len() {
            points.push((zero_between(net[last], net[last + 1]), 0.0));
        }
        points.dedup_by(|a, b| a.0 - b.0 < 1e-9);
        if points.len() < 3 {
            return fault(first + 1, "is nearly the only one open", "measure more points");
        }
        let (centreline, max_lift) =
            points.iter().fold((0.0, 0.0), |best, p| if p.1 > best.1 { *p } else { best });
        let (x, y) = points.into_iter().unzip();
        Ok(Self { table: Monotone::new(x, y), centreline, max_lift })
    }
}

/// Angle at which the lift between two points of different sign is zero.
fn zero_between(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.0 + (b.0 - a.0) * a.1 / (a.1 - b.1)
}
