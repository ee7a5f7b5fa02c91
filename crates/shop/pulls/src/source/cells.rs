//! Lines into cells: delimiters, quotes, line ends.

use memchr::{memchr, memchr2};
use std::borrow::Cow;

/// Longest quoted cell, in bytes: a quote that is not closed within it is a plain character, so
/// that a stray one does not swallow the file.
const LONGEST_QUOTED: usize = 2000;

/// What stands between cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Delimiter {
    /// One character.
    Sign(u8),
    /// Any run of spaces and tabs.
    Run,
}

impl Delimiter {
    /// The character by which the delimiter is named.
    pub fn sign(self) -> char {
        match self {
            Self::Sign(sign) => char::from(sign),
            Self::Run => ' ',
        }
    }

    /// True where this byte ends a cell.
    #[inline(always)]
    fn ends(self, byte: u8) -> bool {
        match self {
            Self::Sign(sign) => byte == sign,
            Self::Run => byte == b' ' || byte == b'\t',
        }
    }

    /// True for bytes around a cell that are no part of it.
    fn pads(self, byte: u8) -> bool {
        byte == b' ' || byte == b'\t' && !self.ends(byte)
    }
}

/// One cell and where it ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece<'a> {
    /// What stands in it, without quotes and the spaces around.
    pub text: Cow<'a, str>,
    /// Place of the delimiter or line end behind it, or the length of the file.
    pub end: usize,
}

/// Returns the place of the line end at or after `at`, or the length of the text.
pub fn line_end(text: &str, at: usize) -> usize {
    let rest = text.as_bytes().get(at..).unwrap_or_default();
    memchr2(b'\n', b'\r', rest).map_or(text.len(), |found| at + found)
}

/// Returns the place behind the line end at `end`.
#[inline]
pub fn next_line(text: &str, end: usize) -> usize {
    match (text.as_bytes().get(end), text.as_bytes().get(end + 1)) {
        (Some(b'\r'), Some(b'\n')) => end + 2,
        (Some(_), _) => end + 1,
        (None, _) => text.len(),
    }
}

/// True where a line ends at `at`.
#[inline(always)]
pub fn at_line_end(bytes: &[u8], at: usize) -> bool {
    matches!(bytes.get(at), None | Some(b'\n' | b'\r'))
}

/// Returns the cell that begins at `at`.
pub fn piece(text: &str, at: usize, delimiter: Delimiter) -> Piece<'_> {
    let bytes = text.as_bytes();
    let padding = |from: usize| {
        bytes.get(from..).unwrap_or_default().iter().take_while(|b| delimiter.pads(**b)).count()
    };
    let start = if delimiter == Delimiter::Run { at } else { at + padding(at) };
    if bytes.get(start) == Some(&b'"')
        && let Some((quoted, close)) = quoted(text, start)
    {
        let end = if delimiter == Delimiter::Run { close } else { close + padding(close) };
        if at_line_end(bytes, end) || bytes.get(end).is_some_and(|byte| delimiter.ends(*byte)) {
            return Piece { text: quoted, end };
        }
    }
    let stop = |byte: &u8| delimiter.ends(*byte) || matches!(byte, b'\n' | b'\r');
    let rest = bytes.get(start..).unwrap_or_default();
    let end = rest.iter().position(stop).map_or(text.len(), |found| start + found);
    Piece { text: Cow::Borrowed(text.get(start..end).unwrap_or_default().trim()), end }
}

/// Returns what stands between the quote at `open` and the one that closes it, and the place behind
/// that. Two quotes in a row are one (RFC 4180, section 2, rule 7).
fn quoted(text: &str, open: usize) -> Option<(Cow<'_, str>, usize)> {
    let bytes = text.as_bytes();
    let limit = bytes.len().min(open + LONGEST_QUOTED);
    let mut at = open + 1;
    loop {
        at += memchr(b'"', bytes.get(at..limit)?)?;
        if bytes.get(at + 1) != Some(&b'"') {
            break;
        }
        at += 2;
    }
    let inner = text.get(open + 1..at)?;
    let inner = if inner.contains("\"\"") {
        Cow::Owned(inner.replace("\"\"", "\"").trim().to_string())
    } else {
        Cow::Borrowed(inner.trim())
    };
    Some((inner, at + 1))
}

/// One line cut into its cells.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Record<'a> {
    /// The cells.
    pub cells: Vec<Cow<'a, str>>,
    /// Where the line begins.
    pub start: usize,
    /// Where it ends, before the line end.
    pub end: usize,
}

impl Record<'_> {
    /// Number of cells that are not empty.
    pub fn filled(&self) -> usize {
        self.cells.iter().filter(|cell| !cell.is_empty()).count()
    }

    /// True where nothing stands in the line.
    pub fn blank(&self) -> bool {
        self.filled() == 0
    }
}

/// Returns the line that begins at `start`, cut into cells. It goes on over line ends that stand
/// between quotes.
pub fn record(text: &str, start: usize, delimiter: Delimiter) -> Record<'_> {
    let bytes = text.as_bytes();
    let skip = |from: usize| match delimiter {
        Delimiter::Sign(_) => from,
        Delimiter::Run => {
            let rest = bytes.get(from..).unwrap_or_default();
            from + rest.iter().take_while(|byte| delimiter.ends(**byte)).count()
        }
    };
    let mut cells = Vec::new();
    let mut at = skip(start);
    loop {
        let cell = piece(text, at, delimiter);
        cells.push(cell.text);
        at = skip(cell.end);
        if at_line_end(bytes, at) {
            return Record { cells, start, end: at };
        }
        if let Delimiter::Sign(_) = delimiter {
            at += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, delimiter: Delimiter, expected: &[&str]) {
        let record = record(line, 0, delimiter);
        assert_eq!(record.cells, expected, "{line}");
    }

    /// RFC 4180, section 2: rules 4 to 7.
    #[test]
    fn quotes_follow_rfc_4180() {
        let comma = Delimiter::Sign(b',');
        check("aaa,bbb,ccc\n", comma, &["aaa", "bbb", "ccc"]);
        check("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz", comma, &["aaa", "b\r\nbb", "ccc"]);
        check("\"aaa\",\"b\"\"bb\",\"ccc\"", comma, &["aaa", "b\"bb", "ccc"]);
        check("\"a,b\",c", comma, &["a,b", "c"]);
        check("5\" pipe,\"open,c", comma, &["5\" pipe", "\"open", "c"]);
    }

    #[test]
    fn runs_of_spaces_are_one_delimiter() {
        check("  1.5   2 \t 3  \n4", Delimiter::Run, &["1.5", "2", "3"]);
        check("1;;3;\n", Delimiter::Sign(b';'), &["1", "", "3", ""]);
        check("", Delimiter::Run, &[""]);
    }
}
