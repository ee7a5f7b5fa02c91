//! Damaged files: an error that says what to do, or the readable part; never a panic, never more
//! memory than the file's size allows.

use crate::memory::most_bytes;
use crate::written::written;
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use shortblock_pulls::{Log, read};
use std::time::Instant;

const COPIES: u64 = 3000;
/// Most memory for a text: a cell takes a byte at least and eight in its column, twice that where
/// rows have half of their cells; the rest is the text in another encoding, remarks and words.
const TEXT: (usize, usize) = (64, 1 << 20);
/// Most memory for a measurement file: what deflate expands to (1032 times, RFC 1951), as records
/// and as numbers of eight bytes each.
const MDF: (usize, usize) = (1032 * 9, 1 << 20);
/// Far more than any of the files takes.
const SECONDS: f64 = 2.0;

fn damaged(bytes: &[u8], rng: &mut Xoshiro256PlusPlus) -> Vec<u8> {
    let mut copy = bytes.to_vec();
    for _ in 0..rng.random_range(1..4) {
        let size = copy.len().max(2);
        let from = rng.random_range(0..size - 1);
        let to = (from + rng.random_range(1..64)).min(copy.len());
        match rng.random_range(0..6) {
            _ if from >= to => {}
            0 => copy.truncate(from),
            1 => copy[from..to].iter_mut().step_by(7).for_each(|byte| *byte ^= 1 << (from % 8)),
            2 => {
                let block = copy[from..to].to_vec();
                copy.splice(from..from, block);
            }
            3 => copy[from..to].iter_mut().for_each(|byte| *byte = rng.random()),
            4 => drop(copy.drain(from..to)),
            _ => copy[from..to].fill(if from % 2 == 0 { 0 } else { 0xFF }),
        }
    }
    copy
}

/// All columns of a group have as many cells, and what is said is said in words.
fn whole(log: &Log) -> bool {
    log.groups.iter().all(|group| {
        group.columns.iter().all(|column| column.values.len() == group.rows())
            && group.words.iter().all(|words| words.rows.len() == group.rows())
            && group.parts.iter().all(|row| *row < group.rows())
    }) && log.warnings.iter().all(|warning| !warning.text.is_empty())
}

/// Reads damaged copies; returns how many could be read.
fn try_all(files: &[Vec<u8>], (a_byte, always): (usize, usize)) -> usize {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(114);
    let mut good = 0;
    for copy in 0..COPIES {
        let bytes = damaged(&files[copy as usize % files.len()], &mut rng);
        let start = Instant::now();
        let (result, memory) = most_bytes(|| read(&bytes));
        let seconds = start.elapsed().as_secs_f64();
        assert!(seconds < SECONDS, "copy {copy}: {seconds} s");
        let most = a_byte * bytes.len() + always;
        assert!(memory <= most, "copy {copy}: {memory} of {most} bytes for {}", bytes.len());
        match result {
            Ok(log) => {
                assert!(whole(&log), "copy {copy}");
                good += 1;
            }
            Err(error) => assert!(error.to_string().len() > 40, "copy {copy}: {error}"),
        }
    }
    good
}

#[test]
fn damaged_texts_are_read_or_refused() {
    let files: Vec<_> = (0..20).map(|seed| written(seed).text.into_bytes()).collect();
    let good = try_all(&files, TEXT);
    assert!(good > COPIES as usize / 2, "{good} of {COPIES}");
}

#[test]
fn damaged_measurement_files_are_read_or_refused() {
    let files = [
        include_bytes!("../data/plain.mf4").to_vec(),
        include_bytes!("../data/transposed.mf4").to_vec(),
    ];
    let good = try_all(&files, MDF);
    assert!(good > 0 && good < COPIES as usize, "{good} of {COPIES}");
}

/// A log that was cut anywhere gives the rows before the cut as they were; only the last cell of a
/// whole last row can be cut unseen.
#[test]
fn a_cut_log_gives_what_stood_before_the_cut() {
    let text = written(6).text;
    let all = read(text.as_bytes()).expect("a log");
    for end in (text.len() / 3..text.len()).step_by(7).filter(|end| text.is_char_boundary(*end)) {
        let Ok(cut) = read(&text.as_bytes()[..end]) else { continue };
        let (all, cut) = (&all.groups[0], &cut.groups[0]);
        let last = cut.columns.len() - 1;
        for (place, column) in cut.columns.iter().enumerate() {
            for (row, value) in column.values.iter().enumerate() {
                let open = row + 1 == cut.rows() && place == last;
                let same = *value == all.columns[place].values[row];
                assert!(same || value.is_nan() || open, "cut at {end}: row {row}, {}", column.name);
            }
        }
    }
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..2000)) {
        let (result, memory) = most_bytes(|| read(&bytes));
        prop_assert!(memory <= TEXT.0 * bytes.len() + TEXT.1);
        if let Ok(log) = result {
            prop_assert!(whole(&log));
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in "([0-9]{0,3}[,;. \t\"\r\n:|a-c%°#-]{1,3}){0,200}") {
        let (result, memory) = most_bytes(|| read(text.as_bytes()));
        prop_assert!(memory <= TEXT.0 * text.len() + TEXT.1);
        if let Ok(log) = result {
            prop_assert!(whole(&log));
        }
    }

    #[test]
    fn any_bytes_behind_a_signature_are_read_or_refused(
        bytes in prop::collection::vec(any::<u8>(), 0..600),
    ) {
        let bytes = [b"MDF     4.10    ".as_slice(), &bytes].concat();
        let (result, memory) = most_bytes(|| read(&bytes));
        prop_assert!(memory <= MDF.0 * bytes.len() + MDF.1);
        if let Ok(log) = result {
            prop_assert!(whole(&log));
        }
    }
}
