//! A day on a dyno: the logs, what the session file says of them, and the air of every pull.

use super::clock;
use super::engine_file::{self, EngineFile};
use super::options::{air, standard};
use super::roller::{self, Car, RollerDay, Spoken};
use super::{Known, Logged, Opened, coast_downs, files, layouts, one_by_one, said, with_pulls};
use crate::args::DayArgs;
use crate::failure::Failure;
use crate::files::Entry;
use crate::text::harmless;
use shortblock_document::{Doubt, Sources};
use shortblock_pulls::chassis::WheelCurve;
use shortblock_pulls::check::{From, Limits, Stated};
use shortblock_pulls::inertia::Inertia;
use shortblock_pulls::lag::{Delay, Lag};
use shortblock_pulls::{Pull, PullsError, Standing, Treatment};
use shortblock_session::{InAir, NotCorrected, Session, in_air, load_session};
use shortblock_weather::{Air, Aspiration, Standard, Subject};
use std::path::{Path, PathBuf};

/// The file that says what a folder of logs is.
const SESSION: &str = "session.toml";
/// Standard that power is corrected to when nobody said: the usual one for spark ignition.
const USUAL: Standard = Standard::J1349Jun1990;

/// A day.
pub struct Day {
    /// What the session file says, where there is one.
    pub session: Option<Session>,
    /// Doubts about it, with the texts they stand in.
    pub doubts: (Vec<Doubt>, Sources),
    /// The logs.
    pub files: Vec<Logged>,
    /// The pulls in their order.
    pub pulls: Vec<DayPull>,
    /// Pulls of the session file that no log holds: name and why.
    pub missing: Vec<(String, String)>,
    /// Logs and pulls beside the session file that it does not name, a sentence each.
    pub unnamed: Vec<String>,
    /// Standard that power is corrected to.
    pub standard: Standard,
    /// True when somebody named the standard.
    pub standard_said: bool,
    /// What the clocks of logs and session file say against each other, as questions.
    pub clocks: Vec<String>,
    /// How the logs were put in order, where not by their names.
    pub order: Option<String>,
    /// Limits for the checks.
    pub limits: Limits,
    /// On a roller: what makes power at the wheels of its logs, or why nothing does.
    pub roller: Option<Result<RollerDay, String>>,
    /// What the engine's file says; `None` where no file is named.
    pub engine: Option<EngineFile>,
    /// How the engine gets its air; naturally where nobody said.
    pub induction: Aspiration,
    /// Folder of the shop, below which the files of the session lie.
    pub root: PathBuf,
}

/// A pull of the day.
pub struct DayPull {
    /// Its number or, without a session file, the name of its log.
    pub label: String,
    /// The build it was made with; empty when nobody said.
    pub build: String,
    /// Place of its log among [`Day::files`].
    pub file: usize,
    /// Place among the pulls of the log.
    pub place: usize,
    /// Place in the session file.
    pub said: Option<usize>,
    /// Its factor, or why there is none.
    pub air: Result<InAir, NotCorrected>,
}

impl DayPull {
    /// What it is called, the number alone where it has one.
    pub fn short(&self) -> &str {
        self.label.strip_prefix("pull ").unwrap_or(&self.label)
    }
}

impl Day {
    /// What torque with a factor is: "corrected to" its standard, or "as observed".
    pub fn brought(&self) -> String {
        match self.standard {
            Standard::AsObserved => self.standard.to_string(),
            standard => format!("corrected to {standard}"),
        }
    }

    /// The log of a pull.
    pub fn log(&self, pull: &DayPull) -> Option<&Opened> {
        match &self.files[pull.file] {
            Logged::Read(opened) => Some(opened),
            _ => None,
        }
    }

    /// The pull at its points of speed.
    pub fn pull(&self, pull: &DayPull) -> Option<&Pull> {
        self.log(pull)?.pulls.get(pull.place)?.as_ref().ok()
    }

    /// Power at the wheels of a pull, as read; `None` on an engine dyno and where there is none.
    pub fn wheel(&self, pull: &DayPull) -> Option<WheelCurve> {
        self.at_wheels(pull)?.ok()
    }

    /// Why a pull on the roller has no power at the wheels.
    pub fn no_wheel(&self, pull: &DayPull) -> Option<String> {
        Some(self.at_wheels(pull)?.err()?.to_string())
    }

    fn at_wheels(&self, pull: &DayPull) -> Option<Result<WheelCurve, PullsError>> {
        let roller = self.roller.as_ref()?.as_ref().ok()?;
        let recording = &self.log(pull)?.recognition.recording;
        Some(roller.wheel(recording, self.pull(pull)?))
    }

    /// What the session file says of a pull.
    pub fn said(&self, pull: &DayPull) -> Option<&shortblock_session::Pull> {
        self.session.as_ref()?.pulls.get(pull.said?)
    }
}

/// Reads a folder with its session file, or loose logs.
///
/// # Errors
/// When nothing is there, or the session file has faults.
pub fn open(args: &DayArgs, shop: Option<&Path>) -> Result<Day, Failure> {
    let said = said(&args.logs.column)?;
    let standard = args.standard.as_deref().map(standard).transpose()?;
    let air = args.air.as_deref().map(air).transpose()?;
    match session_file(&args.logs.logs) {
        Some(file) => of_session(&file, said, standard, air, shop),
        None => {
            let files = super::open(&args.logs.logs, &said, &Treatment::default(), shop)?;
            Ok(loose(files, standard, air))
        }
    }
}

/// True for a session file, or a folder with one in it.
pub fn is_session(path: &str) -> bool {
    session_file(&[path.to_owned()]).is_some()
}

/// The session file that is named, alone or by its folder.
pub fn session_file(logs: &[String]) -> Option<PathBuf> {
    let [only] = logs else { return None };
    let path = Path::new(only);
    if path.is_dir() {
        let file = path.join(SESSION);
        return file.is_file().then_some(file);
    }
    (path.file_name()? == SESSION).then(|| path.to_owned())
}

fn of_session(
    file: &Path,
    mut columns: Vec<shortblock_pulls::Said>,
    standard: Option<Standard>,
    air: Option<Air>,
    shop: Option<&Path>,
) -> Result<Day, Failure> {
    let entry = Entry::find(&file.display().to_string(), shop)?;
    let (name, path, on_disk) = (entry.name().to_owned(), entry.path().to_owned(), entry.file());
    let below = on_disk.ancestors().nth(Path::new(&path).components().count());
    let root = below.unwrap_or(Path::new(".")).to_owned();
    let loader = entry.into_shop();
    let loaded = load_session(&path, &loader);
    let mut session = loaded.read.map_err(|faults| Failure::Faults(name, Box::new(faults)))?;
    let by_hand = columns.len();
    columns.extend(session.columns.iter().cloned());
    let mut named: Vec<(String, PathBuf)> = Vec::new();
    for pull in &session.pulls {
        let place = root.join(&pull.file);
        let short = pull.file.rsplit('/').next().unwrap_or(&pull.file).to_owned();
        if place.is_file() && !named.iter().any(|(_, path)| *path == place) {
            named.push((short, place));
        }
    }
    if named.is_empty() {
        let folder = file.parent().unwrap_or(Path::new("."));
        named = files::in_folder(folder)?;
    }
    let layouts = layouts::known(&root, shop)?;
    let treatment = treatment(&session);
    let mut logged =
        one_by_one(&named, &Known { said: &columns, layouts: &layouts, treatment: &treatment });
    take_back(&session, &root, &named, &mut logged, &treatment);
    let spoken: Vec<Spoken> = named.iter().map(|(_, path)| of_log(&session, &root, path)).collect();
    said::all_found(&columns[..by_hand], &logged)?;
    let log_of = |file: &str| {
        let place = root.join(file);
        let at = named.iter().position(|(_, path)| *path == place)?;
        logged.get(at)?.read()
    };
    clock::fill_times(&mut session, log_of);
    let clocks = clock::against(&session, log_of);
    let engine = session.engine.as_deref().map(|engine| engine_file::read(engine, &loader));
    let car = Car::of(&session, engine.as_ref());
    let roller = roller::prepare(&session, car, &mut logged, &spoken, &treatment);
    let limits = session.limits_over(engine_limits(engine.as_ref()));
    let mut day = Day {
        doubts: (loaded.doubts, loaded.sources),
        standard: standard.or(session.correction).unwrap_or(USUAL),
        standard_said: standard.or(session.correction).is_some(),
        files: logged,
        pulls: Vec::new(),
        missing: Vec::new(),
        clocks,
        order: None,
        unnamed: Vec::new(),
        limits,
        roller,
        engine,
        induction: session.induction.unwrap_or(Aspiration::Natural),
        root: root.clone(),
        session: None,
    };
    place_pulls(&mut day, &session, &named, &root, air.as_ref());
    day.session = Some(session);
    Ok(day)
}

/// Takes torque that a log corrected back to what was read, by the factor of the session file.
fn take_back(
    session: &Session,
    root: &Path,
    named: &[(String, PathBuf)],
    logged: &mut [Logged],
    treatment: &Treatment,
) {
    for ((_, path), file) in named.iter().zip(logged) {
        let pull = session.pulls.iter().find(|pull| root.join(&pull.file) == *path);
        let factor = pull.and_then(|pull| pull.corrected_by);
        if let (Some(factor), Logged::Read(opened)) = (factor, file) {
            opened.recognition.take_back(factor);
            with_pulls(opened, treatment);
        }
    }
}

/// What the session file says of a log that matters on a roller.
fn of_log(session: &Session, root: &Path, path: &Path) -> Spoken {
    let pull = session.pulls.iter().find(|pull| root.join(&pull.file) == path);
    let setting = |name: &str| pull?.settings.iter().find(|s| s.name == name);
    let ratio = setting("ratio").and_then(|s| s.value.as_ref()).map(|value| value.si);
    Spoken { gear: setting("gear").map(|s| s.text.clone()), ratio }
}

/// What lags and inertia the dyno's record states.
fn treatment(session: &Session) -> Treatment {
    let dyno = session.dyno.as_ref();
    let lags = dyno.iter().flat_map(|dyno| &dyno.lags);
    let lags =
        lags.map(|(channel, s)| Lag { channel: *channel, delay: Delay::Fixed(*s) }).collect();
    let turning = dyno.and_then(|dyno| dyno.inertia.as_ref()).map(|j| j.si);
    let engine = session.engine_inertia.as_ref().map(|j| j.si);
    let stated = session.inertia_included == Some(false);
    let inertia = turning.zip(engine).filter(|_| stated).map(|(a, b)| Inertia::new(a + b));
    Treatment { lags, inertia }
}

/// Common practice with the highest speed of the engine's file.
fn engine_limits(engine: Option<&EngineFile>) -> Limits {
    let mut limits = Limits::shipped();
    let stated = engine.and_then(|engine| engine.highest_speed);
    limits.engine_speed = stated.map(|value| Stated { value, from: From::Engine });
    limits
}

/// Finds each pull of the session file in its log.
fn place_pulls(
    day: &mut Day,
    session: &Session,
    named: &[(String, PathBuf)],
    root: &Path,
    air: Option<&Air>,
) {
    let in_session = !session.pulls.is_empty();
    for (said, pull) in session.pulls.iter().enumerate() {
        let place = root.join(&pull.file);
        let file = named.iter().position(|(_, path)| *path == place);
        match file.map_or(Err("its log is not there".to_owned()), |f| {
            found(&day.files[f], pull.part).map(|p| (f, p))
        }) {
            Ok((file, place)) => {
                let build = pull.build.clone().unwrap_or_default();
                let air = factor(day, file, place, (Some(session), pull.time), air);
                let (label, said) = (pull.label(), Some(said));
                day.pulls.push(DayPull { label, build, file, place, said, air });
            }
            Err(why) => day.missing.push((pull.label(), why)),
        }
    }
    if in_session {
        day.unnamed = unnamed(day, named, root);
    } else {
        every_pull(day, Some(session), air);
    }
}

/// What lies in the folders of the logs and in the logs themselves, and is no pull of the session.
fn unnamed(day: &Day, named: &[(String, PathBuf)], root: &Path) -> Vec<String> {
    let mut out = Vec::new();
    for (file, (name, _)) in named.iter().enumerate() {
        let Logged::Read(opened) = &day.files[file] else { continue };
        let count = opened.pulls.iter().filter(|pull| pull.is_ok()).count();
        let taken = day.pulls.iter().filter(|pull| pull.file == file).count();
        if taken > 0 && count > taken {
            out.push(format!(
                "{name} holds {count} pulls, and the session file names {taken}: a [[pull]] with \
                 part = 2 and so on names the others."
            ));
        }
    }
    let mut folders: Vec<&Path> = named.iter().filter_map(|(_, path)| path.parent()).collect();
    folders.sort_unstable();
    folders.dedup();
    let all = folders.into_iter().filter_map(|folder| files::in_folder(folder).ok()).flatten();
    let below = |path: &Path| path.strip_prefix(root).unwrap_or(path).to_owned();
    let is_named = |path: &Path| named.iter().any(|(_, known)| below(known) == below(path));
    let others: Vec<String> =
        all.filter(|(_, path)| !is_named(path)).map(|(name, _)| harmless(&name)).collect();
    match others.as_slice() {
        [] => {}
        [one] => out.push(format!("{one} stands in no [[pull]] of the session file: not read.")),
        [one, .., last] => out.push(format!(
            "{} logs, {one} to {last}, stand in no [[pull]] of the session file: not read.",
            others.len()
        )),
    }
    out
}

/// Place of a pull in a log: of its part, counted from 1, else the first.
fn found(file: &Logged, part: Option<u32>) -> Result<usize, String> {
    match file {
        Logged::Refused { reason, .. } => Err(reason.clone()),
        Logged::Twin { of, .. } => Err(format!("its log holds the same data as {of}")),
        Logged::Read(opened) => {
            let parts = opened.recognition.recording.parts.len() + 1;
            let of_part = |(i, pull): (usize, &Result<Pull, _>)| {
                let recorded = pull.as_ref().map_or(i, |p| p.stretch.part);
                let fits = match part {
                    None => true,
                    Some(n) if parts > 1 => recorded + 1 == n as usize,
                    Some(n) => i + 1 == n as usize,
                };
                fits.then_some(i)
            };
            let nothing = || match &opened.found {
                Err(error) => error.to_string(),
                Ok(_) if coast_downs(opened).next().is_some() => {
                    "a coast-down, for the losses".to_owned()
                }
                Ok(_) => "no sweep or step test in its log".to_owned(),
            };
            opened.pulls.iter().enumerate().find_map(of_part).ok_or_else(nothing)
        }
    }
}

fn loose(mut files: Vec<Logged>, standard: Option<Standard>, air: Option<Air>) -> Day {
    let order = clock::in_order(&mut files);
    let mut day = Day {
        session: None,
        doubts: (Vec::new(), Sources::default()),
        files,
        pulls: Vec::new(),
        missing: Vec::new(),
        clocks: Vec::new(),
        order,
        unnamed: Vec::new(),
        standard: standard.unwrap_or(USUAL),
        standard_said: standard.is_some(),
        limits: Limits::shipped(),
        roller: None,
        engine: None,
        induction: Aspiration::Natural,
        root: PathBuf::new(),
    };
    every_pull(&mut day, None, air.as_ref());
    day
}

/// Every pull of every log, named by its file.
fn every_pull(day: &mut Day, session: Option<&Session>, air: Option<&Air>) {
    for file in 0..day.files.len() {
        let Logged::Read(opened) = &day.files[file] else { continue };
        let (count, name) = (opened.pulls.len(), opened.name.clone());
        for place in 0..count {
            let label = if count > 1 { format!("{name} {}", place + 1) } else { name.clone() };
            let time = clock::of_pull(opened, place);
            let air = factor(day, file, place, (session, time), air);
            let (build, said) = (String::new(), None);
            day.pulls.push(DayPull { label, build, file, place, said, air });
        }
    }
}

fn factor(
    day: &Day,
    file: usize,
    place: usize,
    (session, time): (Option<&Session>, Option<f64>),
    air: Option<&Air>,
) -> Result<InAir, NotCorrected> {
    let Logged::Read(opened) = &day.files[file] else { return Err(NotCorrected::NoAir) };
    let Some(Ok(pull)) = opened.pulls.get(place) else { return Err(NotCorrected::NoAir) };
    if opened.recognition.standing == Standing::Corrected(None) {
        return Err(NotCorrected::ByTheFile);
    }
    let recording = &opened.recognition.recording;
    let subject = Subject::spark().with_aspiration(day.induction);
    if let Some(air) = air {
        return shortblock_session::in_this_air(recording, pull, air, day.standard, &subject);
    }
    in_air(recording, pull, session, time, day.standard, &subject)
}
