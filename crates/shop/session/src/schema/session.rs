//! Words of the session file.

use shortblock_units::Quantity::{
    AbsolutePressure, Fraction, Inertia, Mass, SweepRate, Temperature, Time,
};

use shortblock_weather::{Aspiration, ChargeCooler};

use super::limits::LIMITS;
use super::{Field, Kind};

/// Kinds of change between A and B, in the order of `compare::Change`.
pub const CHANGE_WORDS: &[&str] = &["setting", "bolt-on", "opened", "strapped again"];

/// How an engine gets its air, in the order of [`INDUCTIONS`].
pub const INDUCTION_WORDS: &[&str] = &["natural", "blower", "turbo"];
/// What each of [`INDUCTION_WORDS`] is. No standard asks what cools the charge of a spark-ignition
/// engine.
pub const INDUCTIONS: [Aspiration; 3] = [
    Aspiration::Natural,
    Aspiration::MechanicallySupercharged,
    Aspiration::Turbocharged(ChargeCooler::None),
];

/// The top of the file.
pub const SESSION: &[Field] = &[
    Field::new("session", Kind::Text, "Its address: engine and session, such as 114/s6."),
    Field::new("date", Kind::Date, "The day."),
    Field::new("engine", Kind::File { up: true }, "The engine file, or the file of a build.")
        .or(&["build_file"]),
    Field::new("dyno", Kind::File { up: true }, "The dyno's own record."),
    Field::new("operator", Kind::Text, "Who ran the dyno.").or(&["by"]),
    Field::new("correction", Kind::Standard, "Standard that power is corrected to.")
        .or(&["standard"]),
    Field::of("worth_having", Fraction, "Smallest difference that would be acted on."),
    Field::new(
        "range",
        Kind::SpeedRange,
        "Speeds that the answer is wanted over, said before the test.",
    )
    .or(&["used_range"]),
    Field::new("change", Kind::Choice(CHANGE_WORDS), "What is done between A and B."),
    Field::new("plan", Kind::Order, "Order of the pulls as planned; A is the build of the first."),
    Field::new(
        "induction",
        Kind::Choice(INDUCTION_WORDS),
        "How the engine gets its air: by itself, by a blower on the crank, by a turbocharger.",
    )
    .or(&["aspiration"]),
    Field::new("fuel", Kind::Text, "Fuel in the tank, where no pull says another."),
    Field::of("sweep_rate", SweepRate, "Rate of the sweeps, where it is not the dyno's usual one."),
    Field::new(
        "inertia_included",
        Kind::Flag,
        "Whether the log's torque already holds what accelerates engine and dyno.",
    ),
    Field::of("engine_inertia", Inertia, "Of the turning parts of the engine itself."),
    Field::of(
        "wheels_mass",
        Mass,
        "On a roller: the driven wheels and shafts, as if their mass were at its surface.",
    ),
    Field::new(
        "limits",
        Kind::Table(LIMITS),
        "Limits of the day, beside those of dyno and engine.",
    ),
    Field::new("air", Kind::Tables(AIR), "A reading of the weather station.").or(&["weather"]),
    Field::new("pull", Kind::Tables(PULL), "One pull, in the order they were made.").or(&["pulls"]),
    Field::new("column", Kind::Tables(COLUMN), "What a column of the logs is, once confirmed.")
        .or(&["columns"]),
];

const AIR: &[Field] = &[
    Field::new("time", Kind::TimeOfDay, "When it was read; one reading alone needs none."),
    Field::of("pressure", AbsolutePressure, "Barometer of the shop, not reduced to sea level.")
        .or(&["barometer", "station"]),
    Field::of("sea_level", AbsolutePressure, "Barometer reduced to sea level, as reports give it."),
    Field::of("temperature", Temperature, "Air where the engine breathes in.").needed(),
    Field::of("humidity", Fraction, "Relative humidity.").or(&["relative_humidity"]),
    Field::of(
        "sensor_temperature",
        Temperature,
        "Air at the humidity sensor, or dry bulb, where it is not that of the engine's inlet.",
    ),
    Field::of("dew_point", Temperature, "Dew point, in place of humidity."),
    Field::of(
        "wet_bulb",
        Temperature,
        "Wet bulb of an aspirated psychrometer, in place of humidity.",
    ),
];

const PULL: &[Field] = &[
    Field::new("file", Kind::File { up: false }, "The log, in this folder or below it.").needed(),
    Field::new("part", Kind::Count, "Which pull of the log, from 1, where it holds several."),
    Field::new("number", Kind::Count, "Number over the life of the engine."),
    Field::new("time", Kind::TimeOfDay, "When it began."),
    Field::new("build", Kind::Text, "Build it was made with."),
    Field::new(
        "settings",
        Kind::Settings,
        "What was set without taking parts off, under names of your own.",
    ),
    Field::new(
        "knocked",
        Kind::Flag,
        "Whether knock was heard; false says that somebody listened.",
    ),
    Field::new("knock_range", Kind::SpeedRange, "Speeds at which it knocked, where not at all."),
    Field::new(
        "corrected_by",
        Kind::Number,
        "Factor that the log's torque was corrected by, where the log does not state it.",
    ),
    Field::of("stood", Time, "How long the engine stood before; warm-up counts from there."),
    Field::new("block", Kind::Count, "Refit count: one more each time parts came off and went on."),
    Field::new("set_aside", Kind::Text, "Why it is set aside; the pull is kept."),
    Field::new(
        "set_aside_after",
        Kind::Flag,
        "Whether it was set aside after the difference had been seen.",
    ),
];

const COLUMN: &[Field] = &[
    Field::new("heading", Kind::Text, "Heading as written in the log.").needed(),
    Field::new("channel", Kind::Channel, "What it is; \"not used\" keeps it as written.").needed(),
    Field::new("unit", Kind::Text, "Its unit; left out where the log says it."),
];
