//! How results are said: units, marks, colour, JSON or CSV, from the options and the surroundings.

use crate::args::Manner as Options;
use crate::failure::Failure;
use crate::text::{ascii, wrapped};
use shortblock_units::{
    NumberStyle, Origin, Quantity, Unit, UnitChoice, format_apart, format_styled,
};
use std::io::{IsTerminal, Write};

/// What form the result has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// For people.
    Text,
    /// One JSON object.
    Json,
    /// Comma separated values.
    Csv,
}

/// How a command says its results.
#[derive(Debug, Clone)]
pub struct Manner {
    /// Form of the result.
    pub form: Form,
    /// Units that were asked for; [`Manner::unit`] fills in the rest.
    pub units: UnitChoice,
    /// ASCII only.
    pub plain: bool,
    /// Whether standard output takes colour.
    pub colour: bool,
    /// No talk.
    pub quiet: bool,
    /// Whether standard error is a terminal, so that a line may be written over.
    pub live: bool,
}

impl Manner {
    /// From the options and what is around.
    pub fn of(options: &Options) -> Result<Self, Failure> {
        let terminal = std::io::stdout().is_terminal();
        let variable = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
        let dumb = variable("TERM").is_some_and(|term| matches!(term.as_str(), "dumb" | "linux"));
        let plain = options.plain || (terminal && (dumb || !locale_is_utf8(variable)));
        let form = match (options.json, options.csv) {
            (true, _) => Form::Json,
            (_, true) => Form::Csv,
            _ => Form::Text,
        };
        let colour = terminal && !plain && form == Form::Text && variable("NO_COLOR").is_none();
        Ok(Self {
            form,
            units: units(options.units.as_deref())?,
            plain,
            colour,
            quiet: options.quiet,
            live: std::io::stderr().is_terminal() && !options.quiet,
        })
    }

    /// The unit in which a quantity is shown.
    pub fn unit(&self, quantity: Quantity) -> &'static Unit {
        self.units.unit_for(quantity)
    }

    /// A value in SI with its ± as people read it.
    pub fn value(&self, si: f64, plus_minus: Option<f64>, quantity: Quantity) -> String {
        format_styled(si, plus_minus, self.units.unit_for_value(quantity, si), &self.style())
    }

    /// A value without ± as set on a page: thousands apart, three figures.
    pub fn shown(&self, si: f64, quantity: Quantity) -> String {
        // A no-break space looks like a blank and counts as none in a search.
        let unit = self.units.unit_for_value(quantity, si);
        let text = format_styled(si, None, unit, &NumberStyle::COMMA_POINT);
        text.replace('\u{a0}', " ")
    }

    /// A value and its limit as on a page, with as many figures as tell them apart.
    pub fn shown_apart(&self, si: f64, limit: f64, quantity: Quantity) -> (String, String) {
        let unit = self.units.unit_for_value(quantity, limit);
        let (value, limit) = format_apart(si, limit, unit, &NumberStyle::COMMA_POINT);
        (value.replace('\u{a0}', " "), limit.replace('\u{a0}', " "))
    }

    /// How numbers are set.
    pub fn style(&self) -> NumberStyle {
        if self.plain { NumberStyle::PLAIN } else { NumberStyle::FILE }
    }

    /// The symbol of a unit as set here.
    pub fn symbol(&self, unit: &Unit) -> String {
        if self.plain { unit.symbol.to_owned() } else { unit.pretty() }
    }

    /// The mark of an origin; one character either way.
    pub fn mark(&self, origin: Origin) -> char {
        if self.plain { origin.plain_mark() } else { origin.mark() }
    }

    /// Text in the characters that are allowed here.
    pub fn text(&self, text: &str) -> String {
        if self.plain { ascii(text) } else { text.to_owned() }
    }

    /// Text in the characters that are allowed here, broken before the edge.
    pub fn wrapped(&self, text: &str, indent: usize) -> String {
        wrapped(&self.text(text), indent)
    }

    /// A heading: bold, broken before the edge.
    pub fn heading(&self, text: &str) -> String {
        self.wrapped(text, 0).lines().map(|line| self.strong(line) + "\n").collect()
    }

    /// Bold, on a terminal that takes it.
    pub fn strong(&self, text: &str) -> String {
        self.painted(text, "1")
    }

    /// The colour of something to look at; the word stands beside it always.
    pub fn alarming(&self, text: &str) -> String {
        self.painted(text, "1;33")
    }

    fn painted(&self, text: &str, code: &str) -> String {
        if self.colour { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
    }

    /// Talk: to standard error, unless only results are wanted.
    pub fn say(&self, text: &str) {
        if !self.quiet {
            let lines = self.wrapped(text, 0);
            // Nobody is left to tell when standard error is closed.
            let _ = std::io::stderr().write_all(lines.as_bytes());
        }
    }
}

fn units(list: Option<&str>) -> Result<UnitChoice, Failure> {
    // The usual pair of the trade's dynamometer sheets: metric throughout, power in hp.
    let usual = UnitChoice::default().with("hp").unwrap_or_default();
    match list {
        None => Ok(usual),
        Some(list) => usual.with(list).map_err(|error| {
            let hint = "hint: units of your choice, parted by commas: --units \"kW, N.m\"; \
                        shortblock units lists them";
            Failure::NotUnderstood(format!("--units \"{list}\": {}\n{hint}", error.what()))
        }),
    }
}

/// Whether the locale says UTF-8. Where nothing is set it is taken for granted.
fn locale_is_utf8(variable: impl Fn(&str) -> Option<String>) -> bool {
    let set = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(variable);
    set.is_none_or(|locale| {
        let locale = locale.to_lowercase();
        locale.contains("utf-8") || locale.contains("utf8")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_locale_variable_decides() {
        let with = |pairs: &'static [(&str, &str)]| {
            move |name: &str| {
                pairs.iter().find(|(n, _)| *n == name).map(|(_, value)| (*value).to_owned())
            }
        };
        assert!(locale_is_utf8(with(&[])));
        assert!(locale_is_utf8(with(&[("LANG", "de_DE.UTF-8")])));
        assert!(!locale_is_utf8(with(&[("LC_ALL", "C"), ("LANG", "de_DE.UTF-8")])));
    }
}
