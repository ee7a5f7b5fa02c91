//! The ± of a curve: samples of the inputs, what the model has wrong, the mesh, the rating.
//!
//! The samples run at a few speeds on the coarse mesh. Their torques over that of the coarse centre
//! run are laid on the curve; what remains is a joint sample of the whole curve, so the ± of any
//! figure of it, and of any difference between builds, is worked out and not put together.

use crate::discrepancy;
use crate::normal::student_95;
use shortblock_curve::{Curve, CurveError, MonotoneCubic, Predicted};

/// Speeds at which samples run.
pub(crate) const SAMPLE_SPEEDS: usize = 5;
/// Torque below this share of the curve's best is no base for a ratio; own.
const LEAST_SHARE: f64 = 0.05;

/// The samples behind a ±.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// ln of each sample's torque over the predicted one, `[sample][speed of the curve]`; `None`
    /// for a sample that could not be worked out.
    pub deviations: Vec<Option<Vec<f64>>>,
    /// Torque on the coarser mesh less this one, as a share of this one, at each speed.
    pub mesh_shift: Vec<f64>,
    /// What a rating may be off by, as a share; 0 where it was not asked for.
    pub rating: f64,
    /// Paths of the values that were sampled, the model's own four among them.
    pub sampled: Vec<String>,
}

/// The parts of a ±, each 95 %, all in the unit of the figure or all as shares of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parts {
    /// From the inputs and the relations all engines have in common.
    pub inputs: f64,
    /// What the model has wrong besides.
    pub model: f64,
    /// From the mesh.
    pub mesh: f64,
    /// What a rating may be off by.
    pub rating: f64,
}

impl Parts {
    /// All together: the root of the sum of squares (JCGM 100, 5.1.2).
    #[must_use]
    pub fn together(&self) -> f64 {
        self.inputs.hypot(self.model).hypot(self.mesh).hypot(self.rating)
    }
}

impl Band {
    /// The samples that could be worked out, by sample.
    pub(crate) fn whole(&self) -> impl Iterator<Item = (usize, &Vec<f64>)> {
        self.deviations.iter().enumerate().filter_map(|(s, row)| Some((s, row.as_ref()?)))
    }

    /// ± (coverage 95 %) from the inputs of a figure: `of` gives it for a sample's deviations.
    pub(crate) fn of_inputs(&self, centre: f64, of: impl Fn(&[f64]) -> Option<f64>) -> f64 {
        let found = self.whole().filter_map(|(_, row)| of(row));
        sampled(&found.map(|value| value - centre).collect::<Vec<f64>>())
    }

    /// The parts of the ± at one point of the curve, as shares of its torque.
    #[must_use]
    pub fn at_point(&self, point: usize) -> Parts {
        let inputs = self.of_inputs(0.0, |row| row.get(point).copied());
        Parts {
            inputs,
            model: discrepancy::at_a_speed(),
            mesh: self.mesh_shift.get(point).map_or(0.0, |shift| shift.abs()),
            rating: self.rating,
        }
    }

    /// The curve as the second mesh has it.
    pub(crate) fn on_second_mesh(
        &self,
        centre: &Curve<Predicted>,
    ) -> Result<Curve<Predicted>, CurveError> {
        let ln = |shift: &f64| shift.max(-0.9).ln_1p();
        let row: Vec<f64> = match self.mesh_shift.is_empty() {
            true => vec![0.0; centre.len()],
            false => self.mesh_shift.iter().map(ln).collect(),
        };
        self.curve(centre, &row)
    }

    /// A sample's curve.
    pub(crate) fn curve(
        &self,
        centre: &Curve<Predicted>,
        deviations: &[f64],
    ) -> Result<Curve<Predicted>, CurveError> {
        let torque = centre.torque().iter().zip(deviations).map(|(t, d)| t * d.exp()).collect();
        Curve::from_torque(centre.label(), centre.speed().to_vec(), torque)
    }
}

/// ± (coverage 95 %) from samples of a deviation: Student's t times the root of their mean square.
///
/// The deviations are from the centre run and not from the samples' mean: for a linear model both
/// are the same, for a bent one the bend belongs to the ±.
pub(crate) fn sampled(deviations: &[f64]) -> f64 {
    let n = deviations.len();
    if n < 2 {
        return 0.0;
    }
    let square = deviations.iter().map(|d| d * d).sum::<f64>() / (n - 1) as f64;
    student_95(n - 1) * square.sqrt()
}

/// Which speeds of a curve samples run at: evenly spread, both ends among them.
pub(crate) fn sample_speeds(count: usize) -> Vec<usize> {
    if count <= SAMPLE_SPEEDS {
        return (0..count).collect();
    }
    let last = (count - 1) as f64;
    let parts = (SAMPLE_SPEEDS - 1) as f64;
    (0..SAMPLE_SPEEDS).map(|i| (i as f64 * last / parts).round() as usize).collect()
}

/// Lays a sample's torques at a few speeds on the speeds of the curve, as ln of their ratio to the
/// centre run's; monotone between, held at the ends. `None` where no speed gives a ratio.
pub(crate) fn laid(
    at: &[f64],
    sample: &[Option<f64>],
    centre: &[Option<f64>],
    speeds: &[f64],
) -> Option<Vec<f64>> {
    let best = centre.iter().flatten().fold(0.0_f64, |best, t| best.max(*t));
    let enough = |torque: f64| best > 0.0 && torque > LEAST_SHARE * best;
    let both = at.iter().zip(sample.iter().zip(centre));
    let (x, y): (Vec<f64>, Vec<f64>) = both
        .filter_map(|(speed, (sample, centre))| {
            let (sample, centre) = ((*sample)?, (*centre)?);
            (enough(sample) && enough(centre)).then(|| (*speed, (sample / centre).ln()))
        })
        .unzip();
    if x.is_empty() {
        return None;
    }
    let spline = MonotoneCubic::through(&x, &y);
    Some(speeds.iter().map(|speed| spline.at(*speed)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_speeds_with_both_ends() {
        assert_eq!(sample_speeds(14), [0, 3, 7, 10, 13]);
        assert_eq!(sample_speeds(3), [0, 1, 2]);
        assert_eq!(sample_speeds(1), [0]);
    }

    #[test]
    fn ratios_are_laid_on_the_curve_and_held_at_its_ends() {
        let at = [200.0, 400.0, 600.0];
        let sample = [Some(110.0), Some(220.0), None];
        let centre = [Some(100.0), Some(200.0), Some(150.0)];
        let laid = laid(&at, &sample, &centre, &[100.0, 300.0, 700.0]).unwrap();
        assert!(laid.iter().all(|d| (d - 1.1_f64.ln()).abs() < 1e-12), "{laid:?}");
    }

    #[test]
    fn a_sample_without_a_torque_is_none() {
        let none = [None, Some(-3.0)];
        assert_eq!(laid(&[1.0, 2.0], &none, &[Some(1.0), Some(1.0)], &[1.0]), None);
    }

    #[test]
    fn sixteen_samples_of_spread_one_give_students_factor() {
        let z = crate::samples::scores();
        assert!((sampled(&z) - 2.131).abs() < 1e-9);
        assert_eq!(sampled(&[3.0]), 0.0);
    }
}
