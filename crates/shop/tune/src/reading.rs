//! What a loop is made of.

/// The setting that is varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Setting {
    /// Spark advance before top dead centre, rad.
    Spark,
    /// Relative air-fuel ratio (lambda).
    Mixture,
}

impl Setting {
    /// Beyond this distance from the top torque is no parabola: 10 degrees (common practice, no
    /// source), 0.10 lambda (half of 0.80 to 1.00, in which power peaks: Heywood 1988, ch. 9 and
    /// 15, from memory).
    pub fn reach(self) -> f64 {
        match self {
            Self::Spark => 10f64.to_radians(),
            Self::Mixture => 0.10,
        }
    }

    /// Longest step into what was not tried: 2 degrees, 0.02 lambda (common practice, no source).
    pub fn step(self) -> f64 {
        match self {
            Self::Spark => 2f64.to_radians(),
            Self::Mixture => 0.02,
        }
    }

    /// Room kept below the least setting that knocked: 3 degrees (2 to 3 at the hottest inlet air
    /// that is expected is common practice, no source). Mixture keeps none.
    pub fn knock_room(self) -> f64 {
        match self {
            Self::Spark => 3f64.to_radians(),
            Self::Mixture => 0.0,
        }
    }

    /// True when of two settings with the same torque the smaller is to be chosen: less spark leaves
    /// knock margin; more lambda leaves fuel.
    pub fn smaller_is_better(self) -> bool {
        self == Self::Spark
    }
}

/// One held or swept reading at one engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The setting, rad or lambda.
    pub setting: f64,
    /// Corrected torque, N·m.
    pub torque: f64,
    /// Whether knock was heard or counted.
    pub knock: bool,
}

/// How far a reading of the same setting moves, from the dyno's history.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Standard deviation as a share of torque.
    pub share: f64,
    /// Degrees of freedom it rests on; 0 when nothing is known.
    pub dof: f64,
}

impl Scatter {
    /// No history: the loop's own scatter is all there is.
    pub fn unknown() -> Self {
        Self { share: 0.0, dof: 0.0 }
    }
}
