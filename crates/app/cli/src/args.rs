//! The command line, declared once: parser, `--help` and shell completions come from here.

mod testing;

pub use testing::*;

use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use clap_complete::Shell;
use std::path::PathBuf;

/// What an engine will make, from its parts: the curve, its ±, what limits it.
#[derive(Debug, Parser)]
#[command(
    name = "shortblock",
    version,
    // Two narrower than the screen: a ± is two letters where only ASCII will do.
    term_width = 78,
    disable_help_subcommand = true,
    arg_required_else_help = true,
    after_help = AFTER_HELP
)]
pub struct Cli {
    /// What is to be done.
    #[command(subcommand)]
    pub verb: Verb,
    /// How it is to be said.
    #[command(flatten)]
    pub manner: Manner,
}

const AFTER_HELP: &str = "\
FILE is an engine file (demo/201/b1.toml), a build by its folder (demo/114/b2), or - for \
standard input. Results go to standard output, talk and progress to standard error.

Exit codes: 0 done; 1 done, and the answer to --assert is no; 2 command not understood; 3 the \
file has faults; 4 not found; 5 could not be worked out, or only in part; 6 disk or permission; \
130 stopped by hand.";

const PREDICT_HELP: &str = "\
Several builds: shortblock predict demo/114/b2 demo/114/b3 shows both in one chart and one table, \
with the difference of each further build to the first at every speed, at the best of each and on \
average. The ± of a difference is its own, from the same samples: it is smaller than the ± of the \
two curves. Where it covers zero the page says can't tell. --set \
and --at hold for every build.";

/// Options that hold for every verb.
#[derive(Debug, Clone, Args)]
pub struct Manner {
    /// One JSON object
    #[arg(long, global = true, conflicts_with = "csv", help_heading = "Everywhere")]
    pub json: bool,
    /// Comma separated values, one heading line
    #[arg(long, global = true, help_heading = "Everywhere")]
    pub csv: bool,
    /// Units to show: "kW, N.m", or metric, or inch
    #[arg(long, global = true, value_name = "LIST", help_heading = "Everywhere")]
    pub units: Option<String>,
    /// ASCII only, no colour
    #[arg(long, global = true, help_heading = "Everywhere")]
    pub plain: bool,
    /// Results only, no talk
    #[arg(long, global = true, help_heading = "Everywhere")]
    pub quiet: bool,
    /// Folder that holds the engines and the shelf; files outside it are not opened
    #[arg(long, global = true, value_name = "DIR", value_hint = ValueHint::DirPath,
          help_heading = "Everywhere")]
    pub shop: Option<PathBuf>,
}

/// The verbs.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Faults (can't be used) and doubts (can be right, rarely is), with line and remedy
    Check(Check),
    /// Every value of a build and where it comes from
    Show(Show),
    /// What is different between two builds
    Diff(Diff),
    /// Change one value in a file; comments and order stay
    Edit(Edit),
    /// The curve of torque and power with its ±, limits, goal; builds side by side
    #[command(after_help = PREDICT_HELP)]
    Predict(Predict),
    /// Curves over one or two values
    Sweep(Sweep),
    /// What a sensible step of each value does to the curve, ranked
    Moves(Moves),
    /// What a dyno log is: its columns, units and pulls
    Read(Read),
    /// The pulls of a day, corrected once and by name
    Pulls(Pulls),
    /// What must be looked at before the next pull
    CheckPull(CheckPull),
    /// Torque and power brought to the air of a standard, by its name
    Correct(Correct),
    /// Two builds by their pulls: is it real, where, how much, what would settle it
    Compare(Compare),
    /// Torque over spark or mixture at each speed: what to set, or why there is no best
    Loop(Loop),
    /// Order and number of pulls for a test, and what they can see
    PlanTest(PlanTest),
    /// The JSON schema of the engine, session or dyno file, for editors and checkers
    Schema(Schema),
    /// Every unit that is read
    Units(Units),
    /// Shell completions
    Completions(Completions),
    /// A word of the trade or of the engine file, as it is meant here
    Help(Help),
}

/// `check`
#[derive(Debug, Args)]
pub struct Check {
    /// Engine files, or session.toml of a day on the dyno
    #[arg(value_name = "FILE", required = true, value_hint = ValueHint::AnyPath)]
    pub files: Vec<String>,
    /// Exit with 1 unless this holds for every file
    #[arg(long, value_enum)]
    pub assert: Vec<CheckAssert>,
}

/// What `check --assert` may ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CheckAssert {
    /// Nothing had to be assumed
    NoAssumed,
    /// No doubt is open
    NoDoubt,
}

/// `show`
#[derive(Debug, Args)]
pub struct Show {
    /// Engine file
    #[arg(value_name = "FILE", value_hint = ValueHint::AnyPath)]
    pub file: String,
    /// File and line each value comes from
    #[arg(long)]
    pub origin: bool,
    /// Only what nobody said, with the reason and the source
    #[arg(long)]
    pub assumed: bool,
    /// Only these tables or words: intake,exhaust.primary
    #[arg(long, value_name = "PATH,...", value_delimiter = ',')]
    pub only: Vec<String>,
}

/// `diff`
#[derive(Debug, Args)]
pub struct Diff {
    /// The build compared with
    #[arg(value_name = "A", value_hint = ValueHint::AnyPath)]
    pub a: String,
    /// The changed build
    #[arg(value_name = "B", value_hint = ValueHint::AnyPath)]
    pub b: String,
}

/// `edit`
#[derive(Debug, Args)]
pub struct Edit {
    /// Engine file
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: String,
    /// New value: exhaust.primary.length="810 mm"
    #[arg(long, value_name = "PATH=VALUE", required = true)]
    pub set: Vec<String>,
    /// Show what would change, write nothing
    #[arg(long)]
    pub dry_run: bool,
}

/// What `predict`, `sweep` and `moves` have in common.
#[derive(Debug, Args)]
pub struct Asked {
    /// Engine file, or - for standard input
    #[arg(value_name = "FILE", value_hint = ValueHint::AnyPath)]
    pub file: String,
    /// Try a value: intake.runner.trumpet_length="50 mm"
    #[arg(long, value_name = "PATH=VALUE")]
    pub set: Vec<String>,
    /// Engine speeds: 2500:8500:250, or 3000,4500,6000
    #[arg(long, value_name = "RPM", allow_hyphen_values = true)]
    pub speeds: Option<String>,
    /// Air: "1500 m, 15 degC", "98.2 kPa, 60 %"
    #[arg(long, value_name = "AIR")]
    pub at: Option<String>,
    /// A quick first look on coarser cells, without ±
    #[arg(long)]
    pub coarse: bool,
    /// Threads; all of the machine's when left out
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Progress on standard error
    #[arg(long, value_enum, value_name = "HOW", default_value = "line")]
    pub progress: ProgressForm,
}

/// How progress is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ProgressForm {
    /// A line that is written over, on a terminal only
    Line,
    /// JSON, one object a line
    Json,
}

/// `predict`
#[derive(Debug, Args)]
pub struct Predict {
    /// What is asked.
    #[command(flatten)]
    pub asked: Asked,
    /// Further builds, up to three: each is laid over the first, with the difference and its own ±
    #[arg(value_name = "OTHER", value_hint = ValueHint::AnyPath)]
    pub others: Vec<String>,
    /// Exit with 1 unless this holds for every build: "power >= 340 hp", "torque >= 270 N.m at 5000 rpm"
    #[arg(long, value_name = "CLAIM")]
    pub assert: Vec<String>,
    /// Write the curve as a picture
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub svg: Option<PathBuf>,
    /// Over the crank angle at one of --speeds instead of the curve, as CSV: "cylinder 1",
    /// "exhaust valve 2", "exhaust primary 1 at 0.5", "field of exhaust primary 1"
    #[arg(long, value_name = "STATION", requires = "speeds")]
    pub trace: Vec<String>,
}

/// `sweep`
#[derive(Debug, Args)]
pub struct Sweep {
    /// What is asked.
    #[command(flatten)]
    pub asked: Asked,
    /// Value to go through, one or two: exhaust.primary.length="700 mm:900 mm:50 mm"
    #[arg(long, value_name = "PATH=FROM:TO:STEP", required = true)]
    pub vary: Vec<String>,
    /// Write the curves as a picture (one varied value)
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub svg: Option<PathBuf>,
}

/// `moves`
#[derive(Debug, Args)]
pub struct Moves {
    /// What is asked.
    #[command(flatten)]
    pub asked: Asked,
    /// Lines of the table
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub most: usize,
}

/// `schema`
#[derive(Debug, Args)]
pub struct Schema {
    /// Which file: the engine's, a day's on the dyno, or the dyno's own record
    #[arg(value_enum, value_name = "FILE", default_value = "engine")]
    pub of: SchemaOf,
    /// The same as a page of Markdown
    #[arg(long)]
    pub docs: bool,
}

/// A file with declared words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The engine file
    Engine,
    /// session.toml, beside the logs of a day
    Session,
    /// The dyno's own record
    Dyno,
}

/// `units`
#[derive(Debug, Args)]
pub struct Units {
    /// One quantity, or a unit of it: torque, "absolute pressure", inHg
    #[arg(value_name = "QUANTITY", num_args = 0..)]
    pub quantity: Vec<String>,
}

/// `completions`
#[derive(Debug, Args)]
pub struct Completions {
    /// Shell
    #[arg(value_enum)]
    pub shell: Shell,
}

/// `help`
#[derive(Debug, Args)]
pub struct Help {
    /// A word: lash, knock-margin, intake.cam.centreline, predict
    #[arg(value_name = "WORD", num_args = 0..)]
    pub word: Vec<String>,
}
