//! The words of the session file, of the dyno's own record and of the scatter that a comparison
//! keeps, declared once: reader, checker, JSON schema and documentation page come from here.

mod dyno;
mod kept;
mod limits;
mod session;

use shortblock_document::{Sources, parse};
use shortblock_units::Quantity;

pub(crate) use dyno::{MODE_WORDS, SOURCE_WORDS};
pub(crate) use limits::LIMITED;
pub(crate) use session::{CHANGE_WORDS, INDUCTIONS};

/// A file that is written by hand, or by the program to be read by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum File {
    /// One day on one dyno, in the folder of its logs.
    Session,
    /// The dyno's own record.
    Dyno,
    /// The scatter that a kept comparison was worked out with.
    Kept,
}

impl File {
    /// Every file.
    pub const ALL: [Self; 3] = [Self::Session, Self::Dyno, Self::Kept];

    /// The name people call it by.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Session => "session file",
            Self::Dyno => "dyno's own record",
            Self::Kept => "kept scatter",
        }
    }

    /// What it is, for the head of its page.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Self::Session => {
                "One day on one dyno: `session.toml` in the folder of its logs. Every word may be left \
                 out; what is missing is said, or assumed aloud."
            }
            Self::Dyno => {
                "One file a dyno, for example `dynos/cell-1.toml`. A session names it with `dyno`; \
                 where it does not, a `dyno.toml` beside the logs is read."
            }
            Self::Kept => {
                "Written by the program, so that a kept comparison gives the same answer for ever. \
                 Standard deviations are not rounded: variances stand as fractions squared."
            }
        }
    }

    /// Which of the files a text is by the words at its top: the dyno's record says its `kind`, a session
    /// names itself, its air or its pulls. `None` for any other text, an engine file among them.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let mut sources = Sources::default();
        let source = sources.add("", text);
        let root = parse(&sources, source).ok()?;
        let has = |word: &str| root.get(word).is_some();
        if root.get("kind").is_some_and(|node| node.text().is_some()) {
            return Some(Self::Dyno);
        }
        ["session", "air", "pull"].into_iter().any(has).then_some(Self::Session)
    }

    /// The words at its top, in the order of the documentation.
    #[must_use]
    pub fn fields(self) -> &'static [Field] {
        match self {
            Self::Session => session::SESSION,
            Self::Dyno => dyno::DYNO,
            Self::Kept => kept::KEPT,
        }
    }
}

/// What may stand at a word.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Free text.
    Text,
    /// A file, by its way from the folder of this one; a flag says whether the way may lead up.
    File {
        /// Whether `..` may stand in it.
        up: bool,
    },
    /// A date, `2026-03-28`.
    Date,
    /// A time of day, `"09:20"`; after midnight it goes on with 24:10.
    TimeOfDay,
    /// `true` or `false`.
    Flag,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A whole number without unit.
    Count,
    /// A number without unit.
    Number,
    /// Numbers without unit, `"none"` where there is none.
    Numbers,
    /// A number with a unit of this quantity.
    Quantity(Quantity),
    /// A number with a unit of any quantity.
    AnyQuantity,
    /// Two engine speeds, `"4500 to 8000 rpm"`.
    SpeedRange,
    /// The name of a correction standard.
    Standard,
    /// An order of pulls, `"A3 B3 A3"`.
    Order,
    /// A channel of a log, by its name.
    Channel,
    /// Settings under names of one's own, each a value with unit or a word.
    Settings,
    /// A time for each of some channels.
    Lags,
    /// A table with these words.
    Table(&'static [Field]),
    /// A list of tables with these words.
    Tables(&'static [Field]),
}

/// A word of a file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// The key.
    pub word: &'static str,
    /// What may stand there.
    pub kind: Kind,
    /// One sentence for the documentation, the checker and the forms.
    pub help: &'static str,
    /// Whether its table is of no use without it.
    pub needed: bool,
    /// Other words of the trade for the key.
    pub aliases: &'static [&'static str],
}

impl Field {
    const fn new(word: &'static str, kind: Kind, help: &'static str) -> Self {
        Self { word, kind, help, needed: false, aliases: &[] }
    }

    const fn of(word: &'static str, quantity: Quantity, help: &'static str) -> Self {
        Self::new(word, Kind::Quantity(quantity), help)
    }

    const fn needed(mut self) -> Self {
        self.needed = true;
        self
    }

    const fn or(mut self, aliases: &'static [&'static str]) -> Self {
        self.aliases = aliases;
        self
    }
}

/// Keys that may stand in any table and are read by the reader itself.
pub(crate) const ANYWHERE: [&str; 2] = ["note", "doubt_ok"];

/// Settings whose quantity is known by their name; others are read as whatever unit fits.
pub(crate) const SETTINGS: &[(&str, Quantity)] = &[
    ("spark", Quantity::Angle),
    ("intake_centreline", Quantity::Angle),
    ("exhaust_centreline", Quantity::Angle),
    ("intake_lash", Quantity::Length),
    ("exhaust_lash", Quantity::Length),
    ("lambda", Quantity::Ratio),
    // Turns of the engine in one of the roller.
    ("ratio", Quantity::Ratio),
    ("boost", Quantity::GaugePressure),
    ("fuel_pressure", Quantity::GaugePressure),
    ("tyre_pressure", Quantity::GaugePressure),
    ("coolant", Quantity::Temperature),
    ("oil", Quantity::Temperature),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn walk(fields: &'static [Field], visit: &mut dyn FnMut(&'static [Field])) {
        visit(fields);
        for field in fields {
            if let Kind::Table(inner) | Kind::Tables(inner) = field.kind {
                walk(inner, visit);
            }
        }
    }

    #[test]
    fn every_word_is_declared_once_and_explained() {
        for file in File::ALL {
            walk(file.fields(), &mut |fields| {
                let mut words: Vec<&str> = fields
                    .iter()
                    .flat_map(|f| f.aliases.iter().chain([&f.word]))
                    .copied()
                    .collect();
                let count = words.len();
                words.sort_unstable();
                words.dedup();
                assert_eq!(words.len(), count);
                for field in fields {
                    assert!(field.help.ends_with('.'), "{} needs a sentence", field.word);
                    assert!(!ANYWHERE.contains(&field.word), "{}", field.word);
                }
            });
        }
    }
}
