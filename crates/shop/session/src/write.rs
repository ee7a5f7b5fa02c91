//! Scatter of one more session, written into the text of a dyno's record.

use shortblock_compare::Mode;
use shortblock_units::Quantity;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value, value};

use crate::form::NONE;
use crate::schema::{CHANGE_WORDS, MODE_WORDS, SOURCE_WORDS};
use crate::seen::{CHANGES, MODES, SOURCES, Seen, whole_text};

/// Why scatter can't be written into a record.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// The text is not TOML.
    #[error("the dyno's record can't be read: {0}\nhint: check the file first, then add to it")]
    NotToml(String),
    /// `history` is there and is no list of tables.
    #[error(
        "history in the dyno's record is no list of tables\nhint: write [[history]] above each"
    )]
    NotAList,
    /// A figure that is no number.
    #[error("session {session}: its scatter holds {number}\nhint: leave the session out")]
    NotANumber {
        /// The session.
        session: String,
        /// The figure.
        number: String,
    },
}

/// The text of a dyno's record with what a session showed added at its end, or put in place of what
/// stood there for the same session and key. Comments, order and everything else stay; what was
/// written reads back to the last bit.
///
/// # Errors
/// See [`WriteError`].
pub fn add_seen(text: &str, seen: &Seen) -> Result<String, WriteError> {
    let mut document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| {
        WriteError::NotToml(error.message().lines().next().unwrap_or_default().to_owned())
    })?;
    finite(seen)?;
    let list = document.entry("history").or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    let list = list.as_array_of_tables_mut().ok_or(WriteError::NotAList)?;
    let there = list.iter().position(|table| is_of(table, seen));
    match there.and_then(|index| list.get_mut(index)) {
        Some(old) => fill(old, seen),
        None => {
            let mut table = Table::new();
            fill(&mut table, seen);
            list.push(table);
        }
    }
    Ok(document.to_string())
}

fn finite(seen: &Seen) -> Result<(), WriteError> {
    let scatter = seen.scatter.iter().flat_map(|s| {
        let all = s.variances.iter().flatten().chain(&s.resels_per_1000_rpm);
        all.copied().chain([s.dof, s.from_rpm])
    });
    let spreads = seen.spreads.iter().flat_map(|s| [s.variance, s.dof]);
    match scatter.chain(spreads).find(|x| !x.is_finite()) {
        Some(x) => {
            Err(WriteError::NotANumber { session: seen.session.clone(), number: x.to_string() })
        }
        None => Ok(()),
    }
}

/// Whether a table is the one of this session and key, whatever units it was typed in.
fn is_of(table: &Table, seen: &Seen) -> bool {
    let text = |word: &str| table.get(word).and_then(Item::as_str);
    let same = |word: &str, quantity: Quantity, number: u32| {
        let read = |text: &str| shortblock_units::parse(text, quantity).ok().map(|m| m.si);
        match (text(word).and_then(read), read(&whole_text(number, quantity))) {
            (Some(a), Some(b)) => (a - b).abs() <= 1e-6 * b.abs().max(1.0),
            (None, _) => number == 0,
            _ => false,
        }
    };
    text("session") == Some(seen.session.as_str())
        && text("mode") == Some(mode_word(seen.key.mode))
        && same("sweep_rate", Quantity::SweepRate, seen.key.sweep_rate_rpm_s)
        && same("torque_from", Quantity::Torque, seen.key.torque_from_nm)
}

fn mode_word(mode: Mode) -> &'static str {
    word_of(mode, &MODES, MODE_WORDS)
}

/// The declared word of one of `all`.
pub fn word_of<T: PartialEq>(one: T, all: &[T], words: &'static [&'static str]) -> &'static str {
    let index = all.iter().position(|x| *x == one);
    index.and_then(|i| words.get(i)).copied().unwrap_or_default()
}

fn fill(table: &mut Table, seen: &Seen) {
    let rate = whole_text(seen.key.sweep_rate_rpm_s, Quantity::SweepRate);
    let scatter = seen.scatter.as_ref();
    put(table, "session", Some(value(&seen.session)));
    put(table, "mode", Some(value(mode_word(seen.key.mode))));
    put(table, "sweep_rate", (seen.key.mode == Mode::Sweep).then(|| value(rate)));
    let torque = whole_text(seen.key.torque_from_nm, Quantity::Torque);
    put(table, "torque_from", Some(value(torque)));
    put(table, "dof", scatter.map(|s| number(s.dof)));
    put(table, "from_rpm", scatter.map(|s| number(s.from_rpm)));
    put(table, "variances", scatter.map(|s| numbers(&s.variances)));
    let resels = scatter.and_then(|s| s.resels_per_1000_rpm);
    put(table, "resels_per_1000_rpm", resels.map(number));
    put(table, "spread", (!seen.spreads.is_empty()).then(|| value(spreads(seen))));
}

/// Puts a value at a word, in place of another whose comment stays; takes the word out for `None`.
fn put(table: &mut Table, word: &str, new: Option<Item>) {
    let Some(Item::Value(mut new)) = new else {
        table.remove(word);
        return;
    };
    if let Some(Item::Value(old)) = table.get(word) {
        *new.decor_mut() = old.decor().clone();
    }
    if let Some(item) = table.get_mut(word) {
        *item = Item::Value(new);
    } else {
        table.insert(word, Item::Value(new));
    }
}

fn spreads(seen: &Seen) -> Array {
    let mut list = Array::new();
    for spread in &seen.spreads {
        let mut inline = InlineTable::new();
        inline.insert("source", word_of(spread.source, &SOURCES, SOURCE_WORDS).into());
        inline.insert("change", word_of(spread.change, &CHANGES, CHANGE_WORDS).into());
        inline.insert("variance", plain(spread.variance));
        inline.insert("dof", plain(spread.dof));
        let mut entry = Value::InlineTable(inline);
        entry.decor_mut().set_prefix("\n    ");
        list.push_formatted(entry);
    }
    list.set_trailing("\n");
    list.set_trailing_comma(true);
    list
}

/// A number in the shortest form that reads back to the last bit.
pub fn number(x: f64) -> Item {
    Item::Value(plain(x))
}

/// Numbers, `"none"` for a gap.
pub fn numbers(list: &[Option<f64>]) -> Item {
    let one = |x: &Option<f64>| x.map_or_else(|| NONE.into(), plain);
    value(list.iter().map(one).collect::<Array>())
}

fn plain(x: f64) -> Value {
    // `{:?}` is the shortest text that reads back, with a point or an exponent, as TOML wants it.
    format!("{x:?}").parse().unwrap_or_else(|_| Value::from(x))
}
