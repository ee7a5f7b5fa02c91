//! What the model has wrong, from the residuals of engines left out of the fit.
//!
//! A level for each engine and a shape over its speeds are looked at apart. Each has a known part
//! (inputs, numbers chosen without the engine, rating, rounding) and a part that all engines have in
//! common; its size is the one at which the squared residuals over their variance come out at their
//! number (Paule & Mandel, J. Res. Natl. Bur. Stand. 87, 1982, 377; from memory): residual variance
//! less input variance less rating variance, engines of which little is known weighing little. The
//! mean is taken as zero: the generic numbers have had their say, and the engine was left out.

use crate::fit::{Evidence, Scores};
use crate::matrix::times;
use shortblock_plan::{DiscrepancyTerm, discrepancy_table};

/// What one engine's published points say, left out of the fit.
pub struct LeftOut {
    /// Its name.
    pub name: String,
    /// Speeds, rad/s.
    pub speeds: Vec<f64>,
    /// ln published torque less ln predicted.
    pub residual: Vec<f64>,
    /// Covariance of what is known to be uncertain.
    pub known: Vec<Vec<f64>>,
}

impl LeftOut {
    /// The engine's evidence at `z0` with the numbers `z` chosen without it, known to `covariance`.
    pub fn new(
        name: &str,
        speeds: &[f64],
        evidence: &Evidence,
        z0: &Scores,
        z: &Scores,
        covariance: &[Vec<f64>],
    ) -> Self {
        let n = speeds.len();
        let shift = |slope: &Scores| -> f64 { (0..4).map(|k| slope[k] * (z[k] - z0[k])).sum() };
        let residual = evidence.residual.iter().zip(&evidence.slopes);
        let numbers = |i: usize, j: usize| -> f64 {
            let row = times(covariance, &evidence.slopes[j]);
            evidence.slopes[i].iter().zip(row).map(|(a, b)| a * b).sum()
        };
        let known = (0..n)
            .map(|i| (0..n).map(|j| evidence.known[i][j] + numbers(i, j)).collect())
            .collect();
        Self {
            name: name.to_owned(),
            speeds: speeds.to_vec(),
            residual: residual.map(|(r, slope)| r - shift(slope)).collect(),
            known,
        }
    }

    /// Number of points.
    fn n(&self) -> f64 {
        self.residual.len() as f64
    }

    /// Mean residual.
    pub fn level(&self) -> f64 {
        self.residual.iter().sum::<f64>() / self.n()
    }

    /// Mean square of the residuals about their mean; 0 for one point.
    pub fn shape(&self) -> f64 {
        let mean = self.level();
        let square: f64 = self.residual.iter().map(|r| (r - mean).powi(2)).sum();
        square / (self.n() - 1.0).max(1.0)
    }

    /// Variance of the mean and of the points about it, of a covariance.
    fn split(&self, of: impl Fn(usize, usize) -> f64) -> (f64, f64) {
        let all = 0..self.residual.len();
        let mean = all.clone().flat_map(|i| all.clone().map(move |j| (i, j)));
        let mean = mean.map(|(i, j)| of(i, j)).sum::<f64>() / (self.n() * self.n());
        let own = all.map(|i| of(i, i)).sum::<f64>() / self.n();
        (mean, (own - mean) * self.n() / (self.n() - 1.0).max(1.0))
    }

    /// The known part of both variances.
    pub fn known_parts(&self) -> (f64, f64) {
        self.split(|i, j| self.known[i][j])
    }
}

/// An estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Standard deviation, share of torque.
    pub sd: f64,
    /// Degrees of freedom.
    pub degrees: usize,
}

/// Level and shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Discrepancy {
    /// Alike at all speeds of an engine.
    pub level: Estimate,
    /// Of the curve's shape at one speed, all its terms together.
    pub shape: Estimate,
}

/// The discrepancy behind the residuals; `None` when there are none.
pub fn estimate(engines: &[LeftOut]) -> Option<Discrepancy> {
    if engines.is_empty() {
        return None;
    }
    // Of a shape with a variance of 1 at one speed.
    let unit = |e: &LeftOut| e.split(|i, j| likeness(e.speeds[i], e.speeds[j]));
    let shapes: Vec<Seen> = engines
        .iter()
        .filter(|e| e.residual.len() > 1)
        .map(|e| Seen {
            square: e.shape(),
            known: e.known_parts().1,
            share: unit(e).1,
            degrees: e.residual.len() - 1,
        })
        .collect();
    let shape = common(&shapes);
    let levels: Vec<Seen> = engines
        .iter()
        .map(|e| Seen {
            square: e.level().powi(2),
            known: e.known_parts().0 + shape * unit(e).0,
            share: 1.0,
            degrees: 1,
        })
        .collect();
    let sized = |variance: f64, seen: &[Seen]| Estimate {
        sd: variance.sqrt(),
        degrees: seen.iter().map(|s| s.degrees).sum(),
    };
    Some(Discrepancy { level: sized(common(&levels), &levels), shape: sized(shape, &shapes) })
}

/// A mean square, what is known of its variance, and how the common variance enters.
struct Seen {
    square: f64,
    known: f64,
    share: f64,
    degrees: usize,
}

/// Larger than any discrepancy: a standard deviation of 100 %.
const MOST: f64 = 1.0;

/// The common variance; 0 where the known parts explain the squares by themselves.
fn common(seen: &[Seen]) -> f64 {
    let degrees: usize = seen.iter().map(|s| s.degrees).sum();
    let left = |variance: f64| {
        let each = seen.iter().map(|s| {
            s.degrees as f64 * s.square / (s.known + s.share * variance).max(f64::MIN_POSITIVE)
        });
        each.sum::<f64>() - degrees as f64
    };
    if left(0.0) <= 0.0 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, MOST);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if left(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// The shipped terms of an engine.
fn shipped() -> impl Iterator<Item = &'static DiscrepancyTerm> {
    discrepancy_table().iter().filter(|term| term.of == "engine")
}

/// How alike the shape is at two speeds: that of the shipped terms, by their shares of variance.
fn likeness(a: f64, b: f64) -> f64 {
    let terms = || shipped().filter(|term| term.over_rpm.is_some());
    let all: f64 = terms().map(|term| term.sd.powi(2)).sum();
    terms().map(|term| term.sd.powi(2) / all * term.likeness(a, b)).sum()
}

/// Standard deviations of level and shape below which they are never shipped: together 2 %.
const FLOOR: [(&str, f64); 3] = [("level", 0.0112), ("shape", 0.0160), ("bumps", 0.0045)];

/// The terms to ship: the estimate, or a term's share of the floor where that is larger.
pub fn to_ship(found: &Discrepancy) -> Vec<DiscrepancyTerm> {
    let floor = |name: &str| FLOOR.iter().find(|(of, _)| *of == name).map_or(0.0, |(_, sd)| *sd);
    let floor_of_shape = floor("shape").hypot(floor("bumps"));
    let term = |old: &DiscrepancyTerm| {
        let floor = floor(&old.name);
        let (sd, degrees) = match old.over_rpm {
            None => (found.level.sd, found.level.degrees),
            // Bumps keep their share of the shape.
            Some(_) => (found.shape.sd * floor / floor_of_shape, found.shape.degrees),
        };
        let sd = (1e4 * sd).round() / 1e4;
        let own = sd > floor;
        DiscrepancyTerm {
            sd: if own { sd } else { floor },
            degrees: own.then_some(degrees),
            source: if own {
                "left-out residuals, docs/validation.md"
            } else {
                "its share of the floor of 2 %"
            }
            .to_owned(),
            ..old.clone()
        }
    };
    shipped().map(term).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn engine(residual: &[f64], known: f64) -> LeftOut {
        let n = residual.len();
        // The known part is all level.
        let speeds = (0..n).map(|i| 300.0 + 2000.0 * i as f64).collect();
        let known = vec![vec![known; n]; n];
        LeftOut { name: String::new(), speeds, residual: residual.to_vec(), known }
    }

    #[test]
    fn residuals_less_what_is_known_are_left() {
        // Two engines, alike in what is known: (0.05² + 0.03²) / 2 - 0.01² = 0.04².
        let found = estimate(&[engine(&[0.05], 1e-4), engine(&[-0.03], 1e-4)]).unwrap();
        assert!((found.level.sd - (1.7e-3_f64 - 1e-4).sqrt()).abs() < 1e-9);
        assert_eq!((found.level.degrees, found.shape.degrees), (2, 0));
    }

    #[test]
    fn what_inputs_explain_leaves_nothing() {
        let found = estimate(&[engine(&[0.02], 1e-3), engine(&[-0.01], 1e-3)]).unwrap();
        assert_eq!(found.level.sd, 0.0);
        let ship = to_ship(&found);
        let all: f64 = ship.iter().map(|term| term.sd.powi(2)).sum();
        assert!(all.sqrt() > 0.02 - 1e-4, "the floor");
        assert!(ship.iter().all(|term| term.degrees.is_none()));
    }

    #[test]
    fn a_tilt_is_shape_and_no_level() {
        // Speeds far apart: the shape's variance is the mean square about the mean.
        let found = estimate(&[engine(&[0.04, -0.04], 0.0), engine(&[-0.04, 0.04], 0.0)]).unwrap();
        assert_eq!(found.level.sd, 0.0);
        assert!((found.shape.sd - (2.0 * 0.04_f64.powi(2)).sqrt()).abs() < 1e-6);
        assert_eq!(found.shape.degrees, 2);
        let ship = to_ship(&found);
        let shape: f64 = ship.iter().skip(1).map(|term| term.sd.powi(2)).sum();
        assert!((shape.sqrt() / found.shape.sd - 1.0).abs() < 2e-3);
        assert!(ship[1].degrees == Some(2) && ship[0].degrees.is_none());
    }

    #[test]
    fn an_engine_of_which_little_is_known_weighs_little() {
        let sure = engine(&[0.02], 0.0);
        let unsure = engine(&[0.30], 0.10);
        let found = estimate(&[sure, unsure]).unwrap();
        assert!(found.level.sd < 0.04, "{found:?}");
    }
}
