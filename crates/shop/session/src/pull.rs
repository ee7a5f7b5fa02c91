//! What the session file says of one pull.

use shortblock_compare::SetAside;
use shortblock_document::{Place, folder, join};

use crate::entry::Entry;
use crate::form::Form;
use crate::setting::Setting;

/// One pull as the session file names it; the numbers are in its log.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// The log, as the loader knows it.
    pub file: String,
    /// Which pull of the log, from 1; `None` where the log holds one.
    pub part: Option<u32>,
    /// Number over the life of the engine.
    pub number: Option<u32>,
    /// When it began, s since midnight.
    pub time: Option<f64>,
    /// Build it was made with.
    pub build: Option<String>,
    /// What was set, by name.
    pub settings: Vec<Setting>,
    /// Whether knock was heard; `None` when nobody said.
    pub knocked: Option<bool>,
    /// Speeds at which it knocked, rad/s, the lower first; `None` for the whole pull.
    pub knock_range: Option<(f64, f64)>,
    /// Factor by which the log's torque was corrected, where the log does not state it.
    pub corrected_by: Option<f64>,
    /// How long the engine stood before, s.
    pub stood: Option<f64>,
    /// Refit count as written; [`Session::blocks`](crate::Session::blocks) fills the gaps.
    pub block: Option<u32>,
    /// Why it is set aside, and whether that was after the difference had been seen.
    pub set_aside: Option<LeftOut>,
    /// Whatever else was noted.
    pub note: String,
    /// Where it stands.
    pub place: Place,
}

/// Why a pull is set aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// The reason, as typed.
    pub reason: String,
    /// Before or after the difference was seen.
    pub when: SetAside,
}

impl Pull {
    /// What to call it: "pull 44", or its log where it has no number.
    #[must_use]
    pub fn label(&self) -> String {
        match (self.number, self.part) {
            (Some(number), _) => format!("pull {number}"),
            (None, Some(part)) => format!("{} part {part}", name(&self.file)),
            (None, None) => name(&self.file).to_owned(),
        }
    }
}

fn name(file: &str) -> &str {
    file.rsplit('/').next().unwrap_or(file)
}

/// The pull of an entry, with its own faults noted; `None` when it names no log.
pub fn of(form: &mut Form, entry: &Entry, session_file: &str) -> Option<Pull> {
    let set_aside = set_aside(form, entry);
    for (word, what) in [("part", "a part"), ("number", "the number of a pull")] {
        if entry.count(word) == Some(0) {
            let what = format!("{what} counts from 1");
            form.wrong(entry.place_of(word), &format!("pull.{word}"), what, "Write 1 or more.");
        }
    }
    let stood = entry.si("stood");
    if stood.is_some_and(|s| s < 0.0) {
        let remedy = "Write how long the engine stood, such as \"25 min\".";
        form.wrong(entry.place_of("stood"), "pull.stood", "stood is below 0", remedy);
    }
    let knock_range = knock_range(form, entry);
    Some(Pull {
        file: join(folder(session_file), entry.text("file")?),
        part: entry.count("part"),
        number: entry.count("number"),
        time: entry.time("time"),
        build: entry.text("build").map(str::to_owned),
        settings: entry.settings("settings").to_vec(),
        knocked: entry.flag("knocked").or(knock_range.map(|_| true)),
        knock_range,
        corrected_by: corrected_by(form, entry),
        stood,
        block: entry.count("block"),
        set_aside,
        note: entry.note.clone(),
        place: entry.place.clone(),
    })
}

/// A ratio near 1, as files state it.
fn corrected_by(form: &mut Form, entry: &Entry) -> Option<f64> {
    let factor = entry.number("corrected_by")?;
    if (0.7..=1.4).contains(&factor) {
        return Some(factor);
    }
    let what = format!("a correction factor of {factor} can't be");
    let remedy = "It lies near 1: write 1.03, not 3 or 103.";
    form.wrong(entry.place_of("corrected_by"), "pull.corrected_by", what, remedy);
    None
}

/// Speeds at which it knocked; a fault beside `knocked = false`.
fn knock_range(form: &mut Form, entry: &Entry) -> Option<(f64, f64)> {
    let range = entry.range("knock_range")?;
    if entry.flag("knocked") == Some(false) {
        let remedy = "Write  knocked = true, or take the line out.";
        let what = "no knock was heard, and yet at these speeds";
        form.wrong(entry.place_of("knock_range"), "pull.knock_range", what, remedy);
    }
    Some(range)
}

fn set_aside(form: &mut Form, entry: &Entry) -> Option<LeftOut> {
    let after = entry.flag("set_aside_after").unwrap_or(false);
    if entry.says("set_aside_after") && !entry.says("set_aside") {
        let what = "set aside without a reason";
        let remedy = "Write  set_aside = \"fuel pressure fell\"  beside it.";
        form.wrong(entry.place_of("set_aside_after"), "pull.set_aside", what, remedy);
    }
    let reason = entry.text("set_aside")?.trim();
    if reason.is_empty() {
        let remedy = "Say why, or take the line out.";
        let place = entry.place_of("set_aside");
        form.wrong(place, "pull.set_aside", "set aside without a reason", remedy);
        return None;
    }
    let when = if after { SetAside::AfterSeen } else { SetAside::BeforeSeen };
    Some(LeftOut { reason: reason.to_owned(), when })
}
