//! Scatter of the dyno, session by session, as its record keeps it.

use shortblock_compare::{Change, HistoryKey, Mode, SessionScatter, Source, Spread};
use shortblock_document::Finding;
use shortblock_units::{Measure, Quantity, unit};

use crate::entry::Entry;
use crate::form::Form;

/// Kinds of change in the order they are declared in.
pub const CHANGES: [Change; 4] =
    [Change::Setting, Change::BoltOn, Change::Opened, Change::StrappedAgain];
/// Modes in the order they are declared in.
pub const MODES: [Mode; 2] = [Mode::Sweep, Mode::Steady];
/// Sources in the order they are declared in.
pub const SOURCES: [Source; 8] = [
    Source::Pull,
    Source::Refit,
    Source::Session,
    Source::Slope,
    Source::WarmUp,
    Source::Correction,
    Source::Oil,
    Source::Dyno,
];

/// What one session showed of the dyno's scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// The session.
    pub session: String,
    /// What it speaks for.
    pub key: HistoryKey,
    /// Pull to pull, where pulls were repeated.
    pub scatter: Option<SessionScatter>,
    /// What else moves a pull, as far as the day could tell.
    pub spreads: Vec<Spread>,
}

/// Every entry of the record that can be used; the others are noted as faults.
pub fn all(form: &mut Form, dyno: &Entry, name: &str) -> Vec<Seen> {
    let mut out: Vec<Seen> = Vec::new();
    for entry in dyno.tables("history") {
        let Some(seen) = one(form, entry, name) else { continue };
        if out.iter().any(|s| s.session == seen.session && s.key == seen.key) {
            let what = format!("the scatter of {} stands here twice", seen.session);
            let remedy = "Leave the one that holds: twice would count as two sessions.";
            form.wrong(&entry.place, "history", what, remedy);
        } else {
            out.push(seen);
        }
    }
    out
}

fn one(form: &mut Form, entry: &Entry, dyno: &str) -> Option<Seen> {
    let mode = entry.choice("mode", &MODES);
    let rate = entry.value("sweep_rate");
    let sweep_rate_rpm_s = match (mode, rate) {
        (Some(Mode::Sweep), None) if !entry.says("sweep_rate") => {
            let what = "[[history]] of a sweep has no sweep_rate";
            form.wrong(&entry.place, "history.sweep_rate", what, "Write \"300 rpm/s\".");
            None
        }
        (Some(Mode::Steady), None) => Some(0),
        (_, rate) => rate.and_then(|r| whole(form, entry, "sweep_rate", r, "rpm/s")),
    };
    let torque = entry.value("torque_from");
    let torque_from_nm = torque.and_then(|t| whole(form, entry, "torque_from", t, "N.m"));
    let scatter = scatter(form, entry);
    let spreads = entry.tables("spread").iter().filter_map(|s| spread(form, s)).collect();
    Some(Seen {
        session: entry.text("session")?.to_owned(),
        key: HistoryKey {
            dyno: dyno.to_owned(),
            mode: mode?,
            sweep_rate_rpm_s: sweep_rate_rpm_s?,
            torque_from_nm: torque_from_nm?,
        },
        scatter,
        spreads,
    })
}

/// A whole number of a unit that scatter is grouped by.
fn whole(form: &mut Form, entry: &Entry, word: &str, value: &Measure, symbol: &str) -> Option<u32> {
    let unit = unit(value.quantity, symbol)?;
    let number = value.in_unit(unit);
    let near = number.round();
    if (number - near).abs() < 1e-6 && (0.0..1e6).contains(&near) {
        return Some(near as u32);
    }
    let what =
        format!("{} is a whole number of {symbol}, not {}", word.replace('_', " "), value.text);
    let remedy = "Scatter is grouped by it; write the nearest whole one.";
    form.wrong(entry.place_of(word), &format!("history.{word}"), what, remedy);
    None
}

/// Variances over speed; all of their words or none.
fn scatter(form: &mut Form, entry: &Entry) -> Option<SessionScatter> {
    const WORDS: [&str; 3] = ["dof", "from_rpm", "variances"];
    let missing: Vec<&str> = WORDS.into_iter().filter(|w| !entry.says(w)).collect();
    if !missing.is_empty() && missing.len() < WORDS.len() {
        let what = format!("[[history]] has no {}", missing.join(" and no "));
        let remedy = "dof, from_rpm and variances belong together.";
        form.wrong(&entry.place, "history", what, remedy);
        return None;
    }
    let dof = entry.number("dof")?;
    let (from_rpm, variances) = (entry.number("from_rpm")?, entry.numbers("variances")?);
    let usable = dof > 0.0 && from_rpm >= 0.0 && variances.iter().flatten().all(|v| *v >= 0.0);
    if !usable {
        let fault = Finding::new("a variance, its degrees of freedom or its speed is below 0");
        let fault = fault.at(entry.place_of("variances")).about("history.variances");
        form.faults.push(fault.remedy("Check the figures, or take this [[history]] out."));
        return None;
    }
    Some(SessionScatter {
        dof,
        from_rpm,
        variances: variances.to_vec(),
        resels_per_1000_rpm: entry.number("resels_per_1000_rpm"),
    })
}

fn spread(form: &mut Form, entry: &Entry) -> Option<Spread> {
    let spread = Spread {
        source: entry.choice("source", &SOURCES)?,
        change: entry.choice("change", &CHANGES)?,
        variance: entry.number("variance")?,
        dof: entry.number("dof")?,
    };
    if spread.dof <= 0.0 {
        let remedy = "Take this spread out: it rests on nothing.";
        form.wrong(entry.place_of("dof"), "history.spread.dof", "dof must be above 0", remedy);
        return None;
    }
    Some(spread)
}

/// The text of a sweep rate or a torque that [`whole`] takes.
pub fn whole_text(number: u32, quantity: Quantity) -> String {
    match quantity {
        Quantity::SweepRate => format!("{number} rpm/s"),
        _ => format!("{number} N.m"),
    }
}
