//! What a prediction was worked out with, so that it can be worked out again.

use crate::ask::{Ask, Conditions};
use crate::closures::Closures;
use shortblock_cycle::Precision;
use shortblock_engine::{Build, Item, Leaf, Table, Value};
use std::collections::BTreeMap;

/// Provenance of a prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Version of the program.
    pub version: &'static str,
    /// Vector instructions: `baseline`, `avx2`, `avx512`. Results are bit-identical within one.
    pub level: &'static str,
    /// Width of the numbers, bits.
    pub precision: u32,
    /// Hash of every resolved value that acts on the curve, of the air asked for and of the factors on closures: 32
    /// hexadecimal digits, the same on every machine.
    pub fingerprint: String,
    /// Seed of the samples.
    pub seed: u64,
    /// Wanted cell length in fresh charge, m.
    pub cold_cells: f64,
    /// Wanted cell length in exhaust gas, m.
    pub hot_cells: f64,
    /// Number of cells of all ducts.
    pub cells: usize,
}

impl Record {
    pub(crate) fn of(build: &Build, ask: &Ask, cells: usize) -> Self {
        let (length, settings) = (ask.quality.cells(), ask.of_curve());
        Self {
            version: env!("CARGO_PKG_VERSION"),
            level: settings.level.name(),
            precision: if settings.precision == Precision::F64 { 64 } else { 32 },
            fingerprint: fingerprint(build, ask.conditions.as_ref(), &ask.factors()),
            seed: ask.seed,
            cold_cells: length.cold,
            hot_cells: length.hot,
            cells,
        }
    }
}

/// FNV-1a, 128 bits (Fowler, Noll & Vo; constants from memory): short, and the same everywhere.
#[derive(Clone)]
struct Fnv(u128);

impl Fnv {
    fn new() -> Self {
        Self(0x6c62_272e_07bb_0142_62b8_2175_6295_c58d)
    }

    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 ^= u128::from(*byte);
            self.0 = self.0.wrapping_mul(0x0000_0000_0100_0000_0000_0000_0000_013B);
        }
    }

    /// A text with its length before it, so that two texts in a row have one reading.
    fn text(&mut self, text: &str) {
        self.bytes(&(text.len() as u64).to_le_bytes());
        self.bytes(text.as_bytes());
    }

    fn number(&mut self, number: f64) {
        // Adding 0 makes -0 and 0 alike.
        self.bytes(&(number + 0.0).to_bits().to_le_bytes());
    }
}

/// A text as 64 bits, the same everywhere.
pub(crate) fn hash_text(text: &str) -> u64 {
    let mut hash = Fnv::new();
    hash.bytes(text.as_bytes());
    (hash.0 >> 64) as u64 ^ hash.0 as u64
}

/// Tables that say what is wanted or what was measured, not what the engine is.
const NOT_OF_THE_CURVE: [&str; 4] = ["goal.", "limits.", "rating", "measured"];

/// Hash of each item that acts on the curve, by path. Words without a table say which build it is.
fn hashes(build: &Build) -> BTreeMap<&str, u128> {
    let acts = |path: &str| {
        path.contains('.') && !NOT_OF_THE_CURVE.iter().any(|table| path.starts_with(table))
    };
    let items = build.items().filter(|(path, _)| acts(path));
    items.map(|(path, item)| (path, hash_item(item))).collect()
}

fn fingerprint(build: &Build, air: Option<&Conditions>, closures: &Closures) -> String {
    let mut hash = Fnv::new();
    for (path, item) in hashes(build) {
        hash.text(path);
        hash.bytes(&item.to_le_bytes());
    }
    if let Some(air) = air {
        [air.temperature, air.pressure, air.humidity].into_iter().for_each(|x| hash.number(x));
    }
    let Closures { flow, burn, heat, friction } = *closures;
    [flow, burn, heat, friction].into_iter().for_each(|x| hash.number(x));
    format!("{:032x}", hash.0)
}

/// Parts in which two builds differ: tables with at least one other value.
pub(crate) fn changed_parts(a: &Build, b: &Build) -> usize {
    let (a, b) = (hashes(a), hashes(b));
    let paths: std::collections::BTreeSet<&str> = a.keys().chain(b.keys()).copied().collect();
    let changed = paths.into_iter().filter(|path| a.get(path) != b.get(path));
    let tables = changed.map(|path| path.rsplit_once('.').map_or(path, |(table, _)| table));
    tables.collect::<std::collections::BTreeSet<&str>>().len()
}

fn hash_item(item: &Item) -> u128 {
    let mut hash = Fnv::new();
    leaf(&mut hash, &item.leaf);
    hash.0
}

/// What a leaf says, not how it was typed.
fn leaf(hash: &mut Fnv, said: &Leaf) {
    match said {
        Leaf::Value(x) => value(hash, x),
        Leaf::Word(word) => hash.text(word),
        Leaf::Words(words) => words.iter().for_each(|word| hash.text(word)),
        Leaf::Flag(flag) => hash.text(if *flag { "yes" } else { "no" }),
        Leaf::Count(count) => hash.number(*count as f64),
        Leaf::Cylinders(list) => list.iter().for_each(|n| hash.number(*n as f64)),
        Leaf::Groups(groups) => {
            for group in groups {
                hash.number(group.len() as f64);
                group.iter().for_each(|n| hash.number(*n as f64));
            }
        }
        Leaf::Table(x) => table(hash, x),
        Leaf::Durations(list) => {
            for duration in list {
                value(hash, &duration.angle);
                hash.number(duration.at.lift);
                hash.text(&format!("{:?}", duration.at.basis));
            }
        }
        Leaf::Event(x, from, at) => {
            value(hash, x);
            hash.number(at.lift);
            hash.text(&format!("{from:?} {:?}", at.basis));
        }
        Leaf::FlowAtDrop(x, y) | Leaf::DropAtFlow(x, y) => {
            value(hash, x);
            value(hash, y);
        }
        Leaf::Wish(wish) => value(hash, &wish.value),
        Leaf::Blend(parts) => {
            for (name, share) in parts {
                hash.text(name);
                value(hash, share);
            }
        }
        Leaf::Entries(entries) => {
            for (key, item) in entries.iter().flatten() {
                hash.text(key);
                leaf(hash, &item.leaf);
            }
        }
        Leaf::NotApplicable => hash.text("not applicable"),
        Leaf::NotMeasured => hash.text("not measured"),
    }
}

fn value(hash: &mut Fnv, value: &Value) {
    hash.number(value.si);
    hash.number(value.each.len() as f64);
    value.each.iter().for_each(|x| hash.number(*x));
    hash.number(value.plus_minus);
}

fn table(hash: &mut Fnv, table: &Table) {
    for (name, column) in &table.columns {
        hash.text(name);
        column.iter().for_each(|x| hash.number(*x));
    }
    for (key, item) in &table.beside {
        hash.text(key);
        leaf(hash, &item.leaf);
    }
    value(hash, &table.scale);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests_support::four;

    #[test]
    fn hash_gives_its_published_values() {
        // FNV-1a 128 of "" and "a" (authors' test vectors, from memory).
        let mut hash = Fnv::new();
        assert_eq!(format!("{:032x}", hash.0), "6c62272e07bb014262b821756295c58d");
        hash.bytes(b"a");
        assert_eq!(format!("{:032x}", hash.0), "d228cb696f1a8caf78912b704e4a8964");
    }

    #[test]
    fn units_as_typed_do_not_count_values_do() {
        let build = four();
        let same = build.with("intake.runner.length", "250 mm").unwrap();
        let also = build.with("intake.runner.length", "25 cm").unwrap();
        let other = build.with("intake.runner.length", "251 mm").unwrap();
        let print = |b: &Build| fingerprint(b, None, &Closures::ONE);
        assert_ne!(print(&same), print(&other));
        // Half the last place typed differs: ±0.5 mm and ±5 mm are not the same knowledge.
        assert_ne!(print(&same), print(&also));
        let exact = build.with("intake.runner.length", "25.0 cm").unwrap();
        let milli = build.with("intake.runner.length", "250 mm").unwrap();
        assert_eq!(changed_parts(&exact, &milli), 0);
        assert_eq!(changed_parts(&same, &other), 1);
    }

    #[test]
    fn a_goal_is_no_part_of_the_engine() {
        let build = four();
        let other = build.with("goal.power", "250 hp").unwrap();
        assert_eq!(
            fingerprint(&build, None, &Closures::ONE),
            fingerprint(&other, None, &Closures::ONE)
        );
    }
}
