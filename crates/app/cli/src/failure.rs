//! Why a command could not be done, and the exit code that says so.

use serde_json::{Value as Json, json};
use shortblock_engine::Faults;
use std::fmt;

/// Done, and the answer to `--assert` is no.
pub const ANSWER_IS_NO: u8 = 1;
const NOT_UNDERSTOOD: u8 = 2;
/// A file has faults.
pub const FAULTS: u8 = 3;
const NOT_FOUND: u8 = 4;
/// Not worked out, or only in part.
pub const NOT_WORKED_OUT: u8 = 5;
const DISK: u8 = 6;
const STOPPED: u8 = 130;

/// Why nothing came out. Each says what, where and what to do.
#[derive(Debug)]
pub enum Failure {
    /// The command line says something that can't be done.
    NotUnderstood(String),
    /// The file has faults; its name as typed.
    Faults(String, Box<Faults>),
    /// The file can't hold an engine, whatever stands in it.
    NoEngineFile(String),
    /// There is no such thing.
    NotFound(String),
    /// The physics gave up.
    NotWorkedOut(String),
    /// Reading or writing failed.
    Disk(String),
    /// Ctrl-C.
    Stopped,
}

impl Failure {
    /// The exit code.
    pub fn code(&self) -> u8 {
        match self {
            Self::NotUnderstood(_) => NOT_UNDERSTOOD,
            Self::Faults(..) | Self::NoEngineFile(_) => FAULTS,
            Self::NotFound(_) => NOT_FOUND,
            Self::NotWorkedOut(_) => NOT_WORKED_OUT,
            Self::Disk(_) => DISK,
            Self::Stopped => STOPPED,
        }
    }

    /// The failure as one JSON object.
    pub fn json(&self) -> Json {
        let mut object = json!({
            "format": "shortblock/failure/1", "exit_code": self.code(), "message": self.to_string(),
        });
        if let Self::Faults(_, faults) = self {
            let findings = faults.faults.iter();
            object["faults"] = findings.map(|f| crate::json::finding(f, &faults.sources)).collect();
        }
        object
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotUnderstood(text)
            | Self::NoEngineFile(text)
            | Self::NotFound(text)
            | Self::NotWorkedOut(text)
            | Self::Disk(text) => f.write_str(text.trim_end()),
            Self::Faults(name, faults) => {
                let count = crate::text::counted(faults.faults.len(), "fault");
                write!(f, "{name} has {count}.\n\n{}", faults.render().trim_end())
            }
            Self::Stopped => f.write_str("stopped by hand; nothing was written"),
        }
    }
}
