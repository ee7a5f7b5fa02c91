//! What is asked of a prediction.

use crate::closures::Closures;
use shortblock_cycle::{CellLength, Precision, Settings};

/// Which mesh answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quality {
    /// Cells twice as long, about a quarter of the time; without ± a first look in a fifth of it.
    Coarse,
    /// The answer.
    Fine,
}

impl Quality {
    /// The wanted cell lengths.
    #[must_use]
    pub fn cells(self) -> CellLength {
        match self {
            Self::Coarse => CellLength::COARSE,
            Self::Fine => CellLength::FINE,
        }
    }

    /// The word for it in records: `coarse`, `fine`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Coarse => "coarse",
            Self::Fine => "fine",
        }
    }
}

/// Air to predict for in place of the build's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Temperature, K.
    pub temperature: f64,
    /// Pressure, Pa.
    pub pressure: f64,
    /// Relative humidity, 0 to 1.
    pub humidity: f64,
}

/// What is asked of a prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Engine speeds, rad/s, rising; `None` lets the build choose them.
    pub speeds: Option<Vec<f64>>,
    /// How many speeds the build chooses, 1 to 2000.
    pub points: usize,
    /// Air, taken as exact; `None` for the build's own with its ±.
    pub conditions: Option<Conditions>,
    /// Which mesh answers.
    pub quality: Quality,
    /// Whether the ± is worked out; without it the prediction takes less than half the time.
    pub plus_minus: bool,
    /// Whether the ± also holds what a rating may be off by (`tested_as.tolerance`).
    pub rating: bool,
    /// Range for the averages, rad/s; `None` for the goal's range, else that of the curve.
    pub average: Option<(f64, f64)>,
    /// Factors on the shipped numbers that all engines have in common; for fits.
    pub closures: Closures,
    /// Those numbers are taken as exact, so that samples move the inputs alone; for fits.
    pub closures_exact: bool,
    /// Where the samples start; the same seed gives the same samples for every build.
    pub seed: u64,
    /// Vector instructions, precision, tolerance.
    pub settings: Settings,
}

impl Ask {
    /// The factors on the relations as their sources have them.
    pub(crate) fn factors(&self) -> Closures {
        self.closures.times(&Closures::shipped())
    }

    /// Settings of the curve: without ± the coarse one is a first look.
    pub(crate) fn of_curve(&self) -> Settings {
        match (self.quality, self.plus_minus) {
            (Quality::Coarse, false) => self.settings.for_a_first_look(),
            _ => self.settings,
        }
    }

    /// Settings of samples and steps: their torques count only over that of a centre run beside them,
    /// where 1e-4 of single precision is a small part of the hundredths they move.
    pub(crate) fn of_samples(&self) -> Settings {
        Settings { precision: Precision::F32, ..self.settings }
    }
}

impl Default for Ask {
    /// The fine curve with its ±, speeds and air as the build has them, seed 1.
    fn default() -> Self {
        Self {
            speeds: None,
            points: 14,
            conditions: None,
            quality: Quality::Fine,
            plus_minus: true,
            rating: false,
            average: None,
            closures: Closures::ONE,
            closures_exact: false,
            seed: 1,
            settings: Settings::usual(),
        }
    }
}
