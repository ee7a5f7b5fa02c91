//! Headings into names and units.

use super::report::Report;
use shortblock_units::{Quantity, unit};
use std::collections::{HashMap, HashSet};

/// What a column is called and what it is in, as written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Heading {
    /// Without the unit.
    pub name: String,
    /// Empty where none is written.
    pub unit: String,
    /// True where the name was made from the place.
    pub unnamed: bool,
}

/// Endings behind an underscore or comma that are read as part of the name: inlet, least, bank A.
const NO_UNIT: [&str; 12] = ["in", "min", "a", "b", "g", "h", "l", "m", "t", "p", "d", "cycle"];
/// What stands in rows of units without being one of an engine's quantities.
const OTHER_UNITS: [&str; 24] = [
    "u/min",
    "tr/min",
    "giri/min",
    "mkp",
    "mkg",
    "hh:mm:ss",
    "hh:mm:ss.fff",
    "mm:ss",
    "-",
    "1",
    "[]",
    "v",
    "mv",
    "a",
    "ma",
    "°",
    "deg",
    "lambda",
    "afr",
    "count",
    "counts",
    "hz",
    "degbtdc",
    "°btdc",
];

/// Longest spelling of a unit that is looked for, in bytes; asking for one is not cheap.
const LONGEST_UNIT: usize = 16;

/// True for a unit that the trade knows.
pub fn is_unit(text: &str) -> bool {
    let text = text.trim();
    (1..=LONGEST_UNIT).contains(&text.len())
        && !text.contains(['[', '(', '<'])
        && Quantity::ALL.into_iter().any(|quantity| unit(quantity, text).is_some())
}

/// True for what may stand in a row of units.
pub fn fits_unit_row(cell: &str) -> bool {
    let inner = bare_unit(cell);
    is_unit(inner) || OTHER_UNITS.contains(&inner.to_lowercase().as_str()) || inner != cell.trim()
}

/// A unit without the brackets around it.
pub fn bare_unit(cell: &str) -> &str {
    let cell = cell.trim();
    for (open, close) in [('[', ']'), ('(', ')'), ('<', '>'), ('{', '}')] {
        if let Some(inner) = cell.strip_prefix(open).and_then(|rest| rest.strip_suffix(close)) {
            return inner.trim();
        }
    }
    cell
}

/// Splits a heading: `Torque [Nm]`, `Torque (Nm)`, `Torque / Nm`, `Torque, Nm`, `Torque_Nm`. Round
/// brackets, strokes, commas and underscores part a unit only where one that is known follows.
pub fn split(text: &str) -> Heading {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (open, close) in [('[', ']'), ('(', ')'), ('<', '>')] {
        let Some((name, unit)) = bracketed(&text, open, close) else { continue };
        let numbered = unit.bytes().all(|byte| byte.is_ascii_digit()) && unit != "1";
        if !name.is_empty() && !numbered && (open == '[' || fits_unit_row(unit)) {
            return Heading { name, unit: unit.to_string(), unnamed: false };
        }
    }
    behind_sign(&text).unwrap_or(Heading { name: text, ..Heading::default() })
}

/// The text around the last brackets, and what stands in them.
fn bracketed(text: &str, open: char, close: char) -> Option<(String, &str)> {
    let from = text.rfind(open)?;
    let (before, rest) = text.split_at_checked(from)?;
    let (unit, after) = rest.strip_prefix(open)?.split_once(close)?;
    let name = format!("{} {}", before.trim(), after.trim()).trim().to_string();
    Some((name, unit.trim()))
}

/// A unit behind the first comma, stroke or underscore from which the rest is one.
fn behind_sign(text: &str) -> Option<Heading> {
    text.match_indices([',', '/', '_']).find_map(|(at, sign)| {
        let (name, rest) = text.split_at_checked(at)?;
        let unit = rest.strip_prefix(sign)?.trim();
        let part_of_name = NO_UNIT.contains(&unit.to_lowercase().as_str())
            || unit.bytes().all(|byte| byte.is_ascii_digit());
        // "kg/h" is one unit and "A/F" one word: a stroke parts only where blanks or a whole
        // name stand before it, and nothing parts within brackets.
        let begins = text.rfind(' ').map_or(0, |at| at + 1);
        let last = text.get(begins..).unwrap_or(text);
        let word = name.rsplit(' ').next().unwrap_or_default();
        let joined = sign == "/" && (begins < at && is_unit(last) || word.chars().count() == 1);
        let within = name.rfind('(') > name.rfind(')');
        let whole = !joined && !within;
        (!name.trim().is_empty() && !part_of_name && whole && is_unit(unit)).then(|| Heading {
            name: name.trim().to_string(),
            unit: unit.to_string(),
            unnamed: false,
        })
    })
}

/// Names every column and makes the names different; warns of each that was there before.
pub fn make_unique(headings: &mut [Heading], line: Option<usize>, report: &mut Report) {
    for (place, heading) in headings.iter_mut().enumerate() {
        if heading.name.is_empty() {
            heading.name = format!("column {}", place + 1);
            heading.unnamed = true;
        }
    }
    let mut names = Names::of(headings.iter().map(|heading| heading.name.as_str()));
    for heading in headings {
        if let Some(name) = names.another(&heading.name) {
            let text = format!("has the heading of another column; it is named \"{name}\"");
            report.warn("columns with the same heading", line, Some(&heading.name), text);
            heading.name = name;
        }
    }
}

/// Names of columns that are to be different.
pub struct Names {
    taken: HashSet<String>,
    counts: HashMap<String, usize>,
}

impl Names {
    /// Every name as written.
    pub fn of<'a>(names: impl Iterator<Item = &'a str>) -> Self {
        Self { taken: names.map(str::to_string).collect(), counts: HashMap::new() }
    }

    /// Another name where this one was asked for before: with a number behind it.
    pub fn another(&mut self, name: &str) -> Option<String> {
        let count = self.counts.entry(name.to_string()).or_default();
        *count += 1;
        if *count == 1 {
            return None;
        }
        loop {
            let numbered = format!("{name} ({count})");
            if self.taken.insert(numbered.clone()) {
                return Some(numbered);
            }
            *count += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, name: &str, unit: &str) {
        let found = split(text);
        assert_eq!((&*found.name, &*found.unit), (name, unit), "{text}");
    }

    #[test]
    fn units_are_parted_from_headings() {
        check("Torque [Nm]", "Torque", "Nm");
        check("Torque (lb ft)", "Torque", "lb ft");
        check("Torque, Nm", "Torque", "Nm");
        check("Torque_Nm", "Torque", "Nm");
        check("Torque / Nm", "Torque", "Nm");
        check("Torque_lb_ft", "Torque", "lb_ft");
        check("Fuel (kg/h)", "Fuel", "kg/h");
        check("Régime (tr/min)", "Régime", "tr/min");
        check("Drehzahl (U/min)", "Drehzahl", "U/min");
        check("Torque/Nm", "Torque", "Nm");
        check("Fuel (bank 1) / kg/h", "Fuel (bank 1)", "kg/h");
        check("Knock [my own]", "Knock", "my own");
        check("Oil\ntemperature [°C]", "Oil temperature", "°C");
    }

    #[test]
    fn endings_that_are_part_of_the_name_stay() {
        for name in [
            "coolant_temp_in",
            "Lambda (bank 1)",
            "EGT [2]",
            "Speed_min",
            "lambda_1",
            "rpm",
            "A/F",
            "Left A/F",
            "FUEL LB/HR",
            "Speed (x/min)",
            "U/min",
        ] {
            check(name, name, "");
        }
    }

    #[test]
    fn names_become_different() {
        let mut headings: Vec<_> = ["a", "a (2)", "a", ""].map(split).into();
        let mut report = Report::default();
        make_unique(&mut headings, Some(1), &mut report);
        let names: Vec<_> = headings.iter().map(|heading| heading.name.as_str()).collect();
        assert_eq!(names, ["a", "a (2)", "a (3)", "column 4"]);
        assert_eq!(report.finish().1.len(), 1);
    }
}
