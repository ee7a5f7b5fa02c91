//! The texts that were read, and places in them.

use std::ops::Range;

/// One text that was read, under the name the loader knows it by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Path as given to the loader, for example `114/b6.toml`.
    pub name: String,
    /// The whole text.
    pub text: String,
}

/// A stretch of one source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Index into [`Sources`].
    pub source: usize,
    /// Byte range in the text.
    pub span: Range<usize>,
}

/// Line and column of a place, for people: both count from 1, columns count characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters (not bytes), from 1.
    pub column: usize,
}

/// All texts of one reading.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sources(Vec<Source>);

impl Sources {
    /// Adds a text and returns its index.
    pub fn add(&mut self, name: &str, text: &str) -> usize {
        self.0.push(Source { name: name.to_owned(), text: text.to_owned() });
        self.0.len() - 1
    }

    /// The source at `index`, or `None`.
    #[must_use]
    pub fn get(&self, index: usize) -> Option<&Source> {
        self.0.get(index)
    }

    /// All sources in the order they were read.
    pub fn iter(&self) -> impl Iterator<Item = &Source> {
        self.0.iter()
    }

    /// Line and column where `place` begins; 1, 1 when the place is not in any source.
    #[must_use]
    pub fn position(&self, place: &Place) -> Position {
        let Some(source) = self.get(place.source) else { return Position { line: 1, column: 1 } };
        let before = up_to(&source.text, place.span.start);
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        Position {
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
        }
    }

    /// The whole line in which `place` begins, and how many characters of it the place covers.
    #[must_use]
    pub fn line(&self, place: &Place) -> (&str, usize) {
        let Some(source) = self.get(place.source) else { return ("", 0) };
        let start = up_to(&source.text, place.span.start).len();
        let from = source.text[..start].rfind('\n').map_or(0, |at| at + 1);
        let to = source.text[start..].find('\n').map_or(source.text.len(), |at| start + at);
        let end = up_to(&source.text, place.span.end).len().clamp(start, to);
        (source.text[from..to].trim_end_matches('\r'), source.text[start..end].chars().count())
    }
}

/// The text before byte `at`, moved back to a character boundary.
fn up_to(text: &str, at: usize) -> &str {
    let mut end = at.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    &text[..end]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_not_bytes() {
        let mut sources = Sources::default();
        sources.add("a.toml", "x = 1\nµ±° = 2\n");
        let place = Place { source: 0, span: 13..14 };
        assert_eq!(sources.position(&place), Position { line: 2, column: 5 });
    }

    #[test]
    fn a_place_outside_the_text_is_survived() {
        let mut sources = Sources::default();
        sources.add("a.toml", "µ");
        let place = Place { source: 0, span: 1..900 };
        assert_eq!(sources.position(&place).line, 1);
        assert_eq!(sources.line(&place).0, "µ");
        assert_eq!(sources.position(&Place { source: 7, span: 0..1 }).column, 1);
    }
}
