//! The curve itself: columns over engine speed, checked once when it is made.

use crate::error::CurveError;
use crate::interpolate::MonotoneCubic;
use crate::kind::Kind;
use std::marker::PhantomData;

/// Which column of a curve is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Brake torque, N·m.
    Torque,
    /// Brake power, W.
    Power,
}

/// Brake torque and power over engine speed, of one kind.
///
/// At least one point; speeds above zero and rising; every number finite.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve<K: Kind> {
    label: String,
    notes: Vec<String>,
    speed: Vec<f64>,
    torque: Vec<f64>,
    power: Vec<f64>,
    torque_plus_minus: Option<Vec<f64>>,
    power_plus_minus: Option<Vec<f64>>,
    spline: MonotoneCubic,
    kind: PhantomData<K>,
}

impl<K: Kind> Curve<K> {
    /// Curve from `speed` (rad/s) and `torque` (N·m); power follows as their product.
    ///
    /// # Errors
    /// No point, columns of unequal length, a number that is not finite,
    /// speeds not above zero or not rising.
    pub fn from_torque(
        label: impl Into<String>,
        speed: Vec<f64>,
        torque: Vec<f64>,
    ) -> Result<Self, CurveError> {
        let label = label.into();
        check_speeds(&label, &speed)?;
        check_column(&label, "torque", &torque, speed.len())?;
        let power: Vec<f64> = speed.iter().zip(&torque).map(|(w, t)| w * t).collect();
        check_column(&label, "power", &power, speed.len())?;
        Ok(Self {
            label,
            notes: Vec::new(),
            spline: MonotoneCubic::through(&speed, &torque),
            speed,
            torque,
            power,
            torque_plus_minus: None,
            power_plus_minus: None,
            kind: PhantomData,
        })
    }

    /// Curve from `speed` (rad/s) and `power` (W); torque follows as power over speed.
    ///
    /// # Errors
    /// As [`Curve::from_torque`].
    pub fn from_power(
        label: impl Into<String>,
        speed: Vec<f64>,
        power: Vec<f64>,
    ) -> Result<Self, CurveError> {
        let label = label.into();
        check_speeds(&label, &speed)?;
        check_column(&label, "power", &power, speed.len())?;
        let torque = speed.iter().zip(&power).map(|(w, p)| p / w).collect();
        Self::from_torque(label, speed, torque)
    }

    /// The same curve with a ± on torque (N·m, coverage 95 %) at each point.
    ///
    /// The ± on power is set to the same share of power: the speed is taken as
    /// exact. Follow with [`Curve::with_power_plus_minus`] where it is not.
    ///
    /// # Errors
    /// Not one value a point; a value below zero or not finite.
    pub fn with_torque_plus_minus(mut self, plus_minus: Vec<f64>) -> Result<Self, CurveError> {
        check_plus_minus(&self.label, "torque ±", &plus_minus, self.len())?;
        let power = self.speed.iter().zip(&plus_minus).map(|(w, t)| w * t).collect::<Vec<_>>();
        self.torque_plus_minus = Some(plus_minus);
        self.with_power_plus_minus(power)
    }

    /// The same curve with a ± on power (W, coverage 95 %) at each point.
    ///
    /// # Errors
    /// Not one value a point; a value below zero or not finite.
    pub fn with_power_plus_minus(mut self, plus_minus: Vec<f64>) -> Result<Self, CurveError> {
        check_plus_minus(&self.label, "power ±", &plus_minus, self.len())?;
        self.power_plus_minus = Some(plus_minus);
        Ok(self)
    }

    /// The same curve with one more note (what was left out, corrected, smoothed).
    #[must_use]
    pub fn with_note(mut self, note: impl Into<String>) -> Self {
        self.notes.push(note.into());
        self
    }

    /// The same curve under another label.
    #[must_use]
    pub fn relabelled(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// What the curve is of, as written on charts.
    #[must_use]
    pub fn label(&self) -> &str {
        &self.label
    }

    /// Notes in the order they were added.
    #[must_use]
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// The word for its kind: `predicted` or `measured`.
    #[must_use]
    pub fn kind_word(&self) -> &'static str {
        K::WORD
    }

    /// Number of points, at least one.
    #[must_use]
    #[allow(clippy::len_without_is_empty)] // a curve is never empty
    pub fn len(&self) -> usize {
        self.speed.len()
    }

    /// Engine speeds, rad/s, rising.
    #[must_use]
    pub fn speed(&self) -> &[f64] {
        &self.speed
    }

    /// Brake torque at each speed, N·m.
    #[must_use]
    pub fn torque(&self) -> &[f64] {
        &self.torque
    }

    /// Brake power at each speed, W.
    #[must_use]
    pub fn power(&self) -> &[f64] {
        &self.power
    }

    /// A column in SI: N·m or W.
    #[must_use]
    pub fn column(&self, quantity: Quantity) -> &[f64] {
        match quantity {
            Quantity::Torque => &self.torque,
            Quantity::Power => &self.power,
        }
    }

    /// ± of a column at each point (N·m or W, coverage 95 %); `None` when not known.
    #[must_use]
    pub fn plus_minus(&self, quantity: Quantity) -> Option<&[f64]> {
        match quantity {
            Quantity::Torque => self.torque_plus_minus.as_deref(),
            Quantity::Power => self.power_plus_minus.as_deref(),
        }
    }

    /// Lowest speed, rad/s.
    #[must_use]
    pub fn lowest_speed(&self) -> f64 {
        self.speed.first().copied().unwrap_or_default()
    }

    /// Highest speed, rad/s.
    #[must_use]
    pub fn highest_speed(&self) -> f64 {
        self.speed.last().copied().unwrap_or_default()
    }

    /// Torque (N·m) or power (W) at `speed` (rad/s), by the monotone cubic
    /// through the torques; `None` outside the curve.
    #[must_use]
    pub fn at(&self, quantity: Quantity, speed: f64) -> Option<f64> {
        self.covers(speed).then(|| self.value(quantity, speed))
    }

    /// ± (N·m or W, coverage 95 %) at `speed` (rad/s), linear between points;
    /// `None` outside the curve or when no ± is known.
    #[must_use]
    pub fn plus_minus_at(&self, quantity: Quantity, speed: f64) -> Option<f64> {
        let column = self.plus_minus(quantity)?;
        self.covers(speed).then(|| crate::interpolate::linear(&self.speed, column, speed))
    }

    /// Whether `speed` (rad/s) lies within the curve, ends included.
    #[must_use]
    pub fn covers(&self, speed: f64) -> bool {
        speed >= self.lowest_speed() && speed <= self.highest_speed()
    }

    /// Value inside the curve, held at the ends outside it.
    pub(crate) fn value(&self, quantity: Quantity, speed: f64) -> f64 {
        let torque = self.spline.at(speed);
        match quantity {
            Quantity::Torque => torque,
            Quantity::Power => torque * speed,
        }
    }
}

fn check_speeds(label: &str, speed: &[f64]) -> Result<(), CurveError> {
    if speed.is_empty() {
        return Err(CurveError::Empty { label: label.to_owned() });
    }
    check_column(label, "speed", speed, speed.len())?;
    if let Some(at) = speed.iter().position(|&w| w <= 0.0) {
        let label = label.to_owned();
        return Err(CurveError::SpeedNotPositive { label, point: at + 1, speed: speed[at] });
    }
    if let Some(at) = speed.windows(2).position(|pair| pair[1] <= pair[0]) {
        return Err(CurveError::NotSorted { label: label.to_owned(), point: at + 2 });
    }
    Ok(())
}

pub(crate) fn check_column(
    label: &str,
    column: &'static str,
    values: &[f64],
    expected: usize,
) -> Result<(), CurveError> {
    let label = || label.to_owned();
    if values.len() != expected {
        return Err(CurveError::Length { label: label(), column, expected, found: values.len() });
    }
    match values.iter().position(|value| !value.is_finite()) {
        Some(at) => Err(CurveError::NotFinite { label: label(), column, point: at + 1 }),
        None => Ok(()),
    }
}

pub(crate) fn check_plus_minus(
    label: &str,
    column: &'static str,
    values: &[f64],
    expected: usize,
) -> Result<(), CurveError> {
    check_column(label, column, values, expected)?;
    match values.iter().position(|&value| value < 0.0) {
        Some(at) => Err(CurveError::NegativePlusMinus { label: label.to_owned(), point: at + 1 }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::{Curve, Quantity};
    use crate::error::CurveError;
    use crate::kind::{Measured, Predicted};

    fn curve(speed: &[f64], torque: &[f64]) -> Result<Curve<Predicted>, CurveError> {
        Curve::from_torque("b2", speed.to_vec(), torque.to_vec())
    }

    #[test]
    fn power_is_torque_times_speed_between_the_points_too() {
        let curve = curve(&[300.0, 400.0, 500.0], &[240.0, 260.0, 250.0]).unwrap();
        for speed in [300.0, 333.0, 400.0, 471.0, 500.0] {
            let torque = curve.at(Quantity::Torque, speed).unwrap();
            let power = curve.at(Quantity::Power, speed).unwrap();
            assert!((power - torque * speed).abs() <= 1e-9 * power);
        }
        let back =
            Curve::<Measured>::from_power("b2", curve.speed().to_vec(), curve.power().to_vec());
        assert_eq!(back.unwrap().torque(), curve.torque());
    }

    #[test]
    fn nothing_is_said_outside_the_curve() {
        let curve = curve(&[300.0, 400.0], &[240.0, 260.0]).unwrap();
        assert_eq!(curve.at(Quantity::Torque, 299.9), None);
        assert_eq!(curve.at(Quantity::Torque, 400.1), None);
        assert_eq!(curve.at(Quantity::Torque, f64::NAN), None);
        assert_eq!(curve.plus_minus_at(Quantity::Torque, 350.0), None);
    }

    #[test]
    fn plus_minus_on_power_is_the_same_share() {
        let curve = curve(&[300.0, 400.0], &[240.0, 260.0]).unwrap();
        let curve = curve.with_torque_plus_minus(vec![6.0, 8.0]).unwrap();
        assert_eq!(curve.plus_minus(Quantity::Power), Some(&[1800.0, 3200.0][..]));
        assert_eq!(curve.plus_minus_at(Quantity::Torque, 350.0), Some(7.0));
        let wider = curve.with_power_plus_minus(vec![1900.0, 3300.0]).unwrap();
        assert_eq!(wider.plus_minus(Quantity::Torque), Some(&[6.0, 8.0][..]));
        assert_eq!(wider.plus_minus(Quantity::Power), Some(&[1900.0, 3300.0][..]));
    }

    #[test]
    fn faults_say_which_point() {
        let fault = |speed: &[f64], torque: &[f64]| curve(speed, torque).unwrap_err().to_string();
        assert!(fault(&[], &[]).contains("no points"));
        assert!(fault(&[1.0, 2.0], &[1.0]).contains("torque has 1 values for 2 speeds"));
        assert!(fault(&[1.0, f64::NAN], &[1.0, 1.0]).contains("speed, point 2"));
        assert!(fault(&[1.0, 2.0], &[f64::INFINITY, 1.0]).contains("torque, point 1"));
        assert!(fault(&[0.0, 2.0], &[1.0, 1.0]).contains("0 rad/s at point 1"));
        assert!(fault(&[1.0, 2.0, 2.0], &[1.0; 3]).contains("point 3"));
        let good = || curve(&[1.0, 2.0], &[1.0, 1.0]).unwrap();
        let negative = good().with_torque_plus_minus(vec![1.0, -0.1]).unwrap_err();
        assert!(matches!(negative, CurveError::NegativePlusMinus { point: 2, .. }));
        assert!(good().with_power_plus_minus(vec![1.0]).is_err());
    }
}
