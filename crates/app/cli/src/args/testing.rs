//! What may follow the verbs around pulls.

use clap::{Args, ValueEnum, ValueHint};

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
#[derive(Debug, Args)]
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
}
