//! What must be looked at before the next pull: every check with value, limit, reason and remedy.
//!
//! A check never sets a pull aside, and none is in order for want of a channel: what the log does not
//! hold is *not seen*. Limits come from the engine's file, the dyno's file, or are common practice
//! ([`Limits::shipped`]); each check says which.

mod air;
mod alignment;
mod conduct;
mod engine;
mod exchanged;
mod heat;
mod limits;
mod mixture;
mod people;
mod roller;
mod signals;
mod torque;

pub use limits::{From, Limits, Stated};

use crate::channel::Channel;
use crate::chassis::WheelCurve;
use crate::pull::Pull;
use crate::recording::Recording;
use crate::sweep::Kind;
use shortblock_units::Quantity;

/// The one vocabulary of every check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// The log does not hold what the check needs.
    NotSeen,
    /// Nothing to do.
    InOrder,
    /// Look at it before the next pull.
    Watch,
    /// No further pull before it is found.
    Stop,
}

impl Verdict {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::NotSeen => "not seen",
            Self::InOrder => "in order",
            Self::Watch => "watch",
            Self::Stop => "stop",
        }
    }
}

/// A value of a check in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The value.
    pub si: f64,
    /// What it is; [`Quantity::Ratio`] for counts.
    pub quantity: Quantity,
}

/// A limit that was held against a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// The limit.
    pub figure: Figure,
    /// True when the value must not lie above it, false when not below.
    pub at_most: bool,
    /// Where it comes from.
    pub from: From,
}

/// One check of one pull.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// What was looked at: "oil pressure".
    pub what: &'static str,
    /// The answer.
    pub verdict: Verdict,
    /// What was seen.
    pub seen: Option<Figure>,
    /// Engine speed there, rad/s.
    pub at: Option<f64>,
    /// The limit that decided, or that was nearest.
    pub bound: Option<Bound>,
    /// Why, as a sentence without the numbers above.
    pub reason: String,
    /// What to do; empty when in order.
    pub remedy: String,
}

impl Check {
    fn new(what: &'static str, verdict: Verdict, reason: impl Into<String>) -> Self {
        let (seen, at, bound, remedy) = (None, None, None, String::new());
        Self { what, verdict, seen, at, bound, reason: reason.into(), remedy }
    }

    fn not_seen(what: &'static str, reason: impl Into<String>) -> Self {
        Self::new(what, Verdict::NotSeen, reason)
    }

    fn seen(self, si: f64, quantity: Quantity) -> Self {
        Self { seen: Some(Figure { si, quantity }), ..self }
    }

    fn at(self, speed: Option<f64>) -> Self {
        Self { at: speed.filter(|s| s.is_finite()), ..self }
    }

    fn remedy(self, remedy: impl Into<String>) -> Self {
        Self { remedy: remedy.into(), ..self }
    }

    fn bound(self, bound: Bound) -> Self {
        Self { bound: Some(bound), ..self }
    }
}

/// What earlier pulls of the same engine on the same dyno were like, for checks that compare.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Earlier {
    /// Mean oil pressure over the upper quarter of speeds, Pa gauge, and oil temperature then, K.
    pub oil: Option<(f64, Option<f64>)>,
    /// Coolant, oil and inlet air at the start, K.
    pub starts: [Option<f64>; 3],
    /// Spread of exhaust temperatures from cylinder to cylinder, K.
    pub exhaust_spread: Option<f64>,
    /// Exhaust temperature of each cylinder beside their mean, K.
    pub exhausts: Vec<(u8, f64)>,
    /// Highest crankcase pressure, Pa gauge.
    pub crankcase: Option<f64>,
    /// Sweep rate, rad/s².
    pub rate: Option<f64>,
    /// Speed at which its sweep up ended, rad/s.
    pub to: Option<f64>,
    /// Usual engine speed over roller surface speed, rad/m, where both were read.
    pub turns_per_metre: Option<f64>,
}

/// The fuel, as far as checks need it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuel {
    /// What to call it, with where that comes from: "e10", "petrol, since nobody said the fuel".
    pub name: String,
    /// Stoichiometric air-fuel ratio, kg/kg.
    pub stoichiometric_ratio: f64,
}

/// What people said of a pull.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct People {
    /// Leaks, noises, smells; `None` when nobody said anything.
    pub note: Option<String>,
    /// What was changed since the pull before; `None` when nobody said.
    pub changed: Option<String>,
}

/// What is known of the weather of a pull.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Weather {
    /// The file has corrected torque only, and not by which factor.
    InTheFile,
    /// Nothing was written down and the log holds none.
    #[default]
    Unknown,
    /// The air is known; what stands against it (old, moved, outside the standard's window).
    Known(Vec<String>),
}

/// All that the checks of one pull look at.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// The recording the pull is in.
    pub recording: &'a Recording,
    /// The pull.
    pub pull: &'a Pull,
    /// Limits.
    pub limits: &'a Limits,
    /// The pull before, when there was one.
    pub earlier: Option<&'a Earlier>,
    /// What people said.
    pub people: &'a People,
    /// The weather.
    pub weather: &'a Weather,
    /// The fuel.
    pub fuel: &'a Fuel,
    /// Power at the wheels, on a roller.
    pub wheel: Option<&'a WheelCurve>,
}

const CHECKS: &[fn(&Facts) -> Vec<Check>] = &[
    engine::speed,
    engine::oil_pressure,
    heat::temperatures,
    mixture::lambda,
    mixture::fuel_pressure,
    mixture::injectors,
    engine::knock,
    heat::exhaust,
    heat::inlet_rise,
    air::manifold,
    air::boost,
    air::throttle,
    engine::supply,
    engine::crankcase,
    conduct::sweep,
    roller::slip,
    torque::most_allowed,
    torque::shape,
    torque::zero,
    mixture::triangle,
    air::weather,
    signals::frozen,
    exchanged::exchanged,
    signals::gaps,
    alignment::alignment,
    people::note,
    people::changed,
];

/// Every check of a pull, in the order in which they should be read.
pub fn check(facts: &Facts) -> Vec<Check> {
    CHECKS.iter().flat_map(|one| one(facts)).collect()
}

impl Facts<'_> {
    /// Readings of a channel over the pull, in SI.
    fn read(&self, channel: Channel) -> Option<&[f64]> {
        let values = self.pull.as_read(self.recording, channel)?;
        values.iter().any(|v| v.is_finite()).then_some(values)
    }

    /// Channels of a family that the log holds, with their readings.
    fn family(&self, make: fn(u8) -> Channel) -> Vec<(Channel, &[f64])> {
        (0..=24).map(make).filter_map(|c| Some((c, self.read(c)?))).collect()
    }

    /// Engine speed of every row of the pull, rad/s.
    fn speed(&self) -> &[f64] {
        self.read(Channel::EngineSpeed).unwrap_or(&[])
    }

    /// Time of every row of the pull, s; empty without a time.
    fn time(&self) -> &[f64] {
        self.recording.time.get(self.pull.stretch.rows.clone()).unwrap_or(&[])
    }

    /// True when speed moves all along: what a dwell of a step test does is no fault of its own.
    fn sweeps(&self) -> bool {
        matches!(self.pull.stretch.kind, Kind::SweepUp | Kind::SweepDown)
    }

    /// True for a row that counts: all of a sweep, the dwells of a step test.
    fn counts(&self, row: usize) -> bool {
        let stretch = &self.pull.stretch;
        let at = stretch.rows.start + row;
        stretch.dwells.is_empty() || stretch.dwells.iter().any(|dwell| dwell.contains(&at))
    }

    /// Speed at the row where `pick` of the values is.
    fn speed_at(&self, row: usize) -> Option<f64> {
        self.speed().get(row).copied()
    }

    /// Rows in the upper quarter of the speeds of the pull.
    fn upper_quarter(&self) -> impl Iterator<Item = usize> + '_ {
        let (low, high) = ends(self.speed()).unwrap_or((0.0, 0.0));
        let from = high - 0.25 * (high - low);
        self.speed().iter().enumerate().filter(move |(_, s)| **s >= from).map(|(row, _)| row)
    }
}

/// Smallest and largest finite value.
fn ends(values: &[f64]) -> Option<(f64, f64)> {
    let (low, high) = values
        .iter()
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(*v), high.max(*v)));
    (low <= high).then_some((low, high))
}

/// Row and value of the smallest finite value.
fn least(values: &[f64]) -> Option<(usize, f64)> {
    let finite = values.iter().copied().enumerate().filter(|(_, v)| v.is_finite());
    finite.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Row and value of the largest finite value.
fn most(values: &[f64]) -> Option<(usize, f64)> {
    let finite = values.iter().copied().enumerate().filter(|(_, v)| v.is_finite());
    finite.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Mean of the finite values of some rows.
fn mean_of(values: &[f64], rows: impl Iterator<Item = usize>) -> Option<f64> {
    let finite = rows.filter_map(|row| values.get(row).copied()).filter(|v| v.is_finite());
    let (sum, count) = finite.fold((0.0, 0.0), |(sum, count), v| (sum + v, count + 1.0));
    (count > 0.0).then(|| sum / count)
}

/// The first finite value.
fn first(values: &[f64]) -> Option<f64> {
    values.iter().copied().find(|v| v.is_finite())
}

/// The last finite value.
fn last(values: &[f64]) -> Option<f64> {
    values.iter().rev().copied().find(|v| v.is_finite())
}

/// What a pull leaves for the checks of the next.
pub fn earlier(recording: &Recording, pull: &Pull) -> Earlier {
    let (people, weather) = (People::default(), Weather::Unknown);
    let limits = Limits::shipped();
    let fuel = Fuel { name: String::new(), stoichiometric_ratio: f64::NAN };
    let facts = Facts {
        recording,
        pull,
        limits: &limits,
        earlier: None,
        people: &people,
        weather: &weather,
        fuel: &fuel,
        wheel: None,
    };
    let start = |channel| facts.read(channel).and_then(first);
    Earlier {
        oil: engine::upper_oil(&facts),
        starts: [
            start(Channel::CoolantTemperature),
            start(Channel::OilTemperature),
            start(Channel::IntakeAirTemperature),
        ],
        exhaust_spread: heat::exhaust_spread(&facts),
        exhausts: exchanged::pattern(&facts),
        crankcase: facts.read(Channel::CrankcasePressure).and_then(most).map(|(_, v)| v),
        rate: pull.stretch.rate.map(|rate| rate.mean),
        to: (pull.stretch.kind == Kind::SweepUp).then_some(pull.stretch.to),
        turns_per_metre: roller::drive_of(&facts).map(|drive| drive.ratio),
    }
}
