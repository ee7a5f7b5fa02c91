//! Torque and power, observed or corrected, and the factor between them. The types do not mix: what
//! is corrected cannot be corrected again.

use crate::standard::Standard;

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
