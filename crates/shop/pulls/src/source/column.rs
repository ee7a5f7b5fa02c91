//! One column while its rows are read.

use super::clock::{DAY, Stamp, date, iso, stamp};
use super::heading::Heading;
use super::number::{self, Cell};
use super::report::{Report, quote};
use crate::log::{Column, Words};
use std::collections::HashMap;

/// What the cells of a column are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Numbers.
    Number,
    /// Clock times, with or without a date.
    Clock,
    /// Words, dates among them.
    Words,
}

/// Cells that could not be read.
#[derive(Debug, Default)]
struct Odd {
    count: usize,
    line: usize,
    cell: String,
}

/// A column in the making.
#[derive(Debug)]
pub struct Build {
    /// What its cells are.
    pub kind: Kind,
    heading: Heading,
    /// Unit behind the numbers in the cells themselves.
    unit_in_cells: String,
    values: Vec<f64>,
    /// Cells that were numbers or times.
    numbers: usize,
    words: Words,
    places: HashMap<String, u32>,
    first: Option<Stamp>,
    doubtful: bool,
    odd: Odd,
}

impl Build {
    /// An empty column whose kind is that of most of the cells.
    pub fn new<'a>(heading: &Heading, cells: impl Iterator<Item = &'a str>, decimal: u8) -> Self {
        let (mut numbers, mut clocks, mut words) = (0, 0, 0);
        let mut units: HashMap<&str, usize> = HashMap::new();
        for cell in cells {
            match number::read(cell, decimal) {
                Cell::Missing => {}
                Cell::Number(_, "") => numbers += 1,
                _ if stamp(cell).is_some() => clocks += 1,
                _ if date(cell).is_some() => words += 1,
                Cell::Number(_, unit) => {
                    numbers += 1;
                    *units.entry(unit).or_default() += 1;
                }
                Cell::Other => words += 1,
            }
        }
        let usual =
            units.into_iter().max_by_key(|(unit, count)| (*count, std::cmp::Reverse(*unit)));
        let unit_in_cells = match usual {
            Some((unit, count)) if 2 * count > numbers => unit.to_string(),
            _ => String::new(),
        };
        let kind = match () {
            () if clocks > numbers.max(words) => Kind::Clock,
            () if words > numbers.max(clocks) => Kind::Words,
            () => Kind::Number,
        };
        Self {
            kind,
            heading: heading.clone(),
            unit_in_cells,
            values: Vec::new(),
            numbers: 0,
            words: Words { name: heading.name.clone(), ..Words::default() },
            places: HashMap::new(),
            first: None,
            doubtful: false,
            odd: Odd::default(),
        }
    }

    /// The same column, still empty, as one of words.
    pub fn into_words_build(mut self) -> Self {
        self.kind = Kind::Words;
        self
    }

    /// Makes room for rows.
    pub fn reserve(&mut self, rows: usize) {
        match self.kind {
            Kind::Words => self.words.rows.reserve(rows),
            Kind::Number | Kind::Clock => self.values.reserve(rows),
        }
    }

    /// Reads a cell that the quick path could not. `None` where it is neither number, time nor mark
    /// for nothing.
    pub fn read(&mut self, cell: &str, decimal: u8) -> Option<f64> {
        if number::is_missing(cell) {
            return Some(f64::NAN);
        }
        if self.kind == Kind::Clock {
            return self.read_clock(cell);
        }
        match number::read(cell, decimal) {
            Cell::Number(value, unit) if unit.is_empty() || unit == self.unit_in_cells => {
                Some(value)
            }
            _ => None,
        }
    }

    fn read_clock(&mut self, cell: &str) -> Option<f64> {
        let stamp = stamp(cell)?;
        let seconds = stamp.seconds;
        self.doubtful |= stamp.doubtful;
        let day = stamp.date.map(|date| date.day);
        let first = self.first.get_or_insert(stamp);
        let days = match (day, first.date) {
            (Some(day), Some(first)) => (day - first.day) as f64,
            _ => 0.0,
        };
        Some(seconds + DAY * days)
    }

    /// Adds the value of a row.
    #[inline]
    pub fn push(&mut self, value: f64) {
        self.numbers += usize::from(!value.is_nan());
        self.values.push(value);
    }

    /// Adds the word of a row.
    pub fn push_word(&mut self, cell: &str) {
        if number::is_missing(cell) {
            self.words.rows.push(None);
            return;
        }
        let place = match self.places.get(cell) {
            Some(place) => *place,
            None => {
                let place = self.words.labels.len() as u32;
                self.words.labels.push(cell.to_string());
                self.places.insert(cell.to_string(), place);
                place
            }
        };
        self.words.rows.push(Some(place));
    }

    /// Notes a cell of a row that could not be read.
    pub fn note_odd(&mut self, line: usize, cell: &str) {
        if self.odd.count == 0 {
            self.odd = Odd { count: 0, line, cell: quote(cell) };
        }
        self.odd.count += 1;
    }

    /// True where more cells could not be read than could.
    pub fn is_of_words(&self) -> bool {
        self.kind != Kind::Words && self.odd.count > 2 && self.odd.count > self.numbers
    }

    /// True where a column has neither heading nor cells, such as behind a delimiter at the end of
    /// every line.
    pub fn is_superfluous(&self) -> bool {
        let empty = match self.kind {
            Kind::Words => self.words.labels.is_empty(),
            Kind::Number | Kind::Clock => self.numbers == 0 && self.odd.count == 0,
        };
        self.heading.unnamed && empty
    }

    /// True where the name was made from the place.
    pub fn is_unnamed(&self) -> bool {
        self.heading.unnamed
    }

    /// Name of the column.
    pub fn name(&self) -> &str {
        &self.heading.name
    }

    /// When the column's clock began, where it has dates that are beyond doubt.
    pub fn began(&self) -> Option<String> {
        let first = self.first.as_ref()?;
        let day = first.date.filter(|date| !date.doubtful)?.day;
        Some(iso(day, first.seconds, &first.offset))
    }

    /// When the clock of one column began on the day of another.
    pub fn began_on(columns: &[Self]) -> Option<String> {
        let day = columns.iter().find_map(|column| date(column.words.labels.first()?))?;
        let first = columns.iter().find_map(|column| column.first.as_ref())?;
        (!day.doubtful).then(|| iso(day.day, first.seconds, &first.offset))
    }

    /// The column of numbers, with a warning of every oddity.
    pub fn into_column(mut self, report: &mut Report) -> Column {
        let name = self.heading.name.clone();
        self.warn_of_odd(report);
        if self.kind == Kind::Clock {
            self.settle_clock(report);
        }
        let unit = self.settle_unit(report);
        Column { name, unit, values: self.values }
    }

    /// The column of words.
    pub fn into_words(self) -> Words {
        self.words
    }

    fn warn_of_odd(&self, report: &mut Report) {
        let Odd { count, line, cell } = &self.odd;
        let what = if self.kind == Kind::Clock { "clock time" } else { "number" };
        let text = match count {
            0 => return,
            1 => format!("{cell} is no {what}; read as missing"),
            _ => format!("{cell} is no {what}; {count} such cells are read as missing"),
        };
        report.warn("columns with cells of another kind", Some(*line), Some(self.name()), text);
    }

    /// Lets a clock without dates go on past midnight, and says what was taken for granted.
    fn settle_clock(&mut self, report: &mut Report) {
        let dated = self.first.as_ref().is_some_and(|first| first.date.is_some());
        let (mut days, mut last) = (0.0, f64::NAN);
        for value in self.values.iter_mut().filter(|value| !dated && !value.is_nan()) {
            if *value < last - DAY / 2.0 {
                days += DAY;
            }
            last = *value;
            *value += days;
        }
        if self.doubtful {
            let text = "two figures and a colon: read as minutes and seconds";
            report.warn("doubtful clocks", None, Some(self.name()), text);
        }
        let doubt = self.first.as_ref().and_then(|first| first.date).is_some_and(|d| d.doubtful);
        if doubt {
            let text = "day and month could be swapped: read as day first, and the date of the \
                        recording left open";
            report.warn("doubtful dates", None, Some(self.name()), text);
        }
        self.heading.unit = "s".to_string();
    }

    fn settle_unit(&mut self, report: &mut Report) -> String {
        let written = std::mem::take(&mut self.heading.unit);
        let in_cells = std::mem::take(&mut self.unit_in_cells);
        if written.is_empty() || in_cells.is_empty() || written == in_cells {
            return if written.is_empty() { in_cells } else { written };
        }
        let text = format!(
            "the heading says {} and the cells say {}; the unit of the cells is kept",
            quote(&written),
            quote(&in_cells)
        );
        report.warn("columns with two units", None, Some(self.name()), text);
        in_cells
    }
}
