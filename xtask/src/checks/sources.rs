//! Values whose source was not opened: each says "from memory" where it stands, and the list
//! should only get shorter.

use crate::tree::Tree;
use std::collections::BTreeMap;

const MARK: &str = "from memory";

/// File and line numbers of every mark in code and data.
pub fn from_memory(tree: &Tree) -> BTreeMap<&str, Vec<usize>> {
    let mut places = BTreeMap::new();
    for (path, text) in tree.files() {
        let held =
            ["crates/", "demo/", "validation/", "benches/"].iter().any(|f| path.starts_with(f));
        if !held {
            continue;
        }
        let lines = text.lines().enumerate().filter(|(_, l)| l.to_lowercase().contains(MARK));
        let lines: Vec<usize> = lines.map(|(n, _)| n + 1).collect();
        if !lines.is_empty() {
            places.insert(path, lines);
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_found_in_code_and_data_but_not_in_prose() {
        let tree = Tree::planted(&[
            ("crates/physics/gas/src/a.rs", "x\n//! Source: book (From memory)\n"),
            ("validation/a.toml", "# from memory\n"),
            ("docs/closures.md", "from memory"),
        ]);
        let places = from_memory(&tree);
        assert_eq!(places.len(), 2);
        assert_eq!(places["crates/physics/gas/src/a.rs"], [2]);
    }
}
