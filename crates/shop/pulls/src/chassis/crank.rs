//! What the crankshaft may have given, estimated from power at the wheels.
//!
//! `P_crank = P_wheel + P_coast + omega_e J_e alpha_e`: power at the wheels, the losses of a coast-down
//! at the same roller speed, and what accelerates the engine. Losses of gears and tyres that grow with
//! load are not in a coast-down, so the estimate is low by them.

use super::coast_down::Losses;
use super::roller::WheelPower;
use crate::error::PullsError;
use std::fmt;

/// Room in the ± for losses that grow with load, as a share of wheel power: assumed, no source.
const LOAD_DEPENDENT: f64 = 0.04;

/// How the losses between crankshaft and roller are known.
#[derive(Debug, Clone, PartialEq)]
pub enum Loss {
    /// By a coast-down, of the roller's shaft.
    CoastDown(Losses),
    /// As somebody says: a share of crank power, with its ± (coverage 95 %).
    Stated {
        /// Share of crank power, 0 to below 1.
        share: f64,
        /// ± of the share.
        plus_minus: f64,
    },
}

/// Inertia of the engine and what turns with it ahead of the gearbox.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngineInertia {
    /// kg·m².
    pub moment: f64,
    /// ± (coverage 95 %), kg·m².
    pub plus_minus: f64,
    /// Engine speed, rad/s.
    pub speed: f64,
    /// Rate of change of engine speed, rad/s².
    pub rate: f64,
}

/// Power that the crankshaft may have given. There is no way to make one but [`crank_estimate`].
#[derive(Debug, Clone, PartialEq)]
pub struct CrankEstimate {
    power: f64,
    plus_minus: f64,
    assumption: String,
}

impl CrankEstimate {
    /// W.
    pub fn power(&self) -> f64 {
        self.power
    }

    /// ± (coverage 95 %), W.
    pub fn plus_minus(&self) -> f64 {
        self.plus_minus
    }

    /// The same in the air of a standard, by its factor.
    #[must_use]
    pub fn corrected(self, factor: f64) -> Self {
        let (power, plus_minus) = (factor * self.power, factor * self.plus_minus);
        Self { power, plus_minus, ..self }
    }

    /// What it assumes, in words, to be printed beside it.
    pub fn assumption(&self) -> &str {
        &self.assumption
    }
}

impl fmt::Display for CrankEstimate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (power, plus_minus) = (self.power * 1e-3, self.plus_minus * 1e-3);
        write!(f, "crank estimate {power:.0} ± {plus_minus:.0} kW; {}", self.assumption)
    }
}

/// Estimates power at the crankshaft from power at the wheels. `roller_speed` in rad/s.
///
/// # Errors
/// [`PullsError::NotPositive`] for a share or a ± that can't be.
pub fn crank_estimate(
    wheel: WheelPower,
    roller_speed: f64,
    loss: &Loss,
    engine: Option<EngineInertia>,
) -> Result<CrankEstimate, PullsError> {
    let (accelerating, engine_doubt) = engine.map_or((0.0, 0.0), |engine| {
        let per_moment = engine.speed * engine.rate;
        (engine.moment * per_moment, (engine.plus_minus * per_moment).abs())
    });
    let (power, doubts, mut assumption) = match loss {
        Loss::CoastDown(losses) => {
            let at = losses.at(roller_speed);
            let outside = if at.inside { "" } else { ", prolonged beyond its speeds" };
            (
                wheel.0 + roller_speed * at.torque + accelerating,
                [roller_speed * at.plus_minus, LOAD_DEPENDENT * wheel.0.abs()],
                format!(
                    "losses by a coast-down{outside}; load-dependent losses of gears and tyres are \
                     not in a coast-down: the crankshaft gave this or more, and the ± holds {:.0} % \
                     of wheel power for them (assumed)",
                    100.0 * LOAD_DEPENDENT
                ),
            )
        }
        &Loss::Stated { share, plus_minus } => {
            check_share(share, plus_minus)?;
            let through = wheel.0 / (1.0 - share);
            (
                through + accelerating,
                [through * plus_minus / (1.0 - share), 0.0],
                format!("losses of {:.0} % as stated, not measured", 100.0 * share),
            )
        }
    };
    if engine.is_none() {
        assumption.push_str("; nothing added for the inertia of the engine");
    }
    let plus_minus = doubts.iter().chain([&engine_doubt]).map(|d| d * d).sum::<f64>().sqrt();
    Ok(CrankEstimate { power, plus_minus, assumption })
}

fn check_share(share: f64, plus_minus: f64) -> Result<(), PullsError> {
    if !(0.0..1.0).contains(&share) {
        return Err(PullsError::Share { what: "share of losses", value: share });
    }
    if !(0.0..1.0).contains(&plus_minus) {
        return Err(PullsError::Share { what: "± of the share of losses", value: plus_minus });
    }
    Ok(())
}
