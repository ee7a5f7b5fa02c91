//! What the model has wrong, from the residuals of engines left out of the fit.
//!
//! Residuals have a known part (inputs, numbers chosen without the engine, rating, rounding) and a part
//! that all engines have in common; its size is the one at which the squared residuals over their
//! variance come out at their number (Paule & Mandel, J. Res. Natl. Bur. Stand. 87, 1982, 377; from memory): residual variance
//! less input variance less rating variance, engines of which little is known weighing little. The
//! mean is taken as zero: the generic numbers have had their say, and the engine was left out.
//!
//! The whole is what the ± of one figure needs, so it is estimated from the residuals themselves. Of it
//! the shape over an engine's speeds is estimated from the residuals about their mean, and is never
//! more than the whole: how far a shape reaches over speed is assumed, and too long a reach would make
//! it so. The rest of the whole is a level for each engine.
//!
//! Peaks are looked at in the same way and apart from points: best torque and best power of an engine
//! are off by a level together, and each by itself.

use crate::fit::{Evidence, Posterior, Scores};
use crate::matrix::times;
use shortblock_plan::{DiscrepancyTerm, discrepancy_table};

/// What one engine's published points say, left out of the fit.
pub struct LeftOut {
    /// Its name.
    pub name: String,
    /// Speeds at which they were published, rad/s.
    pub speeds: Vec<f64>,
    /// ln published torque less ln predicted.
    pub residual: Vec<f64>,
    /// Covariance of what is known to be uncertain.
    pub known: Vec<Vec<f64>>,
}

impl LeftOut {
    /// The engine's evidence at `z0` with the numbers chosen without it.
    pub fn new(
        name: &str,
        speeds: &[f64],
        evidence: &Evidence,
        z0: &Scores,
        numbers: &Posterior,
    ) -> Self {
        let (z, covariance) = (&numbers.z, &numbers.covariance);
        let n = speeds.len();
        let shift = |slope: &Scores| -> f64 { (0..4).map(|k| slope[k] * (z[k] - z0[k])).sum() };
        let residual = evidence.residual.iter().zip(&evidence.slopes);
        let of_numbers = |i: usize, j: usize| -> f64 {
            let row = times(covariance, &evidence.slopes[j]);
            evidence.slopes[i].iter().zip(row).map(|(a, b)| a * b).sum()
        };
        let known = (0..n)
            .map(|i| (0..n).map(|j| evidence.known[i][j] + of_numbers(i, j)).collect())
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
    /// Alike for all figures of an engine.
    pub level: Estimate,
    /// Of points: of the curve's shape at one speed, all its terms together. Of peaks: of each by
    /// itself.
    pub shape: Estimate,
}

/// What the model has wrong at a speed and at peaks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wrong {
    /// Torque at a speed.
    pub speed: Discrepancy,
    /// Best torque and best power.
    pub peak: Discrepancy,
}

impl Wrong {
    /// From the left-out residuals of points and of peaks; `None` where one has none.
    pub fn of(points: &[LeftOut], peaks: &[LeftOut]) -> Option<Self> {
        let over_speed = |e: &LeftOut, i: usize, j: usize| likeness(e.speeds[i], e.speeds[j]);
        // Best torque and best power by themselves: nothing in common but the level.
        let apart = |_: &LeftOut, i: usize, j: usize| f64::from(u8::from(i == j));
        Some(Self { speed: estimate(points, &over_speed)?, peak: estimate(peaks, &apart)? })
    }
}

/// The discrepancy behind the residuals; `None` when there are none. `likeness` says how alike the
/// shape is for two figures of an engine.
fn estimate(
    engines: &[LeftOut],
    likeness: &dyn Fn(&LeftOut, usize, usize) -> f64,
) -> Option<Discrepancy> {
    if engines.is_empty() {
        return None;
    }
    // Of a shape with a variance of 1 for one figure.
    let unit = |e: &LeftOut| e.split(|i, j| likeness(e, i, j));
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
    let each: Vec<Seen> = engines
        .iter()
        .flat_map(|e| (0..e.residual.len()).map(move |i| (e.residual[i], e.known[i][i])))
        .map(|(r, known)| Seen { square: r * r, known, share: 1.0, degrees: 1 })
        .collect();
    let whole = common(&each);
    let shape = common(&shapes).min(whole);
    let sized = |variance: f64, degrees: usize| Estimate { sd: variance.sqrt(), degrees };
    let differences = shapes.iter().map(|s| s.degrees).sum();
    Some(Discrepancy {
        level: sized(whole - shape, engines.len()),
        shape: sized(shape, differences),
    })
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

/// The shipped terms of an engine or of peaks.
fn shipped(of: &str) -> impl Iterator<Item = &'static DiscrepancyTerm> {
    discrepancy_table().iter().filter(move |term| term.of == of)
}

/// How alike the shape is at two speeds: that of the shipped terms, by their shares of variance.
fn likeness(a: f64, b: f64) -> f64 {
    let terms = || shipped("engine").filter(|term| term.over_rpm.is_some());
    let all: f64 = terms().map(|term| term.sd.powi(2)).sum();
    terms().map(|term| term.sd.powi(2) / all * term.likeness(a, b)).sum()
}

/// Standard deviations below which terms are never shipped: together 2 % at a speed, and of a peak.
const FLOOR: [(&str, f64); 4] =
    [("level", 0.0112), ("shape", 0.0160), ("bumps", 0.0045), ("apart", 0.0166)];

/// The terms to ship: the estimate, or a term's share of the floor where that is larger.
pub fn to_ship(found: &Wrong) -> Vec<DiscrepancyTerm> {
    let floor = |name: &str| FLOOR.iter().find(|(of, _)| *of == name).map_or(0.0, |(_, sd)| *sd);
    let floor_of_shape = floor("shape").hypot(floor("bumps"));
    let estimated = |old: &DiscrepancyTerm| {
        let of = if old.of == "peak" { &found.peak } else { &found.speed };
        match (old.name.as_str(), old.over_rpm) {
            ("level", _) => (of.level.sd, of.level.degrees),
            (_, None) => (of.shape.sd, of.shape.degrees),
            // Bumps keep their share of the shape.
            (name, Some(_)) => (of.shape.sd * floor(name) / floor_of_shape, of.shape.degrees),
        }
    };
    let term = |old: &DiscrepancyTerm| {
        let floor = floor(&old.name);
        let (sd, degrees) = estimated(old);
        // To a place that the next run, made with the terms, gives again.
        let sd = (1e3 * sd).round() / 1e3;
        let own = sd > floor;
        let source = match (own, old.of.as_str()) {
            (false, _) => "its share of the floor of 2 %",
            (true, "peak") => "left-out residuals of peaks, docs/validation.md",
            (true, _) => "left-out residuals, docs/validation.md",
        };
        DiscrepancyTerm {
            sd: if own { sd } else { floor },
            degrees: own.then_some(degrees),
            source: source.to_owned(),
            ..old.clone()
        }
    };
    shipped("engine").chain(shipped("peak")).map(term).collect()
}

/// ± (share, coverage 95 %) of terms, of "engine" at one speed or of "peak".
pub fn plus_minus(terms: &[DiscrepancyTerm], of: &str) -> f64 {
    let own = terms.iter().filter(|term| term.of == of);
    own.map(|term| (term.factor() * term.sd).powi(2)).sum::<f64>().sqrt()
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

    fn found(engines: &[LeftOut]) -> Discrepancy {
        Wrong::of(engines, engines).unwrap().speed
    }

    fn ship(engines: &[LeftOut]) -> Vec<DiscrepancyTerm> {
        let all = to_ship(&Wrong::of(engines, engines).unwrap());
        all.into_iter().filter(|term| term.of == "engine").collect()
    }

    #[test]
    fn residuals_less_what_is_known_are_left() {
        // Two engines, alike in what is known: (0.05² + 0.03²) / 2 - 0.01² = 0.04².
        let found = found(&[engine(&[0.05], 1e-4), engine(&[-0.03], 1e-4)]);
        assert!((found.level.sd - (1.7e-3_f64 - 1e-4).sqrt()).abs() < 1e-9);
        assert_eq!((found.level.degrees, found.shape.degrees), (2, 0));
    }

    #[test]
    fn what_inputs_explain_leaves_nothing() {
        let engines = [engine(&[0.02], 1e-3), engine(&[-0.01], 1e-3)];
        assert_eq!(found(&engines).level.sd, 0.0);
        let ship = ship(&engines);
        let all: f64 = ship.iter().map(|term| term.sd.powi(2)).sum();
        assert!(all.sqrt() > 0.02 - 1e-4, "the floor");
        assert!(ship.iter().all(|term| term.degrees.is_none()));
    }

    #[test]
    fn a_tilt_is_shape_and_no_level() {
        // Speeds far apart: all is shape, as much as the residuals show.
        let engines = [engine(&[0.04, -0.04], 0.0), engine(&[-0.04, 0.04], 0.0)];
        let found = found(&engines);
        assert_eq!(found.level.sd, 0.0);
        assert!((found.shape.sd - 0.04).abs() < 1e-6);
        assert_eq!(found.shape.degrees, 2);
        let ship = ship(&engines);
        let shape: f64 = ship.iter().skip(1).map(|term| term.sd.powi(2)).sum();
        // Two terms, each rounded to 0.1 %.
        assert!((shape.sqrt() - found.shape.sd).abs() < 2.0 * 5e-4);
        assert!(ship[1].degrees == Some(2) && ship[0].degrees.is_none());
    }

    #[test]
    fn an_engine_of_which_little_is_known_weighs_little() {
        let sure = engine(&[0.02], 0.0);
        let unsure = engine(&[0.30], 0.10);
        let found = found(&[sure, unsure]);
        assert!(found.level.sd < 0.04, "{found:?}");
    }

    /// A closed form: with means of known variance v alike for k engines and a common variance s the
    /// equation gives the mean square less v, whose mean is s and whose standard deviation is
    /// (s + v) sqrt(2 / k) (chi-squared law).
    #[test]
    fn on_average_the_estimate_is_the_truth() {
        let (engines, draws, known, truth) = (400, 40, 0.0009, 0.0016_f64);
        // Sum of twelve even draws less six: near normal, excess -0.1 (Irwin-Hall).
        let mut state = 1_u64;
        let mut normal = || {
            let even = (0..12).map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                (state >> 11) as f64 / (1_u64 << 53) as f64
            });
            even.sum::<f64>() - 6.0
        };
        let one = |normal: &mut dyn FnMut() -> f64| {
            let all: Vec<LeftOut> =
                (0..engines).map(|_| engine(&[(known + truth).sqrt() * normal()], known)).collect();
            found(&all).level.sd.powi(2)
        };
        let mean = (0..draws).map(|_| one(&mut normal)).sum::<f64>() / f64::from(draws);
        let scatter = (known + truth) * (2.0 / f64::from(engines * draws)).sqrt();
        assert!((mean - truth).abs() < 4.0 * scatter, "{mean} {scatter}");
    }

    /// A shape that reaches less far than is assumed: residuals of 5 % without likeness at speeds that
    /// lie close. The shape alone would be told far too large.
    #[test]
    fn a_part_is_never_more_than_the_whole() {
        let close = |a: f64, b: f64| LeftOut { speeds: vec![400.0, 450.0], ..engine(&[a, b], 0.0) };
        let found = found(&[close(0.05, -0.05), close(0.05, 0.05), close(-0.05, 0.05)]);
        assert!((found.shape.sd - 0.05).abs() < 1e-9 && found.level.sd < 1e-9, "{found:?}");
    }

    /// Best torque and best power, each off by itself with variance a, and together with l: the
    /// half difference squared twice is a, the square of each l + a.
    #[test]
    fn peaks_share_a_level_and_are_off_by_themselves() {
        let engines =
            [engine(&[0.07, 0.01], 0.0), engine(&[-0.01, -0.07], 0.0), engine(&[0.01, 0.07], 0.0)];
        let peak = Wrong::of(&engines, &engines).unwrap().peak;
        let apart: f64 = 2.0 * 0.03 * 0.03;
        assert!((peak.shape.sd - apart.sqrt()).abs() < 1e-9, "{peak:?}");
        assert!((peak.level.sd.powi(2) - (0.0025 - apart)).abs() < 1e-9);
        assert_eq!((peak.level.degrees, peak.shape.degrees), (3, 3));
        let terms = to_ship(&Wrong::of(&engines, &engines).unwrap());
        let together = plus_minus(&terms, "peak");
        // Student's factor of 3 degrees, 3.182 (JCGM 100, table G.2), on both.
        let wanted = 3.182 * 0.05;
        // Two terms, each rounded to 0.1 %.
        assert!((together - wanted).abs() < 2.0 * 3.182 * 5e-4, "{together} {wanted}");
    }
}
