//! Values whose source was not opened: each says "from memory" where it stands, and the list
//! should only get shorter.

use crate::tree::Tree;
use std::collections::BTreeMap;

/// The words, and their short form in tables of values.
const MARKS: [&str; 2] = ["from memory", "f.m."];
const FOLDERS: [&str; 4] = ["crates/", "demo/", "validation/", "benches/"];

/// File and line numbers of every mark in code and data.
pub fn from_memory(tree: &Tree) -> BTreeMap<&str, Vec<usize>> {
    let held = |path: &str| FOLDERS.iter().any(|folder| path.starts_with(folder));
    tree.files()
        .filter(|(path, _)| held(path))
        .map(|(path, text)| (path, lines_from_memory(text)))
        .filter(|(_, lines)| !lines.is_empty())
        .collect()
}

/// Lines, from 1, that hold a mark or the beginning of one broken over two lines.
pub fn lines_from_memory(text: &str) -> Vec<usize> {
    let lines: Vec<String> = text.lines().map(str::to_lowercase).collect();
    let broken = |n: usize| {
        let next = lines.get(n + 1).map(|l| l.trim_start_matches(['/', '!', '#', '*', ' ']));
        lines[n].ends_with("from") && next.is_some_and(|l| l.starts_with("memory"))
    };
    let marked = |n: &usize| MARKS.iter().any(|mark| lines[*n].contains(mark)) || broken(*n);
    (0..lines.len()).filter(marked).map(|n| n + 1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_found_in_code_and_data_but_not_in_prose() {
        let tree = Tree::planted(&[
            ("crates/physics/gas/src/a.rs", "x\n//! Source: book (From memory)\n"),
            ("validation/a.toml", "# from memory\nx = 1\nsource = \"f.m. Taylor\"\n"),
            ("docs/closures.md", "from memory"),
        ]);
        let places = from_memory(&tree);
        assert_eq!(places.len(), 2);
        assert_eq!(places["crates/physics/gas/src/a.rs"], [2]);
        assert_eq!(places["validation/a.toml"], [1, 3]);
    }

    #[test]
    fn a_mark_broken_over_two_lines_counts_once() {
        assert_eq!(lines_from_memory("//! Source: book (from\n//! memory).\nfrom\nhere"), [1]);
    }
}
