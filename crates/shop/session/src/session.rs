//! One day on one dyno.

use shortblock_compare::{Change, Margin, Order};
use shortblock_pulls::Said;
use shortblock_units::Measure;
use shortblock_weather::{Aspiration, Standard};

use crate::air::Reading;
use crate::dyno::Dyno;
use crate::limit::Limit;
use crate::order;
use crate::pull::Pull;

/// What the session file says, and the dyno's record that it names.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    /// Its address, `114/s6`.
    pub name: Option<String>,
    /// The day, `2026-05-14`.
    pub date: Option<String>,
    /// The engine file or the file of a build, as the loader knows it; it is there, not read here.
    pub engine: Option<String>,
    /// The dyno.
    pub dyno: Option<Dyno>,
    /// Who ran it.
    pub operator: Option<String>,
    /// Standard that power is corrected to.
    pub correction: Option<Standard>,
    /// Smallest difference that would be acted on.
    pub worth_having: Option<Margin>,
    /// Speeds the answer is wanted over, rad/s, the lower first.
    pub range: Option<(f64, f64)>,
    /// What is done between A and B.
    pub change: Option<Change>,
    /// Order of the pulls as planned.
    pub plan: Option<Order>,
    /// How the engine gets its air; naturally where nobody says.
    pub induction: Option<Aspiration>,
    /// Fuel in the tank.
    pub fuel: Option<String>,
    /// Rate of the sweeps as planned, rad/s², where it is not the dyno's usual one.
    pub sweep_rate: Option<Measure>,
    /// Whether the log's torque holds what accelerates engine and dyno.
    pub inertia_included: Option<bool>,
    /// Of the engine's turning parts, kg·m²; the day's own figure, else the dyno's.
    pub engine_inertia: Option<Measure>,
    /// Of the driven wheels on a roller, kg at its surface.
    pub wheels_mass: Option<Measure>,
    /// Limits of the day; those of the dyno stand in its record.
    pub limits: Vec<Limit>,
    /// Readings of the air, in the order of their times.
    pub air: Vec<Reading>,
    /// The pulls in the order they were made, those set aside among them.
    pub pulls: Vec<Pull>,
    /// What columns of the logs are.
    pub columns: Vec<Said>,
    /// Whatever else was noted.
    pub note: String,
}

impl Session {
    /// The readings last before and first after a time of day (s since midnight). One reading
    /// without a time holds all day; a reading at that very time counts as before.
    #[must_use]
    pub fn air_around(&self, time: Option<f64>) -> (Option<&Reading>, Option<&Reading>) {
        if let [only] = self.air.as_slice()
            && (only.time.is_none() || time.is_none())
        {
            return (Some(only), None);
        }
        let Some(time) = time else { return (None, None) };
        let before = self.air.iter().rev().find(|r| r.time.is_some_and(|t| t <= time));
        let after = self.air.iter().find(|r| r.time.is_some_and(|t| t > time));
        (before, after)
    }

    /// Refit count of each pull: as written; where nothing is written, one more at every change of
    /// build.
    #[must_use]
    pub fn blocks(&self) -> Vec<u32> {
        order::blocks(&self.pulls)
    }

    /// For each pull, how many were made since the engine last stood for more than 20 minutes; the
    /// first of the day is 0. Where nobody said how long it stood, the time from the start of the
    /// pull before counts.
    #[must_use]
    pub fn pulls_since_stop(&self) -> Vec<u32> {
        order::pulls_since_stop(&self.pulls)
    }
}
