//! Files in, a session or a dyno's record out, or every fault.

use shortblock_compare::Margin;
use shortblock_document::{
    Doubt, Faults, Finding, Loader, Node, Sources, folder, in_order, join, nearest, parse,
};
use shortblock_pulls::Said;

use crate::dyno::{self, Dyno};
use crate::entry::Entry;
use crate::form::Form;
use crate::schema::{File, INDUCTIONS};
use crate::seen::CHANGES;
use crate::session::Session;
use crate::{air, limit, pull, rules};

/// The record that is read where a session names none.
const BESIDE: &str = "dyno.toml";

/// What came of reading a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded<T> {
    /// What it says, or every fault that keeps it from being used.
    pub read: Result<T, Faults>,
    /// Doubts, also when there are faults; silenced ones carry the reason.
    pub doubts: Vec<Doubt>,
    /// The texts that were read; places in faults and doubts point into them.
    pub sources: Sources,
}

/// Reads the session file that the loader knows as `entry`, and the dyno's record that it names.
///
/// Never panics, whatever the texts hold. All faults come at once, except that a text that is not
/// TOML shows its first fault only.
#[must_use]
pub fn load_session(entry: &str, loader: &dyn Loader) -> Loaded<Session> {
    let mut reading = Reading::new(loader);
    let session = reading.tree(entry, None).and_then(|root| reading.session(entry, &root));
    reading.end(session)
}

/// Reads the dyno's record that the loader knows as `entry`. As [`load_session`].
#[must_use]
pub fn load_dyno(entry: &str, loader: &dyn Loader) -> Loaded<Dyno> {
    let mut reading = Reading::new(loader);
    let dyno = reading.tree(entry, None).and_then(|root| reading.dyno(entry, &root));
    reading.end(dyno)
}

pub(crate) struct Reading<'a> {
    loader: &'a dyn Loader,
    sources: Sources,
    pub faults: Vec<Finding>,
    pub doubts: Vec<Doubt>,
}

impl<'a> Reading<'a> {
    pub fn new(loader: &'a dyn Loader) -> Self {
        Self { loader, sources: Sources::default(), faults: Vec::new(), doubts: Vec::new() }
    }

    /// The tree of a file; a file that is not there is a fault, at the word that names it.
    pub fn tree(&mut self, name: &str, named: Option<(&Entry, &str)>) -> Option<Node> {
        let Some(text) = self.loader.text(name) else {
            let fault = self.missing(name);
            self.faults.push(match named {
                Some((entry, word)) => fault.at(entry.place_of(word)).about(word),
                None => fault,
            });
            return None;
        };
        let source = self.sources.add(name, &text);
        parse(&self.sources, source).map_err(|fault| self.faults.push(*fault)).ok()
    }

    fn missing(&self, name: &str) -> Finding {
        let names = self.loader.names(folder(name));
        let file = name.rsplit('/').next().unwrap_or(name);
        let near = nearest(file, names.iter().map(String::as_str));
        let mark = near.map_or_else(String::new, |near| format!("did you mean {near}?"));
        let fault = Finding::new(format!("there is no file {name}")).mark(mark);
        fault.remedy("The way counts from the folder of the file that names it.")
    }

    pub fn take(&mut self, form: Form) {
        self.faults.extend(form.faults);
        self.doubts.extend(form.doubts);
    }

    pub fn end<T>(self, read: Option<T>) -> Loaded<T> {
        let Self { sources, faults, doubts, .. } = self;
        let read = match read {
            Some(read) if faults.is_empty() => Ok(read),
            _ => Err(Faults { faults: in_order(faults), sources: sources.clone() }),
        };
        Loaded { read, doubts, sources }
    }

    fn dyno(&mut self, file: &str, root: &Node) -> Option<Dyno> {
        let mut form = Form::of(File::Dyno);
        let entry = form.whole(root);
        let dyno = dyno::of(&mut form, &entry);
        self.take(form);
        dyno.map(|dyno| Dyno { file: file.to_owned(), ..dyno })
    }

    fn session(&mut self, name: &str, root: &Node) -> Option<Session> {
        let mut form = Form::of(File::Session);
        let entry = form.whole(root);
        let engine = self.engine(name, &entry);
        let dyno = self.dyno_of(name, &entry);
        let elevation = dyno.as_ref().and_then(|d| d.elevation.as_ref()).map(|e| e.si);
        // Where its record can't be read, the elevation is not known, and that is said there.
        let dyno_failed = dyno.is_none() && entry.says("dyno");
        let air = if dyno_failed { Vec::new() } else { air::all(&mut form, &entry, elevation) };
        let pulls = entry.tables("pull").iter().filter_map(|e| pull::of(&mut form, e, name));
        let pulls = pulls.collect::<Vec<_>>();
        let engine_inertia = dyno::above_zero(&mut form, &entry, "engine_inertia")
            .or_else(|| dyno.as_ref().and_then(|d| d.engine_inertia.clone()));
        let session = Session {
            name: entry.text("session").map(str::to_owned),
            date: entry.text("date").map(str::to_owned),
            engine,
            dyno,
            operator: entry.text("operator").map(str::to_owned),
            correction: entry.standard("correction"),
            worth_having: margin(&mut form, &entry),
            range: entry.range("range"),
            change: entry.choice("change", &CHANGES),
            plan: entry.order("plan").cloned(),
            induction: entry.choice("induction", &INDUCTIONS),
            fuel: entry.text("fuel").map(str::to_owned),
            sweep_rate: dyno::above_zero(&mut form, &entry, "sweep_rate"),
            inertia_included: entry.flag("inertia_included"),
            engine_inertia,
            wheels_mass: dyno::above_zero(&mut form, &entry, "wheels_mass"),
            limits: limit::all(&entry),
            air,
            pulls,
            columns: columns(&mut form, &entry),
            note: entry.note.clone(),
        };
        rules::check(&mut form, &entry, &session);
        self.logs_there(&mut form, &entry, &session);
        self.take(form);
        Some(session)
    }

    fn engine(&mut self, name: &str, entry: &Entry) -> Option<String> {
        let way = join(folder(name), entry.text("engine")?);
        if self.loader.text(&way).is_none() {
            let fault = self.missing(&way).at(entry.place_of("engine")).about("engine");
            self.faults.push(fault);
        }
        Some(way)
    }

    fn dyno_of(&mut self, name: &str, entry: &Entry) -> Option<Dyno> {
        if entry.says("dyno") {
            let way = join(folder(name), entry.text("dyno")?);
            let root = self.tree(&way, Some((entry, "dyno")))?;
            return self.dyno(&way, &root);
        }
        let beside = join(folder(name), BESIDE);
        self.loader.text(&beside)?;
        let root = self.tree(&beside, None)?;
        self.dyno(&beside, &root)
    }

    /// A log that is not in its folder is asked about; the others can be worked with.
    fn logs_there(&self, form: &mut Form, entry: &Entry, session: &Session) {
        let entries = entry.tables("pull");
        if entries.len() != session.pulls.len() {
            return;
        }
        for (entry, pull) in entries.iter().zip(&session.pulls) {
            let names = self.loader.names(folder(&pull.file));
            let file = pull.file.rsplit('/').next().unwrap_or_default();
            if names.is_empty() || names.iter().any(|n| n == file) {
                continue;
            }
            let mark = nearest(file, names.iter().map(String::as_str));
            let mark = mark.map_or_else(String::new, |near| format!("did you mean {near}?"));
            let doubt = Finding::new(format!("the log {file} is not in its folder"));
            let doubt = doubt.at(entry.place_of("file")).about("pull.file").mark(mark);
            form.doubt(entry, doubt);
        }
    }
}

fn margin(form: &mut Form, entry: &Entry) -> Option<Margin> {
    let value = entry.value("worth_having")?;
    match Margin::per_cent(value.si * 100.0) {
        Ok(margin) => Some(margin),
        Err(_) => {
            let what = format!("worth having of {} can't be: it is above 0", value.text);
            let remedy = "Write the smallest difference you would act on, such as \"0.5 %\".";
            form.wrong(entry.place_of("worth_having"), "worth_having", what, remedy);
            None
        }
    }
}

/// Confirmed columns; a unit that can't be the channel's is a fault.
fn columns(form: &mut Form, entry: &Entry) -> Vec<Said> {
    let mut out: Vec<Said> = Vec::new();
    for column in entry.tables("column") {
        let (Some(heading), Some(channel)) = (column.text("heading"), column.channel("channel"))
        else {
            continue;
        };
        let unit = column.text("unit").map(str::to_owned);
        if out.iter().any(|said| said.heading == heading) {
            let what = format!("the column \"{heading}\" stands here twice");
            form.wrong(column.place_of("heading"), "column.heading", what, "Leave one.");
        }
        if let (Some(channel), Some(unit)) = (channel, &unit) {
            crate::column::check_unit(form, column, channel, unit);
        }
        out.push(Said { heading: heading.to_owned(), channel, unit });
    }
    out
}
