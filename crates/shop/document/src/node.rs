//! The plain tree of a file: TOML with the place of every key and value.

use std::collections::BTreeMap;

use toml_edit::{Document, Item, TableLike, Value};

use crate::fault::Finding;
use crate::source::{Place, Sources};

/// The largest text that is read: one written by hand is some kilobytes.
const LARGEST_TEXT: usize = 1 << 20;
/// The deepest nesting of tables and lists; the schema needs six.
const DEEPEST: usize = 12;

/// A key's value and where both stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Where the value stands.
    pub place: Place,
    /// Where its key stands (the value itself inside a list).
    pub key: Place,
    /// What it is.
    pub body: Body,
}

/// A value of the tree.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// A table or inline table.
    Table(BTreeMap<String, Node>),
    /// A list, or an array of tables.
    List(Vec<Node>),
    /// A text in quotes.
    Text(String),
    /// A bare number, with the text it was typed as.
    Number(f64, String),
    /// `true` or `false`.
    Flag(bool),
    /// A date or time, as typed.
    Date(String),
}

impl Node {
    /// The table inside, if it is one.
    #[must_use]
    pub fn table(&self) -> Option<&BTreeMap<String, Node>> {
        if let Body::Table(table) = &self.body { Some(table) } else { None }
    }

    /// The table inside, to change it.
    pub fn table_mut(&mut self) -> Option<&mut BTreeMap<String, Node>> {
        if let Body::Table(table) = &mut self.body { Some(table) } else { None }
    }

    /// The text inside, if it is one.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        if let Body::Text(text) = &self.body { Some(text) } else { None }
    }

    /// The node under a key of this table.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.table()?.get(key)
    }
}

impl std::fmt::Display for Node {
    /// The node as a person would read it back; long lists and tables are cut.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.body {
            Body::Text(text) | Body::Date(text) | Body::Number(_, text) => f.write_str(text),
            Body::Flag(flag) => write!(f, "{flag}"),
            Body::List(list) => {
                let inner: Vec<String> = list.iter().take(24).map(Node::to_string).collect();
                write!(f, "[{}]", inner.join(", "))
            }
            Body::Table(table) => {
                let inner = table.iter().take(12).map(|(k, v)| format!("{k} = {v}"));
                write!(f, "{{ {} }}", inner.collect::<Vec<_>>().join(", "))
            }
        }
    }
}

/// Parses one text that was added to `sources` as `source`.
///
/// # Errors
/// The fault of the TOML syntax, of the size, or of too deep nesting.
pub fn parse(sources: &Sources, source: usize) -> Result<Node, Box<Finding>> {
    let text = sources.get(source).map_or("", |s| s.text.as_str());
    let whole = Place { source, span: 0..0 };
    if text.len() > LARGEST_TEXT {
        let remedy = "A file written by hand is some kilobytes; put measured tables in a CSV file of their own.";
        return Err(Box::new(
            Finding::new("this file is larger than 1 MB").at(&whole).remedy(remedy),
        ));
    }
    let document = Document::parse(text).map_err(|error| {
        let span = error.span().unwrap_or(0..0);
        let what = in_words(error.message().lines().next().unwrap_or("not TOML"));
        let remedy = if is_date(text, span.start) {
            "A date is written  2026-05-14  without quotes: year, month, day."
        } else {
            "Text goes in quotes, one  key = value  on a line, [table] heads in brackets."
        };
        let fault = Finding::new(format!("this can't be read: {what}"));
        Box::new(fault.at(&Place { source, span }).remedy(remedy))
    })?;
    let reader = Reader { source };
    Ok(Node { place: whole.clone(), key: whole, body: reader.table(document.as_table(), 0)? })
}

/// Whether the value on the line of a place is a date in another notation: three whole numbers.
fn is_date(text: &str, at: usize) -> bool {
    let (before, after) = text.split_at_checked(at).unwrap_or((text, ""));
    let end = before.len() + after.find('\n').unwrap_or(after.len());
    let line = text.get(..end).unwrap_or_default().rsplit('\n').next().unwrap_or_default();
    let value =
        line.split('#').next().and_then(|code| code.split_once('=')).map(|(_, value)| value);
    let parts: Vec<&str> = value.unwrap_or_default().trim().split(['.', '/', '-']).collect();
    let whole = |part: &&str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    parts.len() == 3 && parts.iter().all(whole)
}

/// The parser's commonest complaints as a person would say them; others as they are.
fn in_words(complaint: &str) -> String {
    let said = match complaint {
        "duplicate key" => "this word stands here twice",
        "invalid basic string, expected `\"`" => "a text is not closed with a quote",
        "unclosed table, expected `]`" => "a [table] head is not closed",
        "unclosed array, expected `]`" => "a list is not closed with a bracket",
        other => other,
    };
    said.to_owned()
}

struct Reader {
    source: usize,
}

impl Reader {
    fn place(&self, span: Option<std::ops::Range<usize>>) -> Place {
        Place { source: self.source, span: span.unwrap_or(0..0) }
    }

    fn table(&self, table: &dyn TableLike, depth: usize) -> Result<Body, Box<Finding>> {
        let mut out = BTreeMap::new();
        for (key, item) in table.iter() {
            let key_place = self.place(table.key(key).and_then(toml_edit::Key::span));
            if item.is_none() {
                continue;
            }
            let node = self.item(item, &key_place, depth + 1)?;
            out.insert(key.to_owned(), node);
        }
        Ok(Body::Table(out))
    }

    fn item(&self, item: &Item, key: &Place, depth: usize) -> Result<Node, Box<Finding>> {
        if depth > DEEPEST {
            let fault = Finding::new("tables are nested too deep here").at(key);
            return Err(Box::new(
                fault.remedy("Six levels are the most that is needed; [exhaust.primary] is two."),
            ));
        }
        let place = item.span().map_or_else(|| key.clone(), |span| self.place(Some(span)));
        let body = match item {
            Item::None => Body::Table(BTreeMap::new()),
            Item::Table(table) => {
                // A table head is what a person can point at, not the whole stretch of the table.
                let body = self.table(table, depth)?;
                return Ok(Node { place: key.clone(), key: key.clone(), body });
            }
            Item::ArrayOfTables(list) => {
                let entries = list.iter().map(|table| {
                    let place = self.place(table.span());
                    let body = self.table(table, depth + 1)?;
                    Ok(Node { place: place.clone(), key: place, body })
                });
                Body::List(entries.collect::<Result<_, Box<Finding>>>()?)
            }
            Item::Value(value) => self.value(value, depth)?,
        };
        Ok(Node { place, key: key.clone(), body })
    }

    fn value(&self, value: &Value, depth: usize) -> Result<Body, Box<Finding>> {
        Ok(match value {
            Value::String(text) => Body::Text(text.value().clone()),
            Value::Integer(number) => {
                Body::Number(*number.value() as f64, number.display_repr().trim().to_owned())
            }
            Value::Float(number) => {
                Body::Number(*number.value(), number.display_repr().trim().to_owned())
            }
            Value::Boolean(flag) => Body::Flag(*flag.value()),
            Value::Datetime(date) => Body::Date(date.value().to_string()),
            Value::InlineTable(table) => self.table(table, depth)?,
            Value::Array(list) => {
                let entries = list.iter().map(|entry| {
                    let place = self.place(entry.span());
                    if depth > DEEPEST {
                        let fault = Finding::new("lists are nested too deep here");
                        let remedy = "A table of numbers needs two levels: [[1, 2], [3, 4]].";
                        return Err(Box::new(fault.at(&place).remedy(remedy)));
                    }
                    let body = self.value(entry, depth + 1)?;
                    Ok(Node { place: place.clone(), key: place, body })
                });
                Body::List(entries.collect::<Result<_, Box<Finding>>>()?)
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Node, Box<Finding>> {
        let mut sources = Sources::default();
        let index = sources.add("t.toml", text);
        parse(&sources, index)
    }

    #[test]
    fn keys_and_values_know_their_place() {
        let root = read("[a]\nb = \"5 mm\"\n").unwrap();
        let b = root.get("a").and_then(|a| a.get("b")).unwrap();
        assert_eq!((b.key.span.clone(), b.place.span.clone()), (4..5, 8..14));
    }

    #[test]
    fn a_date_in_another_notation_is_told_how_it_is_written() {
        for date in ["23.11.2026", "11/23/2026", "2026-5-1 # a Friday"] {
            let fault = read(&format!("format = 1\ndate = {date}\nname = \"x\"\n")).unwrap_err();
            assert!(fault.remedy.starts_with("A date is written  2026-05-14"), "{date}: {fault:?}");
        }
        let other = read("bore = 86.0 mm\n").unwrap_err();
        assert!(other.remedy.starts_with("Text goes in quotes"), "{other:?}");
    }

    #[test]
    fn endless_nesting_is_a_fault_not_a_crash() {
        assert!(read(&format!("a = {}", "[".repeat(100_000))).is_err());
        assert!(read(&format!("{}b = 1", "a.".repeat(100_000))).is_err());
        assert!(read(&format!("a = {}1{}", "[".repeat(60), "]".repeat(60))).is_err());
    }
}
