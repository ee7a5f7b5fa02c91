//! What comes back from a prediction.

use crate::band::{Band, Parts};
use crate::limits::LimitCheck;
use crate::record::Record;
use shortblock_curve::{Curve, Predicted, Quantity, SpeedRange};
use shortblock_cycle::{CycleError, Point};

/// A figure with its ±.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// Torque, N·m, or power, W.
    pub value: f64,
    /// ± (same unit, coverage 95 %); `None` when it was not asked for.
    pub plus_minus: Option<f64>,
}

/// Best torque or best power.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Best {
    /// The figure.
    pub figure: Figure,
    /// Where it stands, rad/s.
    pub speed: f64,
    /// What its ± is made of, shares of it; `None` when it was not asked for.
    pub parts: Option<Parts>,
    /// ± of the place, rad/s, coverage 95 %; from the inputs and the model.
    pub speed_plus_minus: Option<f64>,
    /// It stands at an end of the curve: the true one may lie outside.
    pub at_end: bool,
}

/// Means over a range of speeds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Averages {
    /// From, rad/s.
    pub low: f64,
    /// To, rad/s.
    pub high: f64,
    /// Mean torque, N·m.
    pub torque: Figure,
    /// Mean power, W.
    pub power: Figure,
}

/// A goal against the prediction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GoalCheck {
    /// Torque or power.
    pub quantity: Quantity,
    /// What is wanted, N·m or W.
    pub wanted: f64,
    /// The best that is reached within the goal's range of speeds.
    pub reached: Figure,
    /// Where, rad/s.
    pub speed: f64,
    /// Chance that the goal is reached, 0 to 1; `None` without ±.
    pub chance: Option<f64>,
}

impl GoalCheck {
    /// What is missing, N·m or W; below zero when the prediction lies above the goal.
    #[must_use]
    pub fn short_by(&self) -> f64 {
        self.wanted - self.reached.value
    }

    /// Chances in ten, rounded; `None` without ±.
    #[must_use]
    pub fn chances_in_ten(&self) -> Option<u32> {
        self.chance.map(|chance| (10.0 * chance).round() as u32)
    }
}

/// A speed that could not be worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Failure {
    /// Engine speed, rad/s.
    pub speed: f64,
    /// Why.
    pub reason: CycleError,
}

/// A predicted build.
#[derive(Debug, Clone)]
pub struct Prediction {
    /// Torque and power over speed, with ± when it was asked for.
    pub curve: Curve<Predicted>,
    /// All figures of each point of the curve, in its order.
    pub points: Vec<Point>,
    /// ± of each torque for the mesh alone, as a share of the torque: the curve on cells twice as
    /// long less this one, times [`TWO_MESH_FACTOR`](crate::TWO_MESH_FACTOR). Empty for a coarse
    /// curve without ±.
    pub two_mesh: Vec<f64>,
    /// Best torque.
    pub best_torque: Best,
    /// Best power.
    pub best_power: Best,
    /// Speeds around best torque that hold 95 % of it.
    pub holding: SpeedRange,
    /// Means over the range asked for; `None` when the curve does not cover it.
    pub averages: Option<Averages>,
    /// Goals of the build.
    pub goals: Vec<GoalCheck>,
    /// Limits: stop first, then watch, then in order.
    pub limits: Vec<LimitCheck>,
    /// How many values that act were assumed.
    pub assumed: usize,
    /// Speeds that could not be worked out.
    pub failures: Vec<Failure>,
    /// What to know about the numbers: clamps that acted, points not repeating, samples lost.
    pub remarks: Vec<String>,
    /// What it was worked out with.
    pub record: Record,
    /// The samples behind the ±; `None` when it was not asked for.
    pub band: Option<Band>,
}
