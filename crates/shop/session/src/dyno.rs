//! The dyno's own record.

use shortblock_compare::{DynoKind, History, HistoryKey};
use shortblock_pulls::Channel;
use shortblock_units::Measure;

use crate::entry::Entry;
use crate::form::Form;
use crate::limit::{self, Limit};
use crate::seen::{self, Seen};

/// What is known of one dyno.
#[derive(Debug, Clone, PartialEq)]
pub struct Dyno {
    /// Its file as the loader knows it.
    pub file: String,
    /// What it is called in the shop.
    pub name: String,
    /// Engine dyno or roller.
    pub kind: DynoKind,
    /// What takes up the power.
    pub absorber: Option<String>,
    /// Of the shop above sea level, m.
    pub elevation: Option<Measure>,
    /// What turns between crankshaft and load cell, or the roller, kg·m².
    pub inertia: Option<Measure>,
    /// Of the engine's turning parts, kg·m².
    pub engine_inertia: Option<Measure>,
    /// Usual rate of a sweep, rad/s².
    pub sweep_rate: Option<Measure>,
    /// What only a roller has.
    pub roller: Roller,
    /// How late channels are, s.
    pub lags: Vec<(Channel, f64)>,
    /// Instruments with their last check.
    pub instruments: Vec<Instrument>,
    /// Limits of the dyno itself.
    pub limits: Vec<Limit>,
    /// Scatter seen so far, one entry for a session and a [`HistoryKey`].
    pub seen: Vec<Seen>,
    /// Whatever else was noted.
    pub note: String,
}

/// What only a roller has; nothing said on an engine dyno.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Roller {
    /// Of the roller, m.
    pub radius: Option<Measure>,
    /// Equivalent mass at the surface, kg.
    pub mass: Option<Measure>,
    /// Of the absorber's load cell from the roller's axis, m.
    pub arm: Option<Measure>,
    /// Share lost in driveline and tyre, a stated figure.
    pub loss: Option<Measure>,
}

/// An instrument of the dyno.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// What it is called.
    pub name: String,
    /// The channel it reads.
    pub channel: Option<Channel>,
    /// Day of the last check, `2026-05-02`.
    pub checked: Option<String>,
    /// What it may be off by, 19 times in 20: a fraction, or a value with unit.
    pub plus_minus: Option<Measure>,
}

impl Dyno {
    /// What was seen under `key` in every session but `but`, which is the one under test: its own
    /// pulls speak for themselves.
    #[must_use]
    pub fn history(&self, key: &HistoryKey, but: Option<&str>) -> History {
        let mut history = History::new(key.clone());
        for seen in self.seen.iter().filter(|s| s.key == *key && Some(s.session.as_str()) != but) {
            history.sessions.extend(seen.scatter.clone());
            history.spreads.extend(seen.spreads.iter().copied());
        }
        history
    }
}

/// The record of an entry; `None` when name or kind is missing, which is noted as a fault.
pub fn of(form: &mut Form, entry: &Entry) -> Option<Dyno> {
    let name = entry.text("name").unwrap_or_default().to_owned();
    let seen = seen::all(form, entry, &name);
    let kind = entry.choice("kind", &[DynoKind::Engine, DynoKind::Roller])?;
    if kind == DynoKind::Engine && entry.says("roller") {
        let remedy = "Write  kind = \"roller\", or take [roller] out.";
        form.wrong(entry.place_of("roller"), "roller", "an engine dyno has no roller", remedy);
    }
    entry.text("name")?;
    Some(Dyno {
        file: String::new(),
        name,
        kind,
        absorber: entry.text("absorber").map(str::to_owned),
        elevation: entry.value("elevation").cloned(),
        inertia: above_zero(form, entry, "inertia"),
        engine_inertia: above_zero(form, entry, "engine_inertia"),
        sweep_rate: above_zero(form, entry, "sweep_rate"),
        roller: entry.table("roller").map(|roller| of_roller(form, roller)).unwrap_or_default(),
        lags: entry.lags("lags").to_vec(),
        instruments: entry.tables("instrument").iter().filter_map(instrument).collect(),
        limits: limit::all(entry),
        seen,
        note: entry.note.clone(),
    })
}

fn of_roller(form: &mut Form, entry: &Entry) -> Roller {
    let loss = entry.value("loss").filter(|loss| {
        let fits = (0.0..0.5).contains(&loss.si);
        if !fits {
            let remedy = "Write what driveline and tyre take, such as \"12 %\".";
            form.wrong(entry.place_of("loss"), "roller.loss", "a loss lies in 0 to 50 %", remedy);
        }
        fits
    });
    let loss = loss.cloned();
    Roller {
        radius: above_zero(form, entry, "radius"),
        mass: above_zero(form, entry, "mass"),
        arm: above_zero(form, entry, "arm"),
        loss,
    }
}

fn instrument(entry: &Entry) -> Option<Instrument> {
    Some(Instrument {
        name: entry.text("name")?.to_owned(),
        channel: entry.channel("channel").flatten(),
        checked: entry.text("checked").map(str::to_owned),
        plus_minus: entry.value("plus_minus").cloned(),
    })
}

/// A value that can't be 0 or less; else a fault.
pub fn above_zero(form: &mut Form, entry: &Entry, word: &str) -> Option<Measure> {
    let value = entry.value(word)?;
    if value.si > 0.0 {
        return Some(value.clone());
    }
    let what = format!("{} of {} can't be: it is above 0", word.replace('_', " "), value.text);
    form.wrong(entry.place_of(word), word, what, "Check the figure, or leave it out.");
    None
}
