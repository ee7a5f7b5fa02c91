//! Limits of a build: in order, watch, stop.

mod breathing;
mod cylinder;
mod mechanical;

use crate::prediction::Best;
use shortblock_cycle::Point;
use shortblock_engine::{Build, Value};
use shortblock_units::{Origin, Quantity};

/// How a limit stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Beyond it: do not run.
    Stop,
    /// Close to it, or a sign that something is not as written.
    Watch,
    /// Well inside.
    InOrder,
}

impl Verdict {
    /// The words on every page: `in order`, `watch`, `stop`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::InOrder => "in order",
            Self::Watch => "watch",
            Self::Stop => "stop",
        }
    }
}

/// Whose a limit is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// The engine file's.
    File,
    /// Shipped, with its source.
    Shipped(String),
}

/// One limit against the prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitCheck {
    /// What is limited: "mean piston speed".
    pub name: &'static str,
    /// How it stands.
    pub verdict: Verdict,
    /// The value that comes closest to the limit, SI.
    pub value: f64,
    /// The limit, SI; two where a range is wanted.
    pub limit: (Option<f64>, Option<f64>),
    /// Quantity of both.
    pub quantity: Quantity,
    /// Engine speed at which it comes closest, rad/s; `None` where speed plays no part.
    pub speed: Option<f64>,
    /// What it means, one sentence.
    pub reason: String,
    /// Whose limit it is.
    pub whose: Whose,
}

/// All limits of a predicted build that need no movement of the valve train: stop first, then
/// watch, then in order.
pub(crate) fn checks(build: &Build, points: &[Point], best_power: &Best) -> Vec<LimitCheck> {
    let mut all = mechanical::checks(build, points);
    all.extend(cylinder::checks(build, points));
    all.extend(breathing::checks(build, points, best_power));
    all.sort_by_key(|check| check.verdict);
    all
}

/// Within this share of a limit is close to it; own.
const CLOSE: f64 = 0.95;

/// A limit that must not be exceeded: stop beyond it, watch close below.
fn at_most(value: f64, limit: f64) -> Verdict {
    if value > limit * (1.0 + 1e-9) {
        Verdict::Stop
    } else if value > CLOSE * limit {
        Verdict::Watch
    } else {
        Verdict::InOrder
    }
}

/// A sign that should not be exceeded: watch beyond it, never stop.
fn sign(value: f64, limit: f64) -> Verdict {
    if value > limit { Verdict::Watch } else { Verdict::InOrder }
}

/// Whose the limit in a value is.
fn whose(value: &Value) -> Whose {
    match value.origin {
        Origin::Assumed => Whose::Shipped(value.source.clone()),
        _ => Whose::File,
    }
}

fn shipped(source: &str) -> Whose {
    Whose::Shipped(source.to_owned())
}

/// Speed and value of the point with the largest figure; NaN never is.
fn largest(points: &[Point], figure: impl Fn(&Point) -> f64) -> Option<(f64, f64)> {
    let all = points.iter().map(|point| (point.speed, figure(point)));
    all.filter(|(_, value)| value.is_finite()).max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The largest figure of a point's cylinders.
fn worst(point: &Point, figure: impl Fn(&shortblock_cycle::CylinderPoint) -> f64) -> f64 {
    point.cylinders.iter().map(figure).fold(f64::NEG_INFINITY, f64::max)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::prediction::Figure;
    use crate::tests_support::{four, plain_point};

    fn best(speed: f64) -> Best {
        let figure = Figure { value: 1.0, plus_minus: None };
        Best { figure, parts: None, speed, speed_plus_minus: None, at_end: false }
    }

    /// The check of this name for a build with one point at this speed (rad/s).
    pub(crate) fn check(build: &Build, point: Point, name: &str) -> Option<LimitCheck> {
        let at = best(point.speed);
        checks(build, &[point], &at).into_iter().find(|check| check.name == name)
    }

    #[test]
    fn what_stops_comes_first() {
        let build = four().with("limits.mean_piston_speed", "10 m/s").unwrap();
        let point = plain_point(&build, 700.0);
        let at = best(700.0);
        let all = checks(&build, &[point], &at);
        assert_eq!(all[0].name, "mean piston speed");
        assert!(all.windows(2).all(|pair| pair[0].verdict <= pair[1].verdict));
        assert!(all.iter().all(|check| check.reason.ends_with('.')), "{all:?}");
    }
}
