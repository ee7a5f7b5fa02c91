//! Measurement files written by asammdf 8.8.28, with what asammdf reads back
//! (`scripts/cross_check_asammdf.py --fixtures`).

use shortblock_pulls::{Form, Group, Log, Words, read};

fn cells(words: &Words) -> Vec<String> {
    let label =
        |row: &Option<u32>| row.map_or("nan".into(), |label| words.labels[label as usize].clone());
    words.rows.iter().map(label).collect()
}

fn check_words(group: &Group, name: &str, expected: &str) -> bool {
    let Some(words) = group.words.iter().find(|words| words.name == name) else { return false };
    assert_eq!(cells(words).join(" "), expected, "{name}");
    true
}

fn check_numbers(group: &Group, name: &str, unit: &str, expected: &str) {
    let column = group.columns.iter().find(|column| column.name == name).expect(name);
    assert_eq!(column.unit, unit, "{name}");
    let wanted: Vec<f64> = expected.split(' ').map(|v| v.parse().expect("a number")).collect();
    assert_eq!(column.values.len(), wanted.len(), "{name}");
    for (value, wanted) in column.values.iter().zip(&wanted) {
        // Between two points of a table the order of operations is free: four units of the last place.
        let last = if name == "Oil pressure" { 4.0 * f64::EPSILON * wanted.abs() } else { 0.0 };
        let same = (value - wanted).abs() <= last || value.is_nan() && wanted.is_nan();
        assert!(same, "{name}: {value} for {wanted}");
    }
}

fn check(bytes: &[u8], expected: &str, version: &str) -> Log {
    let log = read(bytes).expect("a measurement file");
    assert_eq!(log.form, Form::Measurement(version.to_string()));
    assert_eq!(log.started.as_deref(), Some("2026-03-14T10:22:05.250+01:00"));
    assert_eq!(log.warnings, []);
    let mut columns = 0;
    for line in expected.lines() {
        let mut parts = line.split('\t');
        let (group, name) = (parts.next().expect("a group"), parts.next().expect("a name"));
        let (unit, values) = (parts.next().expect("a unit"), parts.next().expect("samples"));
        let group = &log.groups[group.parse::<usize>().expect("a number")];
        if !check_words(group, name, values) {
            check_numbers(group, name, unit, values);
        }
        columns += 1;
    }
    let found: usize = log.groups.iter().map(|group| group.columns.len() + group.words.len()).sum();
    assert_eq!(found, columns);
    log
}

#[test]
fn files_of_asammdf_read_back_equal() {
    check(include_bytes!("../data/plain.mf4"), include_str!("../data/plain.txt"), "4.10");
    let transposed = include_bytes!("../data/transposed.mf4");
    check(transposed, include_str!("../data/transposed.txt"), "4.20");
}

#[test]
fn older_and_empty_measurement_files_are_refused_with_a_remedy() {
    let text = |bytes: &[u8]| read(bytes).expect_err("no samples").to_string();
    let old = [b"MDF     3.30    ".as_slice(), &[0; 200]].concat();
    let said = text(&old);
    assert!(said.ends_with("; export it again as MDF 4, or as CSV"), "{said}");
    assert!(text(&include_bytes!("../data/plain.mf4")[..100]).starts_with("measurement file: "));
}
