//! The schema of the engine file, declared once: reader, checker, JSON schema, documentation page
//! and forms all come from the list that [`words`] returns.

mod bottom;
mod breathing;
mod field;
mod running;
mod side;

use std::collections::BTreeMap;
use std::sync::OnceLock;

pub use field::{Column, Field, Kind, TableKind};

/// A word of the engine file with its full path.
#[derive(Debug, Clone)]
pub struct Word {
    /// Full path, `exhaust.primary.length`.
    pub path: String,
    /// The declaration.
    pub field: &'static Field,
}

/// Every table of the file and the fields declared for it, in the order of the documentation.
const PARTS: &[(&str, &[Field])] = &[
    ("", bottom::IDENTITY),
    ("layout", bottom::LAYOUT),
    ("bottom_end", bottom::BOTTOM_END),
    ("chamber", bottom::CHAMBER),
    ("valve_train", bottom::VALVE_TRAIN),
    ("cam", side::CAM_PAIR),
    ("intake", side::SIDE),
    ("intake", side::INTAKE_PORT),
    ("intake", breathing::INTAKE),
    ("exhaust", side::SIDE),
    ("exhaust", side::EXHAUST_PORT),
    ("exhaust", breathing::EXHAUST),
    ("fuel", running::FUEL),
    ("spark", running::SPARK),
    ("", running::STATE),
    ("tested_as", running::TESTED_AS),
    ("", RATINGS),
    ("goal", running::GOAL),
    ("limits", running::LIMITS),
];

const RATINGS: &[Field] = &[
    Field::new("rating", Kind::Entries(running::RATING), "A published or measured figure."),
    Field::new("rating_curve", Kind::Table(&running::CURVE), "A published or measured curve."),
];

/// Short words at the top of a file and what they stand for.
pub const SHORT: &[(&str, &str)] = &[
    ("cylinders", "layout.cylinders"),
    ("arrangement", "layout.arrangement"),
    ("firing_order", "layout.firing_order"),
    ("bank_angle", "layout.bank_angle"),
    ("bore", "bottom_end.bore"),
    ("stroke", "bottom_end.stroke"),
    ("rod_length", "bottom_end.rod_length"),
    ("compression_ratio", "chamber.compression_ratio"),
];

/// One value that stands for several: the path of the table and the keys it is copied to.
pub const SPREAD: &[(&str, &[&str])] = &[
    ("intake.runner.diameter", &["start", "end"]),
    ("intake.runner.area", &["start", "end"]),
    ("valve_train.rocker_ratio", &["intake", "exhaust"]),
];

/// Tables that go by another name too: the other name and the one used here.
pub const TABLE_ALIASES: &[(&str, &str)] = &[
    ("inlet", "intake"),
    ("intake.runner.area", "intake.runner.diameter"),
    ("intake.airbox", "intake.air_box"),
    ("intake.carburetor", "intake.carburettor"),
];

/// The word that a text in place of the table at `path` stands for: its kind, or how the
/// cylinders of a layout stand.
pub fn first_word(path: &str) -> Option<&'static str> {
    let first = if path == "layout" { "arrangement" } else { "kind" };
    let has = !path.is_empty() && word(path).is_none() && word(&join(path, first)).is_some();
    has.then_some(first)
}

/// Keys that may stand in any file or table and are read by the reader itself.
pub const OF_THE_READER: &[&str] =
    &["use", "based_on", "without", "values_from", "doubt_ok", "note", "part", "format"];

/// Every word of the engine file, in the order of the documentation.
pub fn words() -> &'static [Word] {
    static WORDS: OnceLock<Vec<Word>> = OnceLock::new();
    WORDS.get_or_init(|| {
        let all = PARTS.iter().flat_map(|(table, fields)| {
            fields.iter().map(move |field| Word { path: join(table, field.path), field })
        });
        all.collect()
    })
}

/// The word at a full path, or `None`.
pub fn word(path: &str) -> Option<&'static Word> {
    static INDEX: OnceLock<BTreeMap<&'static str, &'static Word>> = OnceLock::new();
    INDEX.get_or_init(|| words().iter().map(|w| (w.path.as_str(), w)).collect()).get(path).copied()
}

/// The words that may stand in the table at `path`: keys of fields and of tables below it.
pub fn keys_of(path: &str) -> Vec<&'static str> {
    let prefix = if path.is_empty() { String::new() } else { format!("{path}.") };
    let below = words().iter().filter_map(|w| w.path.strip_prefix(prefix.as_str()));
    let mut keys: Vec<&str> = below.filter_map(|rest| rest.split('.').next()).collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Other words of the trade that are understood in the table at `path`.
pub fn aliases_of(path: &str) -> Vec<&'static str> {
    let here = words().iter().filter(|w| parent(&w.path) == path);
    here.flat_map(|w| w.field.aliases.iter().copied()).collect()
}

/// Whether `path` is a table with words below it.
pub fn is_table(path: &str) -> bool {
    path.is_empty() || words().iter().any(|w| is_below(&w.path, path))
}

/// The used name of the key `key` in the table `table`, when it is another word for one.
pub fn alias_of(table: &str, key: &str) -> Option<&'static str> {
    let full = join(table, key);
    let renamed = TABLE_ALIASES.iter().find(|(other, _)| *other == full).map(|(_, used)| *used);
    let by_table = renamed.and_then(|used| used.rsplit('.').next());
    by_table.or_else(|| {
        let here = words().iter().filter(|w| parent(&w.path) == table);
        here.filter(|w| w.field.aliases.contains(&key)).map(|w| last(&w.path)).next()
    })
}

/// `table.key`, or `key` alone at the root.
pub fn join(table: &str, key: &str) -> String {
    if table.is_empty() { key.to_owned() } else { format!("{table}.{key}") }
}

/// Whether `path` lies below the table `table`.
pub fn is_below(path: &str, table: &str) -> bool {
    table.is_empty() || path.strip_prefix(table).is_some_and(|rest| rest.starts_with('.'))
}

/// The table a path stands in.
pub fn parent(path: &str) -> &str {
    path.rsplit_once('.').map_or("", |(table, _)| table)
}

/// The last key of a path.
pub fn last(path: &str) -> &str {
    path.rsplit('.').next().unwrap_or(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_path_is_declared_once_and_explained() {
        let mut paths: Vec<&str> = words().iter().map(|w| w.path.as_str()).collect();
        let count = paths.len();
        paths.sort_unstable();
        paths.dedup();
        assert_eq!(paths.len(), count);
        for w in words() {
            assert!(w.field.help.ends_with('.'), "{} needs a sentence", w.path);
        }
    }

    #[test]
    fn no_word_is_both_a_value_and_a_table() {
        for w in words() {
            assert!(!is_table(&w.path), "{}", w.path);
        }
    }

    #[test]
    fn short_words_and_aliases_lead_to_declared_words() {
        for (_, path) in SHORT {
            assert!(word(path).is_some(), "{path}");
        }
        assert_eq!(alias_of("intake.cam", "lobe_center"), Some("centreline"));
        assert_eq!(alias_of("intake.cam", "centreline"), None);
        assert_eq!(alias_of("intake", "airbox"), Some("air_box"));
    }
}
