//! The text files of the repository, read once.

use crate::rust_text::test_modules;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Folders that hold nothing written by hand.
const LEFT_OUT: [&str; 4] = ["target", ".git", "__pycache__", ".venv"];

/// Path with forward slashes, relative to the root, and text; in path order.
pub struct Tree(BTreeMap<String, String>);

impl Tree {
    /// Reads every UTF-8 file below `root`; other files are left out.
    pub fn read(root: &Path) -> Result<Self, String> {
        let mut files = BTreeMap::new();
        let mut waiting = vec![root.to_path_buf()];
        while let Some(folder) = waiting.pop() {
            let entries = std::fs::read_dir(&folder)
                .map_err(|e| format!("{}: cannot be listed: {e}", folder.display()))?;
            for entry in entries.flatten() {
                let (path, name) = (entry.path(), entry.file_name());
                if path.is_dir() {
                    if !LEFT_OUT.iter().any(|out| name == *out) {
                        waiting.push(path);
                    }
                } else if let (Ok(text), Ok(short)) =
                    (std::fs::read_to_string(&path), path.strip_prefix(root))
                {
                    files.insert(short.to_string_lossy().replace('\\', "/"), text);
                }
            }
        }
        Ok(Self(files))
    }

    /// All files.
    pub fn files(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(path, text)| (path.as_str(), text.as_str()))
    }

    /// Program text of the crates on the given floors (`physics`, `shop`, `app`): everything in
    /// `src` but files that hold tests only.
    pub fn sources<'a>(&'a self, floors: &'a [&str]) -> impl Iterator<Item = (&'a str, &'a str)> {
        let tests = self.test_files();
        self.files().filter(move |(path, _)| {
            let parts: Vec<&str> = path.split('/').collect();
            matches!(parts[..], ["crates", floor, _, "src", ..] if floors.contains(&floor))
                && path.ends_with(".rs")
                && !path.contains("/tests/")
                && !tests.contains(*path)
        })
    }

    /// Files of modules that are declared under `#[cfg(test)]`.
    fn test_files(&self) -> BTreeSet<String> {
        let mut found = BTreeSet::new();
        for (path, text) in self.files().filter(|(path, _)| path.ends_with(".rs")) {
            let (folder, file) = path.rsplit_once('/').unwrap_or(("", path));
            let stem = file.trim_end_matches(".rs");
            let below = match stem {
                "lib" | "main" | "mod" => folder.to_string(),
                _ => format!("{folder}/{stem}"),
            };
            for module in test_modules(text) {
                found.insert(format!("{below}/{module}.rs"));
                found.insert(format!("{below}/{module}/mod.rs"));
            }
        }
        found
    }

    /// The text of one file.
    pub fn get(&self, path: &str) -> Option<&str> {
        self.0.get(path).map(String::as_str)
    }

    /// A tree made up for a test.
    #[cfg(test)]
    pub fn planted(files: &[(&str, &str)]) -> Self {
        Self(files.iter().map(|(p, t)| (p.to_string(), t.to_string())).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_test_modules_are_no_program_text() {
        let tree = Tree::planted(&[
            ("crates/shop/plan/src/lib.rs", "mod a;\n#[cfg(test)]\nmod support;\n"),
            ("crates/shop/plan/src/a.rs", "#[cfg(test)]\npub(crate) mod near;\nmod far;\n"),
            ("crates/shop/plan/src/a/near.rs", ""),
            ("crates/shop/plan/src/a/far.rs", ""),
            ("crates/shop/plan/src/support.rs", ""),
            ("crates/shop/plan/src/tests/one.rs", ""),
            ("crates/physics/gas/src/support.rs", ""),
        ]);
        let paths: Vec<&str> = tree.sources(&["shop"]).map(|(path, _)| path).collect();
        let start = "crates/shop/plan/src";
        let wanted = ["a.rs", "a/far.rs", "lib.rs"].map(|file| format!("{start}/{file}"));
        assert_eq!(paths, wanted);
        assert_eq!(tree.sources(&["physics"]).count(), 1);
    }
}
