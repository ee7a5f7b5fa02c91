//! Faults (can't be used) and doubts (can be right but rarely is), and how they are printed.

use crate::source::{Place, Sources};
use std::borrow::Cow;

/// What, where, remedy: the same three parts for a fault and a doubt.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Finding {
    /// What is the matter, one line.
    pub what: String,
    /// Path of the value it is about, for example `exhaust.primary.length`; empty when none.
    pub path: String,
    /// Where it stands; `None` when nothing in a file can be pointed at.
    pub place: Option<Place>,
    /// Short words beside the caret line.
    pub mark: String,
    /// What to do about it; may be empty when `mark` says it.
    pub remedy: String,
}

impl Finding {
    /// A finding with its `what` and nothing else.
    #[must_use]
    pub fn new(what: impl Into<String>) -> Self {
        Self { what: what.into(), ..Self::default() }
    }

    /// The same finding at a place.
    #[must_use]
    pub fn at(mut self, place: &Place) -> Self {
        self.place = Some(place.clone());
        self
    }

    /// The same finding about the value at `path`.
    #[must_use]
    pub fn about(mut self, path: &str) -> Self {
        path.clone_into(&mut self.path);
        self
    }

    /// The same finding with words beside the caret line.
    #[must_use]
    pub fn mark(mut self, mark: impl Into<String>) -> Self {
        self.mark = mark.into();
        self
    }

    /// The same finding with a remedy.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }
}

/// A doubt; `silenced` holds the reason from `doubt_ok` when the writer gave one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// What, where, remedy.
    pub finding: Finding,
    /// The writer's reason, when the doubt was silenced; printed on sheets.
    pub silenced: Option<String>,
}

/// Why a file can't be used: every fault that was found, with the texts they stand in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.render())]
pub struct Faults {
    /// The faults in the order of their place.
    pub faults: Vec<Finding>,
    /// The texts that were read.
    pub sources: Sources,
}

impl Faults {
    /// Faults without a text to point at.
    #[must_use]
    pub fn without_source(faults: Vec<Finding>) -> Self {
        Self { faults, sources: Sources::default() }
    }

    /// All faults as people read them: number, place, line, caret, remedy.
    #[must_use]
    pub fn render(&self) -> String {
        render(&self.faults, &self.sources)
    }
}

/// Findings as people read them, numbered from 1. The file is named where it is not the first.
#[must_use]
pub fn render(findings: &[Finding], sources: &Sources) -> String {
    let blocks = findings.iter().enumerate().map(|(i, f)| render_one(i + 1, f, sources));
    blocks.collect::<Vec<_>>().join("\n")
}

/// Findings by source and place; those without a place last.
#[must_use]
pub fn in_order(mut findings: Vec<Finding>) -> Vec<Finding> {
    let key = |f: &Finding| {
        f.place.as_ref().map_or((usize::MAX, usize::MAX), |p| (p.source, p.span.start))
    };
    findings.sort_by_key(key);
    findings.dedup();
    findings
}

/// The widest line that is shown whole; longer ones are cut around the place.
const WIDEST: usize = 66;

/// The widest line of all: a plain terminal.
const COLUMNS: usize = 80;

fn render_one(number: usize, finding: &Finding, sources: &Sources) -> String {
    let head = format!("{}{}", heading(finding, sources), finding.what);
    let mut out = wrapped(&format!("{number:<2} "), &head);
    let mut below = finding.mark.clone();
    if let Some(place) = &finding.place {
        let position = sources.position(place);
        let (line, width) = sources.line(place);
        let (line, column) = window(&line.replace('\t', " "), position.column - 1);
        let width = width.clamp(1, line.chars().count().saturating_sub(column).max(1));
        out += &format!("{:>6} │ {line}\n", position.line);
        let caret = format!("{:6} │ {}{}", "", " ".repeat(column), "^".repeat(width));
        let whole = format!("{caret} {}", finding.mark);
        if whole.chars().count() <= COLUMNS {
            out += whole.trim_end_matches(' ');
            below.clear();
        } else {
            out += &caret;
        }
        out.push('\n');
    }
    for text in [below, finding.remedy.clone()].iter().filter(|text| !text.is_empty()) {
        out += &wrapped("   ", text);
    }
    out
}

/// The text broken at blanks; `first` stands before the first line, three blanks before the others.
fn wrapped(first: &str, text: &str) -> String {
    let mut out = first.to_owned();
    let mut width = first.chars().count();
    for (i, word) in text.split(' ').map(shortened).enumerate() {
        let long = word.chars().count();
        if i > 0 && width + 1 + long > COLUMNS {
            out = out.trim_end_matches(' ').to_owned() + "\n   ";
            width = 3;
        } else if i > 0 {
            out.push(' ');
            width += 1;
        }
        out += &word;
        width += long;
    }
    out + "\n"
}

/// A word that no line holds, such as a number of 400 figures, without its middle.
fn shortened(word: &str) -> Cow<'_, str> {
    let letters: Vec<char> = word.chars().collect();
    if letters.len() <= WIDEST {
        return Cow::Borrowed(word);
    }
    let (head, tail) = (&letters[..WIDEST / 2], &letters[letters.len() - WIDEST / 4..]);
    Cow::Owned(head.iter().chain(&['…']).chain(tail).collect())
}

fn heading(finding: &Finding, sources: &Sources) -> String {
    let Some(place) = &finding.place else { return String::new() };
    let line = sources.position(place).line;
    match sources.get(place.source) {
        Some(source) if place.source > 0 => format!("{} line {line}: ", source.name),
        _ => format!("line {line}: "),
    }
}

/// A long line cut so that the column stays in view; returns the text and the column in it.
fn window(line: &str, column: usize) -> (String, usize) {
    let length = line.chars().count();
    if length <= WIDEST {
        return (line.to_owned(), column);
    }
    let from = column.saturating_sub(20).min(length - WIDEST);
    let cut: String = line.chars().skip(from).take(WIDEST).collect();
    (cut, column - from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caret_stands_under_the_value() {
        let mut sources = Sources::default();
        sources.add("b9.toml", "format = 1\ntrumpet_length = 50\n");
        let fault = Finding::new("trumpet length has no unit")
            .at(&Place { source: 0, span: 28..30 })
            .mark("needs a unit")
            .remedy("Write \"50 mm\" or the like, in quotes.");
        let text = render(&[fault], &sources);
        assert_eq!(
            text,
            "1  line 2: trumpet length has no unit\n     2 │ trumpet_length = 50\n       │ \
             \u{20}                ^^ needs a unit\n   Write \"50 mm\" or the like, in quotes.\n"
        );
    }

    #[test]
    fn a_very_long_line_is_cut_around_the_place() {
        let (text, column) = window(&"x".repeat(500), 300);
        assert_eq!((text.chars().count(), column), (WIDEST, 20));
    }
}
