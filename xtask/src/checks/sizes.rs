//! Files that have grown long; a note, not a fault: a long file wants a reason in its module docs.

use crate::tree::Tree;

const LONG: usize = 600;

/// One line per Rust file over [`LONG`] lines.
pub fn long_files(tree: &Tree) -> Vec<String> {
    tree.files()
        .filter(|(path, _)| path.ends_with(".rs"))
        .map(|(path, text)| (path, text.lines().count()))
        .filter(|(_, lines)| *lines > LONG)
        .map(|(path, lines)| format!("{path} has {lines} lines; does it still hold one idea?"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_long_rust_files_are_listed() {
        let long = "x\n".repeat(LONG + 1);
        let tree = Tree::planted(&[("a.rs", &long), ("b.rs", "x\n"), ("c.csv", &long)]);
        assert_eq!(long_files(&tree).len(), 1);
    }
}
