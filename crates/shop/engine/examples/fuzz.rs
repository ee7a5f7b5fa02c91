//! Damaged engine files and texts of units for as long as wanted: each is read or refused with a
//! remedy, never a panic, and soon.
//!
//! `cargo run --release -p shortblock-engine --example fuzz [N] [SEED]`: 100000 cases from seed 1
//! when not said. A case that fails is printed with its seed; exit code 1. One case alone is
//! `fuzz 1 SEED`.

#[path = "../tests/main/survive.rs"]
mod survive;

use shortblock_engine::{Memory, load};
use shortblock_units::{Quantity, parse, parse_each, units_of};
use std::panic::catch_unwind;
use std::time::Instant;
use survive::{survive, survive_change};

/// Files that are damaged.
const FILES: [&str; 8] = [
    include_str!("../../../../demo/114/b1.toml"),
    include_str!("../../../../demo/114/engine.toml"),
    include_str!("../../../../demo/126/b1.toml"),
    include_str!("../../../../demo/126/engine.toml"),
    include_str!("../../../../demo/201/b1.toml"),
    include_str!("../../../../validation/engines/v8-pushrod-7.0-2006.toml"),
    include_str!("../../../../validation/engines/motorcycle-four-0.74-1969.toml"),
    include_str!("../../../../validation/engines/industrial-single-0.39.toml"),
];
/// Pieces that break grammars.
const PIECES: [&str; 48] = [
    "\"",
    "'",
    "[",
    "]",
    "[[",
    "{",
    "}",
    "=",
    ",",
    ".",
    "\n",
    "#",
    " = ",
    "\"\"\"",
    "\\u0000",
    "\u{0}",
    "\u{feff}",
    "±",
    "+-",
    "-",
    "−",
    "1e400",
    "1e-400",
    "nan",
    "inf",
    "-0",
    "0",
    "999999999999999999999",
    "0x1F",
    "1_000",
    "2026-01-01",
    "true",
    " at ",
    " deg",
    " mm",
    " in",
    " cfm at 28 inH2O",
    " BTDC",
    " ± 5 %",
    "each",
    "use",
    "based_on",
    "without",
    "not measured",
    "not applicable",
    "🏁",
    "٣",
    "columns",
];
/// A case takes some milliseconds; one that takes longer than this is a hang, seconds.
const PATIENCE: f64 = 5.0;

/// SplitMix64 (Steele, Lea & Flood 2014; constants from memory).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, count: usize) -> usize {
        (self.next() % count.max(1) as u64) as usize
    }

    fn one<'a, T: ?Sized>(&mut self, of: &[&'a T]) -> &'a T {
        of[self.below(of.len())]
    }
}

fn main() {
    let numbers: Vec<u64> = std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let said = |i: usize, other: u64| numbers.get(i).copied().unwrap_or(other);
    let (count, first) = (said(0, 100_000), said(1, 1));
    let start = Instant::now();
    let (mut bad, mut slowest) = (0, (0.0, 0));
    for seed in first..first + count {
        let mut chance = Chance(seed.wrapping_mul(0x2545_F491_4F6C_DD1D));
        let case = case(&mut chance);
        let start = Instant::now();
        let panicked = catch_unwind(|| case.run()).is_err();
        let took = start.elapsed().as_secs_f64();
        if took > slowest.0 {
            slowest = (took, seed);
        }
        if panicked || took > PATIENCE {
            bad += 1;
            let what = if panicked { "panic" } else { "hang" };
            println!("seed {seed}: {what}, {took:.1} s\n{case:#?}");
        }
    }
    println!(
        "{count} cases from seed {first} in {:.0} s, {bad} failed; slowest {:.3} s (seed {})",
        start.elapsed().as_secs_f64(),
        slowest.0,
        slowest.1
    );
    std::process::exit(i32::from(bad > 0));
}

/// One thing to survive.
#[derive(Debug)]
enum Case {
    /// An engine file.
    File(String),
    /// A value typed anew: file, path, text.
    Change(&'static str, String, String),
    /// A text of a unit.
    Unit(String, Quantity),
}

impl Case {
    fn run(&self) {
        match self {
            Case::File(text) => survive(text),
            Case::Change(file, path, text) => {
                if let Ok(build) = load("a", &Memory::default().with("a", file)).build {
                    survive_change(file, &build, path, text);
                }
            }
            Case::Unit(text, quantity) => survive_unit(text, *quantity),
        }
    }
}

fn case(chance: &mut Chance) -> Case {
    match chance.below(4) {
        0 => Case::Unit(measure(chance), Quantity::ALL[chance.below(Quantity::ALL.len())]),
        1 => {
            // The road four and the industrial single stand alone.
            let file = [FILES[4], FILES[7]][chance.below(2)];
            let path = path_in(chance, file);
            Case::Change(file, path, measure(chance))
        }
        _ => Case::File(damaged(chance)),
    }
}

/// A file with some cuts, pieces, moved lines and changed numbers.
fn damaged(chance: &mut Chance) -> String {
    let mut text = chance.one(&FILES).to_owned();
    for _ in 0..=chance.below(4) {
        let lines: Vec<&str> = text.lines().collect();
        let line = chance.below(lines.len());
        text = match chance.below(6) {
            0 => without(&lines, line),
            1 => {
                let other = chance.one(&FILES);
                let other: Vec<&str> = other.lines().collect();
                let put = other[chance.below(other.len())];
                let (above, below) = lines.split_at(line);
                [above, &[put], below].concat().join("\n")
            }
            2 => numbers_changed(chance, &text),
            _ => spliced(chance, &text),
        };
    }
    text
}

fn without(lines: &[&str], line: usize) -> String {
    let kept = lines.iter().enumerate().filter(|(i, _)| *i != line);
    kept.map(|(_, line)| *line).collect::<Vec<&str>>().join("\n")
}

/// A number of the text replaced by another.
fn numbers_changed(chance: &mut Chance, text: &str) -> String {
    let starts: Vec<usize> = text
        .char_indices()
        .filter(|(i, c)| c.is_ascii_digit() && !text[..*i].ends_with(|c: char| c.is_ascii_digit()))
        .map(|(i, _)| i)
        .collect();
    let Some(&from) = starts.get(chance.below(starts.len())) else { return text.to_owned() };
    let number = |c: char| c.is_ascii_digit() || c == '.';
    let to = text[from..].find(|c: char| !number(c)).map_or(text.len(), |i| from + i);
    format!("{}{}{}", &text[..from], number_text(chance), &text[to..])
}

fn number_text(chance: &mut Chance) -> String {
    match chance.below(4) {
        0 => f64::from_bits(chance.next()).to_string(),
        1 => format!("{:e}", f64::from_bits(chance.next())),
        2 => chance.below(100_000).to_string(),
        _ => format!("-{}.{}", chance.below(1000), chance.below(1000)),
    }
}

/// Some characters replaced by a piece.
fn spliced(chance: &mut Chance, text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let from = chance.below(chars.len() + 1);
    let to = (from + chance.below(12)).min(chars.len());
    let piece = chance.one(&PIECES);
    chars[..from].iter().copied().chain(piece.chars()).chain(chars[to..].iter().copied()).collect()
}

/// A word of the file, as a path, sometimes damaged.
fn path_in(chance: &mut Chance, file: &str) -> String {
    let paths = [
        "bottom_end.bore",
        "layout.firing_order",
        "layout.cylinders",
        "intake.flow",
        "intake.cam.duration",
        "intake.cam.opens",
        "exhaust.primary.length",
        "exhaust.primary.steps",
        "exhaust.kind",
        "intake.carburettor.rating",
        "fuel.kind",
        "fuel.blend",
        "spark.advance",
        "fuel.lambda",
        "chamber.compression_ratio",
        "goal.power",
        "exhaust.silencer.back_pressure",
        "intake.plenum.halves",
        "tested_as.accessories",
        "cam.lobe_separation",
    ];
    let path = chance.one(&paths);
    match chance.below(5) {
        0 => spliced(chance, path),
        1 => {
            let words: Vec<&str> = file.split_whitespace().collect();
            words[chance.below(words.len())].to_owned()
        }
        _ => path.to_owned(),
    }
}

/// A text that is a measure or nearly one.
fn measure(chance: &mut Chance) -> String {
    let mut text = number_text(chance);
    for _ in 0..chance.below(6) {
        let quantity = Quantity::ALL[chance.below(Quantity::ALL.len())];
        let units = units_of(quantity);
        match chance.below(4) {
            0 => text += units[chance.below(units.len())].symbol,
            1 => text += &number_text(chance),
            2 => text.push(' '),
            _ => text += chance.one(&PIECES),
        }
    }
    text
}

/// A text is read as a number, or refused with its place and a remedy.
fn survive_unit(text: &str, quantity: Quantity) {
    match parse(text, quantity) {
        Ok(measure) => {
            assert!(measure.si.is_finite() && measure.plus_minus.is_none_or(f64::is_finite));
        }
        Err(error) => {
            assert!(text.get(error.range()).is_some() && !error.hint().is_empty(), "{error:?}");
        }
    }
    if let Err(error) = parse_each(text, quantity) {
        assert!(text.get(error.range()).is_some() && !error.hint().is_empty(), "{error:?}");
    }
}
