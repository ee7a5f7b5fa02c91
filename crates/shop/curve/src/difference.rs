//! The difference between two curves, speed by speed.

use crate::curve::{Curve, Quantity, check_plus_minus};
use crate::error::CurveError;
use crate::kind::{DifferenceKind, Kind, Measured, Mixed, Predicted};
use std::marker::PhantomData;

/// One speed of a [`Difference`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DifferencePoint {
    /// Engine speed, rad/s.
    pub speed: f64,
    /// Difference of torque, N·m.
    pub torque: f64,
    /// Difference of power, W.
    pub power: f64,
    /// ± on the difference of torque (N·m, coverage 95 %), when known.
    pub torque_plus_minus: Option<f64>,
    /// ± on the difference of power (W, coverage 95 %), when known.
    pub power_plus_minus: Option<f64>,
}

/// One curve less another, over the speeds both cover.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference<K: DifferenceKind> {
    of: String,
    less: String,
    points: Vec<DifferencePoint>,
    kind: PhantomData<K>,
}

impl<K: Kind> Curve<K> {
    /// This curve less `base`, at every speed of either within both.
    ///
    /// No ± comes with it: two predictions of one model, like two pulls of one
    /// day, are wrong together to an extent the curves do not know. Add the ±
    /// of the difference with [`Difference::with_torque_plus_minus`].
    ///
    /// # Errors
    /// The curves share no speed.
    pub fn less(&self, base: &Self) -> Result<Difference<K>, CurveError> {
        Difference::between(self, base)
    }
}

/// A prediction less a measurement: how far the model is off.
///
/// The ± of both, when both are known, are joined as independent (root of the
/// sum of squares, JCGM 100 equation (10) for a difference): true for a model
/// that has not been fitted to the same measurement.
///
/// # Errors
/// The curves share no speed.
pub fn predicted_less_measured(
    predicted: &Curve<Predicted>,
    measured: &Curve<Measured>,
) -> Result<Difference<Mixed>, CurveError> {
    let mut difference = Difference::between(predicted, measured)?;
    let joined = |quantity, speed| {
        let one: f64 = predicted.plus_minus_at(quantity, speed)?;
        Some(one.hypot(measured.plus_minus_at(quantity, speed)?))
    };
    for point in &mut difference.points {
        point.torque_plus_minus = joined(Quantity::Torque, point.speed);
        point.power_plus_minus = joined(Quantity::Power, point.speed);
    }
    Ok(difference)
}

impl<K: DifferenceKind> Difference<K> {
    fn between<A: Kind, B: Kind>(of: &Curve<A>, less: &Curve<B>) -> Result<Self, CurveError> {
        let mut speeds: Vec<f64> = of.speed().iter().chain(less.speed()).copied().collect();
        speeds.retain(|&w| of.covers(w) && less.covers(w));
        speeds.sort_by(f64::total_cmp);
        speeds.dedup();
        let (of_label, less_label) = (of.label().to_owned(), less.label().to_owned());
        if speeds.is_empty() {
            return Err(CurveError::NoOverlap { of: of_label, less: less_label });
        }
        let points = speeds
            .into_iter()
            .map(|speed| {
                let torque =
                    of.value(Quantity::Torque, speed) - less.value(Quantity::Torque, speed);
                DifferencePoint {
                    speed,
                    torque,
                    power: torque * speed,
                    torque_plus_minus: None,
                    power_plus_minus: None,
                }
            })
            .collect();
        Ok(Self { of: of_label, less: less_label, points, kind: PhantomData })
    }

    /// The same difference with a ± on torque (N·m, coverage 95 %) at each
    /// point; that on power follows as ± times speed.
    ///
    /// # Errors
    /// Not one value a point; a value below zero or not finite.
    pub fn with_torque_plus_minus(mut self, plus_minus: &[f64]) -> Result<Self, CurveError> {
        let label = format!("{} less {}", self.of, self.less);
        check_plus_minus(&label, "torque ±", plus_minus, self.points.len())?;
        for (point, &torque) in self.points.iter_mut().zip(plus_minus) {
            point.torque_plus_minus = Some(torque);
            point.power_plus_minus = Some(torque * point.speed);
        }
        Ok(self)
    }

    /// The same difference with other labels for its two curves.
    #[must_use]
    pub fn relabelled(self, of: impl Into<String>, less: impl Into<String>) -> Self {
        Self { of: of.into(), less: less.into(), ..self }
    }

    /// Label of the curve that was taken as it is.
    #[must_use]
    pub fn of(&self) -> &str {
        &self.of
    }

    /// Label of the curve that was taken away.
    #[must_use]
    pub fn less(&self) -> &str {
        &self.less
    }

    /// The word for its kind: `predicted`, `measured` or `mixed`.
    #[must_use]
    pub fn kind_word(&self) -> &'static str {
        K::WORD
    }

    /// Points in order of rising speed, at least one.
    #[must_use]
    pub fn points(&self) -> &[DifferencePoint] {
        &self.points
    }
}

#[cfg(test)]
mod tests {
    use super::predicted_less_measured;
    use crate::curve::Curve;
    use crate::error::CurveError;
    use crate::kind::{Kind, Measured, Predicted};

    fn curve<K: Kind>(label: &str, speed: &[f64], torque: &[f64]) -> Curve<K> {
        Curve::from_torque(label, speed.to_vec(), torque.to_vec()).unwrap()
    }

    #[test]
    fn difference_covers_the_common_speeds_of_both() {
        let new = curve::<Predicted>("b8", &[300.0, 400.0, 500.0], &[200.0, 210.0, 220.0]);
        let old = curve::<Predicted>("b7", &[350.0, 450.0, 550.0], &[200.0, 200.0, 200.0]);
        let difference = new.less(&old).unwrap();
        let speeds: Vec<f64> = difference.points().iter().map(|p| p.speed).collect();
        assert_eq!(speeds, [350.0, 400.0, 450.0, 500.0]);
        assert_eq!(difference.points()[1].torque, 10.0);
        assert_eq!(difference.points()[1].power, 4000.0);
        assert_eq!(difference.kind_word(), "predicted");
        let named = difference.clone().relabelled("B", "A");
        assert_eq!((named.of(), named.less(), named.points()), ("B", "A", difference.points()));
        let difference = difference.with_torque_plus_minus(&[2.0; 4]).unwrap();
        assert_eq!(difference.points()[1].power_plus_minus, Some(800.0));
        assert!(difference.with_torque_plus_minus(&[2.0; 3]).is_err());
    }

    #[test]
    fn prediction_and_measurement_join_their_plus_minus_as_independent() {
        let model = curve::<Predicted>("b7", &[300.0, 400.0], &[200.0, 210.0]);
        let model = model.with_torque_plus_minus(vec![4.0, 4.0]).unwrap();
        let bare = curve::<Measured>("b7", &[300.0, 400.0], &[198.0, 214.0]);
        let unknown = predicted_less_measured(&model, &bare).unwrap();
        assert_eq!(unknown.points()[0].torque_plus_minus, None);
        let run = bare.with_torque_plus_minus(vec![3.0, 3.0]).unwrap();
        let known = predicted_less_measured(&model, &run).unwrap();
        assert_eq!(known.points()[0].torque_plus_minus, Some(5.0));
        assert_eq!(known.points()[1].torque, -4.0);
        assert_eq!(known.kind_word(), "mixed");
    }

    #[test]
    fn curves_apart_cannot_be_compared() {
        let low = curve::<Measured>("p1", &[100.0, 200.0], &[1.0, 1.0]);
        let high = curve::<Measured>("p2", &[300.0, 400.0], &[1.0, 1.0]);
        assert!(matches!(low.less(&high), Err(CurveError::NoOverlap { .. })));
    }
}
