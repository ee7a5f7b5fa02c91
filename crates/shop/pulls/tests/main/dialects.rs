//! Two thousand ways to write one pull down: all of them give the same columns.

use crate::written::{Written, written};
use encoding_rs::WINDOWS_1252;
use shortblock_pulls::{Form, Log, read};

const VARIANTS: u64 = 2000;

/// The bytes of the text in an encoding that the seed chooses, and its name.
fn encoded(text: &str, seed: u64) -> (Vec<u8>, &'static str) {
    let units = || text.encode_utf16();
    let mark = |bytes: &[u8], rest: Vec<u8>| [bytes, &rest].concat();
    match seed % 7 {
        0 | 1 => (text.as_bytes().to_vec(), "UTF-8"),
        2 => (mark(b"\xEF\xBB\xBF", text.as_bytes().to_vec()), "UTF-8"),
        3 => (WINDOWS_1252.encode(text).0.into_owned(), "windows-1252"),
        4 => (mark(b"\xFF\xFE", units().flat_map(u16::to_le_bytes).collect()), "UTF-16LE"),
        5 => (units().flat_map(u16::to_le_bytes).collect(), "UTF-16LE"),
        _ => (mark(b"\xFE\xFF", units().flat_map(u16::to_be_bytes).collect()), "UTF-16BE"),
    }
}

fn same(read: &[f64], expected: &[f64]) -> bool {
    let bits = |values: &[f64]| -> Vec<Option<u64>> {
        values.iter().map(|value| (!value.is_nan()).then_some(value.to_bits())).collect()
    };
    bits(read) == bits(expected)
}

fn differences(log: &Log, expected: &Written, encoding: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut differ = |what: &str, read: String, wanted: String| {
        if read != wanted {
            found.push(format!("{what}: read {read}, wanted {wanted}"));
        }
    };
    differ("groups", log.groups.len().to_string(), "1".into());
    let Form::Text(dialect) = &log.form else { return vec!["no text".into()] };
    differ("encoding", dialect.encoding.into(), encoding.into());
    differ("delimiter", dialect.delimiter.into(), expected.delimiter.into());
    differ("decimal", dialect.decimal.into(), expected.decimal.into());
    let group = &log.groups[0];
    let names: Vec<_> = group.columns.iter().map(|column| (&column.name, &column.unit)).collect();
    let wanted: Vec<_> = expected.columns.iter().map(|(name, unit, _)| (name, unit)).collect();
    differ("names and units", format!("{names:?}"), format!("{wanted:?}"));
    differ("parts", format!("{:?}", group.parts), format!("{:?}", expected.parts));
    differ("started", format!("{:?}", log.started), format!("{:?}", expected.started));
    for (column, (name, _, values)) in group.columns.iter().zip(&expected.columns) {
        if !same(&column.values, values) {
            differ(name, format!("{:?}", column.values), format!("{values:?}"));
        }
    }
    let words = group.words.first();
    let states: Option<Vec<Option<String>>> = words.map(|words| {
        let word = |place: &Option<u32>| place.map(|place| words.labels[place as usize].clone());
        words.rows.iter().map(word).collect()
    });
    differ("states", format!("{states:?}"), format!("{:?}", Some(&expected.states)));
    for line in &expected.warned {
        let warned = log.warnings.iter().any(|warning| warning.line == Some(*line));
        differ(&format!("warning of line {line}"), warned.to_string(), "true".into());
    }
    found
}

/// Expected values are those of the standard library for the text that was printed; quoting follows
/// RFC 4180, encodings the WHATWG standard.
#[test]
fn every_dialect_gives_the_same_columns() {
    let mut failed = 0;
    for seed in 0..VARIANTS {
        let expected = written(seed);
        let (bytes, encoding) = encoded(&expected.text, seed);
        let found = match read(&bytes) {
            Ok(log) => differences(&log, &expected, encoding),
            Err(error) => vec![error.to_string()],
        };
        if !found.is_empty() {
            failed += 1;
            if failed <= 3 {
                println!(
                    "seed {seed}: {}\n{}",
                    found.join("\n"),
                    expected.text.replace('\r', "\\r\n")
                );
            }
        }
    }
    assert_eq!(failed, 0, "of {VARIANTS} variants, seeds from 0");
}
