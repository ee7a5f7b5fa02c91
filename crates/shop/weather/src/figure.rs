//! Torque and power, observed or corrected, and the factor between them. The types do not mix: what
//! is corrected cannot be corrected again.

use crate::error::{PLAIN, WeatherError, within};
use crate::standard::Standard;

/// Factors that an old file can have meant, 5 km up to below sea level (ours).
const STATED: (f64, f64) = (0.7, 2.0);

/// Torque, N·m.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Torque(pub f64);

/// Power, W.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Power(pub f64);

/// What a factor acts on. Speed is not corrected, so torque and power get the same factor.
pub trait Figure: Copy {
    /// The number, SI.
    fn si(self) -> f64;
    /// From the number, SI.
    fn from_si(si: f64) -> Self;
}

impl Figure for Torque {
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(si: f64) -> Self {
        Self(si)
    }
}

impl Figure for Power {
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(si: f64) -> Self {
        Self(si)
    }
}

/// As the dyno read it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Observed<Q>(pub Q);

/// Brought to the air of a standard, which it carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected<Q> {
    value: Q,
    standard: Standard,
}

impl<Q: Figure> Corrected<Q> {
    /// A figure that is corrected already, as an old file or a sheet has it.
    pub fn stated(value: Q, standard: Standard) -> Self {
        Self { value, standard }
    }

    /// The figure.
    pub fn value(&self) -> Q {
        self.value
    }

    /// What it is corrected to.
    pub fn standard(&self) -> Standard {
        self.standard
    }
}

/// What observed figures are multiplied by, and what it acts on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Factor {
    /// On brake figures as they are read.
    OnBrake(f64),
    /// On brake figures plus friction; the friction is taken off again.
    OnIndicated(f64),
}

impl Factor {
    /// The factor itself, a ratio.
    pub fn value(self) -> f64 {
        match self {
            Self::OnBrake(value) | Self::OnIndicated(value) => value,
        }
    }

    /// The same kind of factor with another value.
    pub(crate) fn with_value(self, value: f64) -> Self {
        match self {
            Self::OnBrake(_) => Self::OnBrake(value),
            Self::OnIndicated(_) => Self::OnIndicated(value),
        }
    }

    /// Corrected from observed; `None` when friction is needed and not given.
    pub(crate) fn forth(self, observed: f64, friction: Option<f64>) -> Option<f64> {
        match self {
            Self::OnBrake(factor) => Some(observed * factor),
            Self::OnIndicated(factor) => friction.map(|lost| (observed + lost) * factor - lost),
        }
    }

    /// Observed from corrected; `None` when friction is needed and not given.
    pub(crate) fn back(self, corrected: f64, friction: Option<f64>) -> Option<f64> {
        match self {
            Self::OnBrake(factor) => Some(corrected / factor),
            Self::OnIndicated(factor) => friction.map(|lost| (corrected + lost) / factor - lost),
        }
    }
}

/// Takes a figure of an old file back to what was observed, by the factor that stands in that file
/// and whatever standard it was of. `friction` is that of [`Factor::OnIndicated`].
///
/// # Errors
/// [`WeatherError::OutOfRange`] for a factor that is none, [`WeatherError::StatedFriction`].
pub fn undo_stated<Q: Figure>(
    corrected: Q,
    factor: Factor,
    friction: Option<Q>,
) -> Result<Observed<Q>, WeatherError> {
    let remedy = "give the factor as a ratio near 1, not in per cent";
    within("correction factor of the file", factor.value(), STATED, PLAIN, remedy)?;
    let observed = factor.back(corrected.si(), friction.map(Q::si));
    observed.map(|si| Observed(Q::from_si(si))).ok_or(WeatherError::StatedFriction)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_old_figure_goes_back_by_the_factor_that_stands_beside_it() {
        let observed = undo_stated(Power(206e3), Factor::OnBrake(1.03), None).unwrap();
        assert!((observed.0.0 - 200e3).abs() < 1e-6);
        let said = undo_stated(Power(206e3), Factor::OnBrake(103.0), None).unwrap_err();
        assert!(said.to_string().ends_with("give the factor as a ratio near 1, not in per cent"));
        let indicated = Factor::OnIndicated(1.03);
        let missing = undo_stated(Torque(600.0), indicated, None);
        assert_eq!(missing, Err(WeatherError::StatedFriction));
        let observed = undo_stated(Torque(600.0), indicated, Some(Torque(70.0))).unwrap();
        assert!((observed.0.0 - (670.0 / 1.03 - 70.0)).abs() < 1e-9);
    }
}
