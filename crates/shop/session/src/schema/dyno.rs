//! Words of the dyno's own record.

use shortblock_units::Quantity::{Fraction, Inertia, Length, Mass, SweepRate, Torque};

use super::limits::LIMITS;
use super::session::CHANGE_WORDS;
use super::{Field, Kind};

/// Kinds of dyno, in the order of `compare::DynoKind`.
pub const KIND_WORDS: &[&str] = &["engine", "roller"];
/// Modes, in the order of `compare::Mode`.
pub const MODE_WORDS: &[&str] = &["sweep", "steady"];
/// What moves a pull, in the order of `compare::Source`.
pub const SOURCE_WORDS: &[&str] =
    &["pull", "refit", "session", "drift", "warm-up", "correction", "oil", "dyno"];

/// The top of the file.
pub const DYNO: &[Field] = &[
    Field::new("name", Kind::Text, "What it is called in the shop.").needed(),
    Field::new("kind", Kind::Choice(KIND_WORDS), "Engine dyno or roller.").needed(),
    Field::new(
        "absorber",
        Kind::Text,
        "What takes up the power: water brake, eddy current, inertia.",
    ),
    Field::of(
        "elevation",
        Length,
        "Of the shop above sea level; tells station from sea-level barometers.",
    ),
    Field::of(
        "inertia",
        Inertia,
        "What turns between crankshaft and load cell; of a roller, the roller.",
    ),
    Field::of("engine_inertia", Inertia, "Of the engine, where one engine is always on it."),
    Field::of("sweep_rate", SweepRate, "Usual rate of a sweep."),
    Field::new("roller", Kind::Table(ROLLER), "What only a roller has."),
    Field::new("lags", Kind::Lags, "How late a channel is: \"lambda of bank 1\" = \"0.35 s\"."),
    Field::new(
        "instrument",
        Kind::Tables(INSTRUMENT),
        "An instrument and when it was last checked.",
    )
    .or(&["instruments"]),
    Field::new("limits", Kind::Table(LIMITS), "Limits of the dyno itself."),
    Field::new(
        "history",
        Kind::Tables(HISTORY),
        "Scatter seen in one session; the program writes it.",
    ),
];

const ROLLER: &[Field] = &[
    Field::of("radius", Length, "Of the roller."),
    Field::of("mass", Mass, "Equivalent mass at the surface, in place of inertia and radius.")
        .or(&["equivalent_mass"]),
    Field::of(
        "arm",
        Length,
        "Of the absorber's load cell, from the roller's axis; makes torque of the brake load.",
    ),
    Field::of(
        "loss",
        Fraction,
        "Driveline and tyre, where no coast-down was made: a stated figure.",
    ),
];

const INSTRUMENT: &[Field] = &[
    Field::new("name", Kind::Text, "What it is called.").needed(),
    Field::new("channel", Kind::Channel, "The channel it reads."),
    Field::new("checked", Kind::Date, "When it was last checked."),
    Field::new("plus_minus", Kind::AnyQuantity, "What it may be off by, 19 times in 20."),
];

const HISTORY: &[Field] = &[
    Field::new("session", Kind::Text, "The session it was seen in.").needed(),
    Field::new("mode", Kind::Choice(MODE_WORDS), "Sweep, or held speeds.").needed(),
    Field::of("sweep_rate", SweepRate, "Rate of the sweep, whole rpm/s."),
    Field::of("torque_from", Torque, "Lower end of the torque band, whole N.m.").needed(),
    Field::new("dof", Kind::Number, "Degrees of freedom of the variances."),
    Field::new("from_rpm", Kind::Number, "Lower end of the first band of 250 rpm."),
    Field::new(
        "variances",
        Kind::Numbers,
        "Variance of one pull in each band, fractions squared: 9e-6 is 0.3 %.",
    ),
    Field::new("resels_per_1000_rpm", Kind::Number, "Resolution elements of the noise."),
    Field::new(
        "spread",
        Kind::Tables(SPREAD),
        "What else moves a pull, as far as the day could tell.",
    ),
];

const SPREAD: &[Field] = &[
    Field::new("source", Kind::Choice(SOURCE_WORDS), "What it is.").needed(),
    Field::new("change", Kind::Choice(CHANGE_WORDS), "Kind of change, of refits.").needed(),
    Field::new("variance", Kind::Number, "Fractions squared; may come out below 0.").needed(),
    Field::new("dof", Kind::Number, "Degrees of freedom.").needed(),
];
