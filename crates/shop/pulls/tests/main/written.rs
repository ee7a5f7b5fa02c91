//! One pull written in a dialect drawn at random, with what a reader must find in it.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use std::fmt::Write;

/// A channel: parts of its name, its unit, places behind the point, value at a share of the pull.
struct Channel(&'static [&'static str], &'static str, usize, fn(f64) -> f64);

const CHANNELS: [Channel; 8] = [
    Channel(&["Engine", "speed"], "1/min", 1, |x| 950.0 + 6100.0 * x),
    Channel(&["Torque"], "Nm", 2, |x| 180.0 + 250.0 * x * (1.6 - x)),
    Channel(&["Oil", "pressure", "main"], "kPa", 0, |x| 180.0 + 300.0 * x),
    Channel(&["Coolant", "temperature"], "°C", 1, |x| 81.0 + 4.0 * x),
    Channel(&["Lambda"], "", 3, |x| 0.92 - 0.06 * x),
    Channel(&["Lambda"], "", 3, |x| 0.9 - 0.05 * x),
    Channel(&["Fuel", "flow"], "kg/h", 2, |x| -1.5 + 60.0 * x),
    Channel(&["Boost", "ahead", "throttle"], "mbar", 0, |x| -600.0 + 1900.0 * x),
];
/// Columns besides the channels: time before them, a state behind them.
const WIDTH: usize = CHANNELS.len() + 2;
const STATE: usize = WIDTH - 1;

const MARKS: [&str; 6] = ["", "-", "--", "NaN", "n/a", "#N/A"];
const STATES: [&str; 3] = ["pull", "coast down", "idle"];

#[derive(Clone, Copy, PartialEq)]
enum Clock {
    Seconds,
    Milliseconds,
    Hours,
    Minutes,
    Dated,
    Zoned,
}

#[derive(Clone, Copy, PartialEq)]
enum Units {
    Row,
    BracketRow,
    Square,
    Round,
    Comma,
    Underscore,
    Stroke,
}

/// How one file is written.
struct Dialect {
    delimiter: char,
    decimal: char,
    thousands: Option<char>,
    clock: Clock,
    units: Units,
    heading_lines: usize,
    quotes: usize,
    padded: bool,
    trailing: bool,
    end: &'static str,
    exponent: bool,
    unit_in_cells: bool,
    marks: bool,
    nines: bool,
    preamble: usize,
    blank_lines: bool,
    repeated: bool,
    footers: bool,
    ragged: bool,
    rows: usize,
}

/// A file and what stands in it.
pub struct Written {
    pub text: String,
    /// Name, unit and values of every column of numbers.
    pub columns: Vec<(String, String, Vec<f64>)>,
    /// Words of the state, `None` where missing.
    pub states: Vec<Option<String>>,
    pub parts: Vec<usize>,
    /// Start of the recording where the file says it.
    pub started: Option<String>,
    pub delimiter: char,
    pub decimal: char,
    /// Lines of which a warning is due.
    pub warned: Vec<usize>,
}

fn one_of<T: Copy>(rng: &mut Xoshiro256PlusPlus, choices: &[T]) -> T {
    choices[rng.random_range(0..choices.len())]
}

impl Dialect {
    fn drawn(rng: &mut Xoshiro256PlusPlus) -> Self {
        let delimiter = one_of(rng, &[',', ';', '\t', '|', ' ']);
        let decimal = one_of(rng, &['.', ',']);
        let clocks: &[Clock] = match delimiter {
            ' ' => {
                &[Clock::Seconds, Clock::Milliseconds, Clock::Hours, Clock::Minutes, Clock::Zoned]
            }
            _ => &[
                Clock::Seconds,
                Clock::Milliseconds,
                Clock::Hours,
                Clock::Minutes,
                Clock::Dated,
                Clock::Zoned,
            ],
        };
        let thousands: &[Option<char>] = match (delimiter, decimal) {
            (' ', '.') => &[None, Some(','), Some('\'')],
            (' ', _) => &[None, Some('.')],
            (_, '.') => &[None, Some(','), Some('\''), Some(' '), Some('\u{A0}')],
            (_, _) => &[None, Some('.'), Some(' '), Some('\u{A0}')],
        };
        let units: &[Units] = &[
            Units::Row,
            Units::BracketRow,
            Units::Square,
            Units::Round,
            Units::Comma,
            Units::Underscore,
            Units::Stroke,
        ];
        let flag = |rng: &mut Xoshiro256PlusPlus, share: f64| rng.random_bool(share);
        Self {
            delimiter,
            decimal,
            thousands: one_of(rng, thousands),
            clock: one_of(rng, clocks),
            units: one_of(rng, units),
            heading_lines: if delimiter == ' ' { 1 } else { rng.random_range(1..=3) },
            quotes: rng.random_range(0..3),
            padded: flag(rng, 0.2),
            trailing: delimiter != ' ' && flag(rng, 0.2),
            end: one_of(rng, &["\n", "\r\n", "\r"]),
            exponent: flag(rng, 0.15),
            unit_in_cells: delimiter != ' ' && flag(rng, 0.15),
            marks: flag(rng, 0.5),
            nines: flag(rng, 0.3),
            preamble: if flag(rng, 0.5) { rng.random_range(1..40) } else { 0 },
            blank_lines: flag(rng, 0.3),
            repeated: flag(rng, 0.3),
            footers: flag(rng, 0.4),
            ragged: flag(rng, 0.3),
            rows: rng.random_range(12..60),
        }
    }

    /// A number as the dialect prints it, and the value of that text.
    fn number(&self, value: f64, places: usize) -> (String, f64) {
        let plain = match self.exponent {
            true => format!("{value:.*e}", places + 2),
            false => format!("{value:.places$}"),
        };
        let parsed: f64 = plain.parse().expect("printed by the library");
        let mut text = plain.replace('.', &self.decimal.to_string());
        if let Some(sign) = self.thousands.filter(|_| !self.exponent) {
            let whole = text.find(self.decimal).unwrap_or(text.len());
            let first = usize::from(text.starts_with('-'));
            for at in (first + 1..whole).rev().filter(|at| (whole - at) % 3 == 0) {
                text.insert(at, sign);
            }
        }
        (text, parsed)
    }

    /// The time of a row as printed, and its value: hundredths of a second since the first row.
    fn time(&self, hundredths: usize) -> (String, f64) {
        let (start_h, start_m, start_s) = (10, 22, 5);
        let total = hundredths + 25;
        let (whole, part) = (total / 100 + start_s, total % 100);
        let (m, s) = (start_m + whole / 60, whole % 60);
        let seconds: f64 = format!("{s}.{part:02}").parse().expect("a decimal");
        let clock = format!("{start_h}:{m:02}:{s:02}{}{part:02}", self.decimal);
        let of_day = (start_h * 3600 + m * 60) as f64 + seconds;
        match self.clock {
            Clock::Seconds => {
                let plain = format!("{}.{:02}", total / 100, part);
                let value = plain.parse().expect("a decimal");
                (plain.replace('.', &self.decimal.to_string()), value)
            }
            Clock::Milliseconds => {
                let plain = Self { exponent: false, ..*self }.number((total * 10) as f64, 0);
                (plain.0, plain.1)
            }
            Clock::Hours => (clock, of_day),
            Clock::Minutes => {
                (format!("{m}:{s:02}{}{part:02}", self.decimal), (m * 60) as f64 + seconds)
            }
            Clock::Dated => (format!("14.03.2026 {clock}"), of_day),
            Clock::Zoned => (format!("2026-03-14T{clock}+01:00"), of_day),
        }
    }

    fn quoted(&self, cell: &str) -> String {
        let needed = cell.contains(self.delimiter) || cell.contains('"');
        let wanted = self.quotes == 1 || self.quotes == 2 && cell.len().is_multiple_of(2);
        if needed || wanted && !cell.is_empty() {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell.to_string()
        }
    }

    fn line(&self, cells: &[String]) -> String {
        let cells: Vec<_> = cells.iter().map(|cell| self.quoted(cell)).collect();
        let gap = match (self.delimiter, self.padded) {
            (' ', true) => "   ".to_string(),
            (' ', false) => "  ".to_string(),
            (sign, true) => format!(" {sign} "),
            (sign, false) => sign.to_string(),
        };
        let mut line = cells.join(&gap);
        if self.trailing {
            line.push(self.delimiter);
        }
        line.push_str(self.end);
        line
    }

    fn time_unit(&self) -> &'static str {
        match self.clock {
            Clock::Seconds => "s",
            Clock::Milliseconds => "ms",
            _ => "",
        }
    }

    /// Names as they must be read, units as they must be read, and the lines that say so.
    fn headings(&self) -> (Vec<String>, Vec<String>, String) {
        let mut parts: Vec<Vec<String>> = vec![vec!["Time".to_string()]];
        let mut units = vec![self.time_unit().to_string()];
        for Channel(name, unit, ..) in CHANNELS {
            parts.push(name.iter().map(|part| part.to_string()).collect());
            units.push(if self.unit_in_cells && unit == "1/min" {
                String::new()
            } else {
                unit.into()
            });
        }
        parts.push(vec!["State".to_string()]);
        units.push(String::new());
        let names: Vec<String> = parts.iter().map(|parts| parts.join(" ")).collect();
        if self.delimiter == ' ' && self.quotes == 0 {
            // Blanks within headings are told from those between by their number.
            parts.iter_mut().for_each(|parts| *parts = vec![parts.join(" ")]);
        }
        let in_row = matches!(self.units, Units::Row | Units::BracketRow);
        let mut lines = vec![vec![String::new(); WIDTH]; self.heading_lines];
        for (column, parts) in parts.iter().enumerate() {
            for (place, part) in parts.iter().enumerate() {
                let line = place.min(self.heading_lines - 1);
                let gap = if lines[line][column].is_empty() { "" } else { " " };
                lines[line][column] += &format!("{gap}{part}");
            }
            let unit = &units[column];
            if !in_row && !unit.is_empty() {
                let last = parts.len().min(self.heading_lines) - 1;
                lines[last][column] += &match self.units {
                    Units::Square => format!(" [{unit}]"),
                    Units::Round => format!(" ({unit})"),
                    Units::Comma => format!(", {unit}"),
                    Units::Underscore => format!("_{unit}"),
                    _ => format!(" / {unit}"),
                };
            }
        }
        if in_row {
            let bracket = self.units == Units::BracketRow;
            let cell = |unit: &String| match (unit.is_empty(), bracket) {
                (true, _) if self.delimiter == ' ' => "-".to_string(),
                (true, _) => String::new(),
                (false, true) => format!("[{unit}]"),
                (false, false) => unit.clone(),
            };
            lines.push(units.iter().map(cell).collect());
            if self.delimiter == ' ' {
                units.iter_mut().filter(|u| u.is_empty()).for_each(|unit| *unit = "-".into());
            }
        }
        let text = lines.iter().map(|line| self.line(line)).collect();
        (names, units, text)
    }
}

/// Returns the file of a seed.
pub fn written(seed: u64) -> Written {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
    let dialect = Dialect::drawn(&mut rng);
    let (mut names, mut units, headings) = dialect.headings();
    let mut text = String::new();
    for line in 0..dialect.preamble {
        let _ = match line % 5 {
            0 => write!(text, "Remark {line}: run in a warm cell"),
            1 => write!(
                text,
                "Operator{}LA",
                if dialect.delimiter == ' ' { ':' } else { dialect.delimiter }
            ),
            2 => write!(text, "Barometer: 99{line} hPa"),
            3 => Ok(()),
            _ => write!(text, "# pull {line} of build b2"),
        };
        text.push_str(dialect.end);
    }
    text.push_str(&headings);
    let mut written = Written {
        text,
        columns: Vec::new(),
        states: Vec::new(),
        parts: Vec::new(),
        started: match dialect.clock {
            Clock::Dated => Some("2026-03-14T10:22:05.250".to_string()),
            Clock::Zoned => Some("2026-03-14T10:22:05.250+01:00".to_string()),
            _ => None,
        },
        delimiter: dialect.delimiter,
        decimal: dialect.decimal,
        warned: Vec::new(),
    };
    let mut values = vec![Vec::new(); STATE];
    rows(&dialect, &mut rng, &mut written, &mut values, &headings);
    if dialect.footers {
        footers(&dialect, &mut written.text);
    }
    names[6] = "Lambda (2)".to_string();
    if dialect.unit_in_cells {
        units[1] = "rpm".to_string();
    }
    if dialect.time_unit().is_empty() {
        units[0] = "s".to_string();
    }
    let named = names.into_iter().zip(units).zip(values);
    written.columns = named.map(|((name, unit), values)| (name, unit, values)).collect();
    written
}

fn rows(
    dialect: &Dialect,
    rng: &mut Xoshiro256PlusPlus,
    written: &mut Written,
    values: &mut [Vec<f64>],
    headings: &str,
) {
    let half = dialect.rows / 2;
    for row in 0..dialect.rows {
        if dialect.blank_lines && row % 7 == 3 {
            written.text.push_str(dialect.end);
        }
        if dialect.repeated && row == half {
            written.text.push_str(headings);
            written.parts.push(row);
        }
        let mut cells = Vec::with_capacity(WIDTH);
        let (time, seconds) = dialect.time(row * 7);
        cells.push(time);
        values[0].push(seconds);
        let share = row as f64 / dialect.rows as f64;
        for (place, Channel(_, _, places, at)) in CHANNELS.iter().enumerate() {
            let noise = rng.random_range(-1.0..1.0) * 3.0 * 10_f64.powi(-(*places as i32));
            let (mut cell, mut value) = dialect.number(at(share) + noise, *places);
            if dialect.unit_in_cells && place == 0 {
                cell.push_str(" rpm");
            }
            if dialect.marks && rng.random_bool(0.05) {
                let blank = dialect.delimiter == ' ';
                cell = one_of(rng, if blank { &MARKS[1..] } else { &MARKS }).to_string();
                value = f64::NAN;
            } else if dialect.nines && place == 3 && row % 9 == 4 {
                (cell, value) = ("-9999".to_string(), f64::NAN);
            }
            cells.push(cell);
            values[place + 1].push(value);
        }
        let state = one_of(rng, &STATES);
        let state = if dialect.delimiter == ' ' { state.replace(' ', "_") } else { state.into() };
        cells.push(state.clone());
        written.states.push(Some(state));
        if dialect.ragged && row % 11 == 5 && row + 1 < dialect.rows {
            ragged(dialect, rng, written, values, &mut cells);
        }
        written.text.push_str(&dialect.line(&cells));
    }
}

/// Takes the last cells of a row away, or adds one.
fn ragged(
    dialect: &Dialect,
    rng: &mut Xoshiro256PlusPlus,
    written: &mut Written,
    values: &mut [Vec<f64>],
    cells: &mut Vec<String>,
) {
    written.warned.push(1 + written.text.matches(dialect.end).count());
    if rng.random_bool(0.5) {
        cells.push("7".to_string());
        return;
    }
    // With a delimiter at the end, one cell less is an empty last cell.
    let left = rng.random_range(WIDTH / 2 + 1..WIDTH - usize::from(dialect.trailing));
    cells.truncate(left);
    *written.states.last_mut().expect("a row was begun") = None;
    for column in values.iter_mut().skip(left) {
        *column.last_mut().expect("a row was begun") = f64::NAN;
    }
}

fn footers(dialect: &Dialect, text: &mut String) {
    text.push_str(dialect.end);
    for word in ["Min", "Max", "Average:"] {
        let mut cells = vec![word.to_string()];
        cells.extend(CHANNELS.iter().map(|channel| dialect.number(channel.3(0.5), channel.2).0));
        cells.push(if dialect.delimiter == ' ' { "-".into() } else { String::new() });
        text.push_str(&dialect.line(&cells));
    }
    let _ = write!(text, "End of log{}", dialect.end);
}
