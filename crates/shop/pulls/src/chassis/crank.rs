//! What the crankshaft may have given, estimated from power at the wheels.
//!
//! `P_crank = (P_wheel + P_coast + omega J_w alpha)/(1 - g) + omega_e J_e alpha_e`: power at the wheels,
//! the losses of a coast-down at the same roller speed, what accelerates the wheels, all of it through
//! gears and tyres that lose the share g under load, and what accelerates the engine. A coast-down has
//! no load, so g is not in it; a stated loss is of the whole way and stands for P_coast and g.

use super::coast_down::Losses;
use super::roller::WheelPower;
use crate::error::PullsError;
use std::fmt;

/// Share that gears and tyres lose under load, beyond a coast-down. Helical gears lose 1 to 2 % a
/// mesh (Dubbel, Taschenbuch für den Maschinenbau, from memory), of which there are two; a hypoid
/// axle up to twice as much, the creep of tyres 1 to 2 % (common practice, no source).
const UNDER_LOAD: Figure = Figure { value: 0.05, plus_minus: 0.04, stated: false };

/// A figure with its ±.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// In SI units.
    pub value: f64,
    /// ± (coverage 95 %).
    pub plus_minus: f64,
    /// Somebody stated it; else it is assumed.
    pub stated: bool,
}

impl Figure {
    fn origin(&self) -> &'static str {
        if self.stated { "stated" } else { "assumed" }
    }
}

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

/// What is accelerated between crankshaft and roller, kg·m².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turning {
    /// The engine and what turns with it, ahead of the gearbox; `None` when nothing is known.
    pub engine: Option<Figure>,
    /// Driven wheels and shafts, as if on the roller's shaft.
    pub wheels: Figure,
}

/// A shaft in its moment: rad/s and rad/s².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Speed, rad/s.
    pub speed: f64,
    /// Rate of change of speed, rad/s².
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

/// Estimates power at the crankshaft from power at the wheels, the motion of roller and engine, the
/// losses and what is accelerated on the way.
///
/// # Errors
/// [`PullsError::Share`] for a share or a ± that can't be.
pub fn crank_estimate(
    wheel: WheelPower,
    roller: Motion,
    engine: Motion,
    loss: &Loss,
    turning: &Turning,
) -> Result<CrankEstimate, PullsError> {
    let per_wheels = roller.speed * roller.rate;
    let (coast, through) = match loss {
        Loss::CoastDown(losses) => (Some((losses, losses.at(roller.speed))), UNDER_LOAD),
        &Loss::Stated { share, plus_minus } => {
            check_share(share, plus_minus)?;
            (None, Figure { value: share, plus_minus, stated: true })
        }
    };
    let coasted = coast.as_ref().map_or(0.0, |(_, at)| roller.speed * at.torque);
    let inward = wheel.0 + coasted + per_wheels * turning.wheels.value;
    let outward = 1.0 / (1.0 - through.value);
    let accelerating = turning.engine.map_or(0.0, |j| j.value * engine.speed * engine.rate);
    // The coast-down was read with the wheels on the roller: their ± is in the losses too.
    let wheels = per_wheels + coast.as_ref().map_or(0.0, |(l, _)| coasted / l.inertia);
    let doubts = [
        coast.as_ref().map_or(0.0, |(_, at)| outward * roller.speed * at.plus_minus),
        outward * wheels * turning.wheels.plus_minus,
        outward * outward * inward * through.plus_minus,
        turning.engine.map_or(0.0, |j| j.plus_minus * engine.speed * engine.rate),
    ];
    Ok(CrankEstimate {
        power: outward * inward + accelerating,
        plus_minus: doubts.iter().map(|d| d * d).sum::<f64>().sqrt(),
        assumption: assumption(coast.map(|(_, at)| at.inside), through, turning),
    })
}

/// What the estimate rests on, in words. `inside`: the coast-down reached this speed; `None` without
/// one.
fn assumption(inside: Option<bool>, through: Figure, turning: &Turning) -> String {
    let percent = |share: f64| 100.0 * share;
    let losses = match inside {
        None => format!(
            "losses of {:.0} ±{:.0} % as stated, not measured",
            percent(through.value),
            percent(through.plus_minus)
        ),
        Some(inside) => format!(
            "losses by a coast-down{}; what gears and tyres lose under load is not in it and taken \
             as {:.0} ±{:.0} % (assumed)",
            if inside { "" } else { ", prolonged beyond its speeds" },
            percent(through.value),
            percent(through.plus_minus)
        ),
    };
    let engine = match &turning.engine {
        Some(j) => format!(
            "inertia of the engine {:.2} ±{:.2} kg·m² ({})",
            j.value,
            j.plus_minus,
            j.origin()
        ),
        None => "nothing added for the inertia of the engine".to_owned(),
    };
    format!("{losses}; {engine}")
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
