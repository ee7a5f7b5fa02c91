//! A table that was read by its declared words: what stands at each, and where.

use std::collections::BTreeMap;

use shortblock_compare::Order;
use shortblock_document::Place;
use shortblock_pulls::Channel;
use shortblock_units::Measure;
use shortblock_weather::Standard;

use crate::setting::Setting;

/// What stands at a word.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// Text, date or way to a file, as typed.
    Text(String),
    /// Yes or no.
    Flag(bool),
    /// Which of the words.
    Choice(usize),
    /// A whole number.
    Count(u32),
    /// A number without unit.
    Number(f64),
    /// Numbers, with gaps.
    Numbers(Vec<Option<f64>>),
    /// A value with unit.
    Value(Measure),
    /// Two engine speeds, rad/s.
    Range(f64, f64),
    /// Seconds since midnight.
    Time(f64),
    /// A standard.
    Standard(Standard),
    /// An order of pulls.
    Order(Order),
    /// A channel, `None` for "not used".
    Channel(Option<Channel>),
    /// Settings by name.
    Settings(Vec<Setting>),
    /// Lags, s.
    Lags(Vec<(Channel, f64)>),
    /// A table.
    Table(Entry),
    /// A list of tables.
    Tables(Vec<Entry>),
}

/// A table: what could be read, and the place of everything that was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Where it stands.
    pub place: Place,
    /// What could be read.
    pub got: BTreeMap<&'static str, What>,
    /// Where each word stands that was said, read or not.
    pub said: BTreeMap<&'static str, Place>,
    /// What was noted.
    pub note: String,
    /// Why its doubts are in order; empty when nobody said.
    pub doubt_ok: String,
}

impl Entry {
    /// An empty table at a place.
    pub fn at(place: &Place) -> Self {
        Self {
            place: place.clone(),
            got: BTreeMap::new(),
            said: BTreeMap::new(),
            note: String::new(),
            doubt_ok: String::new(),
        }
    }

    /// Where a word stands, else where the table does.
    pub fn place_of(&self, word: &str) -> &Place {
        self.said.get(word).unwrap_or(&self.place)
    }

    /// Whether a word was said, readable or not.
    pub fn says(&self, word: &str) -> bool {
        self.said.contains_key(word)
    }

    pub fn text(&self, word: &str) -> Option<&str> {
        if let What::Text(text) = self.got.get(word)? { Some(text) } else { None }
    }

    pub fn flag(&self, word: &str) -> Option<bool> {
        if let What::Flag(flag) = self.got.get(word)? { Some(*flag) } else { None }
    }

    pub fn count(&self, word: &str) -> Option<u32> {
        if let What::Count(count) = self.got.get(word)? { Some(*count) } else { None }
    }

    pub fn number(&self, word: &str) -> Option<f64> {
        if let What::Number(number) = self.got.get(word)? { Some(*number) } else { None }
    }

    pub fn numbers(&self, word: &str) -> Option<&[Option<f64>]> {
        if let What::Numbers(numbers) = self.got.get(word)? { Some(numbers) } else { None }
    }

    pub fn value(&self, word: &str) -> Option<&Measure> {
        if let What::Value(value) = self.got.get(word)? { Some(value) } else { None }
    }

    /// A value in SI.
    pub fn si(&self, word: &str) -> Option<f64> {
        self.value(word).map(|value| value.si)
    }

    pub fn time(&self, word: &str) -> Option<f64> {
        if let What::Time(time) = self.got.get(word)? { Some(*time) } else { None }
    }

    pub fn range(&self, word: &str) -> Option<(f64, f64)> {
        if let What::Range(from, to) = self.got.get(word)? { Some((*from, *to)) } else { None }
    }

    /// The one of `all`, in the order of the declared words, that was chosen.
    pub fn choice<T: Copy>(&self, word: &str, all: &[T]) -> Option<T> {
        if let What::Choice(index) = self.got.get(word)? { all.get(*index).copied() } else { None }
    }

    pub fn standard(&self, word: &str) -> Option<Standard> {
        if let What::Standard(standard) = self.got.get(word)? { Some(*standard) } else { None }
    }

    pub fn order(&self, word: &str) -> Option<&Order> {
        if let What::Order(order) = self.got.get(word)? { Some(order) } else { None }
    }

    /// The channel; inner `None` for "not used".
    pub fn channel(&self, word: &str) -> Option<Option<Channel>> {
        if let What::Channel(channel) = self.got.get(word)? { Some(*channel) } else { None }
    }

    pub fn settings(&self, word: &str) -> &[Setting] {
        if let Some(What::Settings(settings)) = self.got.get(word) { settings } else { &[] }
    }

    pub fn lags(&self, word: &str) -> &[(Channel, f64)] {
        if let Some(What::Lags(lags)) = self.got.get(word) { lags } else { &[] }
    }

    pub fn table(&self, word: &str) -> Option<&Entry> {
        if let What::Table(entry) = self.got.get(word)? { Some(entry) } else { None }
    }

    pub fn tables(&self, word: &str) -> &[Entry] {
        if let Some(What::Tables(entries)) = self.got.get(word) { entries } else { &[] }
    }
}
