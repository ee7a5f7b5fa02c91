//! The files in the repository.

use crate::FILES;
use std::path::{Path, PathBuf};

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

#[test]
fn the_files_in_the_repository_are_those_that_are_made() {
    for file in FILES.iter() {
        let path = demo().join(&file.path);
        let there = std::fs::read(&path).unwrap_or_default();
        let same = there == file.bytes;
        assert!(same, "{}: write it anew: cargo run -p shortblock-demo -- demo", file.path);
    }
}

#[test]
fn no_log_lies_about_that_nobody_made() {
    let made: Vec<&String> = FILES.iter().map(|file| &file.path).collect();
    for folder in ["114/s6", "114/s7", "133/s1", "loose"] {
        for entry in std::fs::read_dir(demo().join(folder)).unwrap() {
            let name = entry.unwrap().file_name();
            let path = format!("{folder}/{}", name.to_string_lossy());
            assert!(made.contains(&&path), "{path} is no file of the generator");
        }
    }
}

#[test]
fn files_are_small() {
    for file in FILES.iter() {
        assert!((200..=120_000).contains(&file.bytes.len()), "{}: {}", file.path, file.bytes.len());
    }
}
