//! What may follow the verbs around pulls.

use clap::{Args, ValueEnum, ValueHint};
use std::path::PathBuf;

/// `plan-test`
#[derive(Debug, Args)]
pub struct PlanTest {
    /// Smallest difference that matters
    #[arg(long, value_name = "SHARE", default_value = "0.5 %")]
    pub worth: String,
    /// What is between A and B
    #[arg(long, value_enum, default_value = "bolt-on")]
    pub change: ChangeWord,
    /// What the pulls are made on
    #[arg(long, value_enum, default_value = "engine")]
    pub dyno: DynoWord,
    /// The dyno's own record (dyno.toml): its scatter instead of the assumed one
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, conflicts_with = "dyno")]
    pub record: Option<String>,
    /// Difference whose chance of being found is asked for; as --worth when left out
    #[arg(long, value_name = "SHARE")]
    pub gain: Option<String>,
    /// An order of your own: ABBA, A3B3A3
    #[arg(long, value_name = "ORDER")]
    pub order: Vec<String>,
}

/// What is changed between A and B: it decides how much fitting it again moves the engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ChangeWord {
    /// Spark, mixture, jet, phase: nothing is unbolted
    Setting,
    /// Something bolted on is changed: manifold, header, carburettor
    BoltOn,
    /// The engine is opened: cam, head, piston
    Opened,
    /// The car is strapped down again
    StrappedAgain,
}

/// Kind of dyno.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DynoWord {
    /// Engine dyno
    Engine,
    /// Chassis dyno
    Roller,
}

/// Logs, and what a person says of their columns.
#[derive(Debug, Clone, Args)]
pub struct Logs {
    /// Logs (CSV, TSV, MDF 4), or folders with logs in them
    #[arg(value_name = "LOG", required = true, value_hint = ValueHint::AnyPath)]
    pub logs: Vec<String>,
    /// What a column is, where the log can't tell: "TQ=torque, lb.ft"; "Aux 3=none" leaves it out
    #[arg(long, value_name = "HEADING=CHANNEL")]
    pub column: Vec<String>,
}

/// `read`
#[derive(Debug, Args)]
pub struct Read {
    /// What is read.
    #[command(flatten)]
    pub logs: Logs,
    /// Why each column was taken for what it is
    #[arg(long)]
    pub why: bool,
    /// Remember what the columns are (with what --column said) for every log with these headings
    /// and units, in layouts.toml of the shop's folder
    #[arg(long)]
    pub confirm: bool,
}

/// A day on a dyno.
#[derive(Debug, Clone, Args)]
pub struct DayArgs {
    /// Logs.
    #[command(flatten)]
    pub logs: Logs,
    /// Standard to correct to: j1349-jun1990, iso1585, din70020; the session file's when left out
    #[arg(long, value_name = "NAME")]
    pub standard: Option<String>,
    /// The air, where neither log nor session file has it: "98.9 kPa, 18.5 degC, 52 %"
    #[arg(long, value_name = "AIR")]
    pub air: Option<String>,
}

/// `pulls`
#[derive(Debug, Args)]
pub struct Pulls {
    /// The day: a folder with logs, and with session.toml where there is one.
    #[command(flatten)]
    pub day: DayArgs,
    /// One pull over speed, with what follows from its channels, by number or name
    #[arg(long, value_name = "PULL")]
    pub pull: Vec<String>,
    /// Write all pulls as one picture
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub svg: Option<PathBuf>,
}

/// `check-pull`
#[derive(Debug, Args)]
pub struct CheckPull {
    /// The day.
    #[command(flatten)]
    pub day: DayArgs,
    /// Only these pulls, by number or name; all of them when left out
    #[arg(long, value_name = "PULL")]
    pub pull: Vec<String>,
    /// Show every check, not only those to look at
    #[arg(long)]
    pub all: bool,
}

/// `correct`
#[derive(Debug, Args)]
pub struct Correct {
    /// The day.
    #[command(flatten)]
    pub day: DayArgs,
    /// Only these pulls, by number or name; all of them when left out
    #[arg(long, value_name = "PULL")]
    pub pull: Vec<String>,
}

/// `compare`
#[derive(Debug, Clone, Args)]
pub struct Compare {
    /// One day, or several: A and B may have been run on different ones.
    #[command(flatten)]
    pub day: DayArgs,
    /// The build compared with; the first one run when left out
    #[arg(long, value_name = "BUILD")]
    pub a: Option<String>,
    /// The changed build; the other one when left out
    #[arg(long, value_name = "BUILD")]
    pub b: Option<String>,
    /// Which log is A and which B, in their order, where no session file says it: ABBA, A3B3A3
    #[arg(long, value_name = "ORDER", conflicts_with_all = ["a", "b"])]
    pub order: Option<String>,
    /// Smallest difference that matters; the session file's, else 0.5 %
    #[arg(long, value_name = "SHARE")]
    pub worth: Option<String>,
    /// What is between A and B; the session file's, else a bolt-on part
    #[arg(long, value_enum)]
    pub change: Option<ChangeWord>,
    /// Speeds the answer is wanted over: "4500:8000"; the session file's, else all that are shared
    #[arg(long, value_name = "RPM")]
    pub range: Option<String>,
    /// The planned pulls were looked at before these were added: one extension
    #[arg(long)]
    pub extended: bool,
    /// Write the scatter that this day showed into the dyno's own record
    #[arg(long)]
    pub remember: bool,
    /// Write down the scatter that this comparison rests on, so that its answer can be had again
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub keep: Option<PathBuf>,
    /// The scatter that an earlier comparison kept, in place of the dyno's record
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, conflicts_with = "change")]
    pub kept: Option<String>,
    /// Exit with 1 unless the answer is this
    #[arg(long, value_enum, value_name = "ANSWER")]
    pub assert: Option<AnswerWord>,
    /// Write pulls and difference as a picture
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub svg: Option<PathBuf>,
}

/// An answer that `compare --assert` may ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum AnswerWord {
    /// A real gain or loss
    Real,
    /// A real gain
    Gain,
    /// A real loss
    Loss,
    /// No difference worth having
    NoDifference,
}

/// `loop`
#[derive(Debug, Args)]
pub struct Loop {
    /// The day.
    #[command(flatten)]
    pub day: DayArgs,
    /// What was varied from pull to pull
    #[arg(long, value_enum)]
    pub over: OverWord,
    /// Engine speeds: 4000:8000:500, or 6000,7000; every 500 rpm when left out
    #[arg(long, value_name = "RPM", allow_hyphen_values = true)]
    pub speeds: Option<String>,
    /// The build, where several were run with different settings
    #[arg(long, value_name = "BUILD")]
    pub build: Option<String>,
}

/// What a loop goes over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum OverWord {
    /// Spark advance, as the session file says it, else as logged
    Spark,
    /// Lambda as logged, else as the session file says it
    Mixture,
}
