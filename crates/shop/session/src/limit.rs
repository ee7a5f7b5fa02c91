//! Limits that the dyno's record or the session file states, and pulls held against them.

use shortblock_pulls::Channel;
use shortblock_pulls::check::{From, Limits, Stated};
use shortblock_weather::Aspiration;

use crate::entry::Entry;
use crate::schema::LIMITED;
use crate::session::Session;

/// Which way a limit holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Never less.
    AtLeast,
    /// Never more.
    AtMost,
}

/// A limit on what a log shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// What it is on; number 0 stands for every bank or cylinder.
    pub channel: Channel,
    /// Which way.
    pub side: Side,
    /// The limit, SI of the channel's quantity; in the log's own scale where it has none.
    pub value: f64,
}

/// The limits that an entry's `[limits]` states.
pub fn all(entry: &Entry) -> Vec<Limit> {
    let Some(table) = entry.table("limits") else { return Vec::new() };
    let limits = LIMITED.iter().filter_map(|(word, channel, side)| {
        let value = table.si(word).or_else(|| table.number(word))?;
        Some(Limit { channel: *channel, side: *side, value })
    });
    limits.collect()
}

impl Session {
    /// `limits` (common practice, or those with the engine's own) with what dyno and session state.
    /// What is stated replaces common practice; of two that are stated the tighter one holds. Common
    /// practice for lambda follows the engine's induction.
    #[must_use]
    pub fn limits_over(&self, mut limits: Limits) -> Limits {
        if self.induction.is_some_and(|air| air != Aspiration::Natural) {
            limits = limits.of_boosted();
        }
        let dyno = self.dyno.iter().flat_map(|dyno| &dyno.limits).map(|l| (l, From::Dyno));
        for (limit, from) in dyno.chain(self.limits.iter().map(|l| (l, From::Session))) {
            lay(&mut limits, limit, from);
        }
        let of_day = self.sweep_rate.as_ref().map(|rate| (rate, From::Session));
        let usual = self.dyno.iter().flat_map(|dyno| &dyno.sweep_rate).map(|r| (r, From::Dyno));
        if let Some((rate, from)) = of_day.into_iter().chain(usual).next() {
            limits.planned_rate = Some(Stated { value: rate.si, from });
        }
        limits
    }
}

fn lay(limits: &mut Limits, limit: &Limit, from: From) {
    let stated = Stated { value: limit.value, from };
    let maybe = match limit.channel {
        Channel::EngineSpeed => &mut limits.engine_speed,
        Channel::OilPressure => &mut limits.oil_pressure,
        Channel::Knock(_) => &mut limits.knock,
        Channel::Torque => &mut limits.torque,
        Channel::Power => &mut limits.power,
        Channel::Boost => &mut limits.boost,
        Channel::FuelPressure => &mut limits.fuel_pressure,
        channel => {
            let held = match channel {
                Channel::OilTemperature => &mut limits.oil_stop,
                Channel::CoolantTemperature => &mut limits.coolant_stop,
                Channel::Lambda(_) => &mut limits.lambda,
                Channel::InjectorDuty => &mut limits.injector_duty[1],
                Channel::ExhaustTemperature(_) => &mut limits.exhaust,
                Channel::CrankcasePressure => &mut limits.crankcase,
                _ => return,
            };
            *held = tighter(*held, stated, limit.side);
            return;
        }
    };
    *maybe = Some(maybe.map_or(stated, |old| tighter(old, stated, limit.side)));
}

fn tighter(old: Stated, new: Stated, side: Side) -> Stated {
    let tighter = match side {
        Side::AtLeast => new.value > old.value,
        Side::AtMost => new.value < old.value,
    };
    if tighter || old.from == From::CommonPractice { new } else { old }
}
