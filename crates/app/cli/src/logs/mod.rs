//! Logs on disk to pulls: files and folders of the command line, read side by side.

mod clock;
mod day;
mod engine_file;
mod files;
mod fuel;
mod layouts;
mod options;
mod roller;
mod said;

use crate::failure::Failure;
use crate::text::harmless;
use crate::threads::side_by_side;
use shortblock_pulls::recognise;
use shortblock_pulls::sweep::{Found, Rules, find};
use shortblock_pulls::{
    Channel, Layout, Log, Pull, PullsError, Recognition, Said, Treatment, read,
};
use std::path::{Path, PathBuf};

pub use day::{Day, DayPull, is_session, open as open_day, session_file};
pub use fuel::{fuel_of, fuel_used};
pub use layouts::remember;
pub use roller::RollerDay;
use roller::coast_downs;
pub use said::{not_found, said};

/// Largest log that is read, bytes.
const LARGEST: u64 = 2 << 30;

/// A log with what was found in it.
pub struct Opened {
    /// Name as shown: as typed, or within the folder that was named.
    pub name: String,
    /// What the file says.
    pub log: Log,
    /// What its columns are.
    pub recognition: Recognition,
    /// Stretches of it.
    pub found: Result<Found, PullsError>,
    /// Its pulls at points of speed, with why one could not be made.
    pub pulls: Vec<Result<Pull, PullsError>>,
}

/// What became of one file.
pub enum Logged {
    /// It was read.
    Read(Box<Opened>),
    /// It was not, and why.
    Refused {
        /// Name as shown.
        name: String,
        /// Why.
        reason: String,
    },
    /// The same data as an earlier file; it counts once.
    Twin {
        /// Name as shown.
        name: String,
        /// The earlier file.
        of: String,
    },
}

impl Logged {
    /// The log, where it was read.
    pub fn read(&self) -> Option<&Opened> {
        if let Self::Read(opened) = self { Some(opened) } else { None }
    }
}

/// Reads the files and folders that are named, in the order of their names within a folder. With
/// `treatment` for each pull that a log holds.
///
/// # Errors
/// When nothing is there under a name, no file in a folder is a log, or no log has a column that was
/// spoken of.
pub fn open(
    paths: &[String],
    said: &[Said],
    treatment: &Treatment,
    shop: Option<&Path>,
) -> Result<Vec<Logged>, Failure> {
    let named = files::named(paths)?;
    let layouts = match named.first() {
        Some((_, path)) => layouts::known(path, shop)?,
        None => Vec::new(),
    };
    let files = one_by_one(&named, &Known { said, layouts: &layouts, treatment });
    said::all_found(said, &files)?;
    Ok(files)
}

/// What is known of logs before they are read.
struct Known<'a> {
    /// What a person says of columns.
    said: &'a [Said],
    /// Confirmed layouts.
    layouts: &'a [Layout],
    /// What is to be done to a pull.
    treatment: &'a Treatment,
}

/// Reads the files side by side; they come back in the order they were named in.
fn one_by_one(named: &[(String, PathBuf)], known: &Known) -> Vec<Logged> {
    let mut files = side_by_side(named.len(), |i| one(&named[i].0, &named[i].1, known));
    mark_twins(&mut files);
    files
}

fn one(name: &str, path: &Path, known: &Known) -> Logged {
    let refused = |reason: String| Logged::Refused { name: harmless(name), reason };
    let size = std::fs::metadata(path).map_or(0, |data| data.len());
    if size > LARGEST {
        return refused(format!("larger than {} GB; export the pulls one by one", LARGEST >> 30));
    }
    let bytes = match std::fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) => return refused(format!("can't be read: {error}")),
    };
    match read(&bytes) {
        Err(error) => refused(error.to_string()),
        Ok(log) => {
            let name = harmless(name);
            Logged::Read(Box::new(opened(name, log, known)))
        }
    }
}

fn opened(name: String, log: Log, known: &Known) -> Opened {
    let recognition = recognise(&log, &layouts::said_of(&log, known.said, known.layouts));
    let mut opened =
        Opened { name, log, recognition, found: Ok(Found::default()), pulls: Vec::new() };
    with_pulls(&mut opened, known.treatment);
    opened
}

/// Finds the stretches of a log and makes pulls of them.
fn with_pulls(opened: &mut Opened, treatment: &Treatment) {
    let recording = &opened.recognition.recording;
    opened.found = find(recording, &Rules::default());
    opened.pulls = match &opened.found {
        Ok(found) => {
            let treatment = fitting(treatment, &opened.recognition);
            found.pulls().map(|one| Pull::new(recording, found, one, &treatment)).collect()
        }
        Err(_) => Vec::new(),
    };
}

/// The treatment without lags of channels that this log does not have.
fn fitting(treatment: &Treatment, recognition: &Recognition) -> Treatment {
    let recording = &recognition.recording;
    let has = |channel| recording.get(channel).is_some() && !recording.time.is_empty();
    let lags = treatment.lags.iter().filter(|lag| has(lag.channel)).copied().collect();
    Treatment { lags, inertia: treatment.inertia }
}

/// The same bytes, or the same engine speeds and torques, twice.
fn mark_twins(files: &mut [Logged]) {
    for i in 1..files.len() {
        let Logged::Read(later) = &files[i] else { continue };
        let earlier = files[..i].iter().find_map(|file| match file {
            Logged::Read(earlier) if same_data(earlier, later) => Some(earlier.name.clone()),
            _ => None,
        });
        if let Some(of) = earlier {
            let name = later.name.clone();
            files[i] = Logged::Twin { name, of };
        }
    }
}

fn same_data(a: &Opened, b: &Opened) -> bool {
    let same = |channel| {
        let (a, b) = (a.recognition.recording.get(channel), b.recognition.recording.get(channel));
        match (a, b) {
            (Some(a), Some(b)) => a.len() == b.len() && a.iter().zip(b).all(|(x, y)| near(*x, *y)),
            (a, b) => a.is_none() && b.is_none(),
        }
    };
    a.log.hash == b.log.hash
        || a.recognition.recording.rows() > 20
            && a.recognition.recording.get(Channel::Torque).is_some()
            && same(Channel::EngineSpeed)
            && same(Channel::Torque)
}

/// Equal to the last place that any log prints.
fn near(a: f64, b: f64) -> bool {
    a == b || (a.is_nan() && b.is_nan()) || (a - b).abs() < 1e-9 * a.abs().max(b.abs())
}
