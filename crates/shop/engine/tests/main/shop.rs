//! The demo shop as a loader: tests may read files, the crate may not.

use shortblock_engine::Loader;
use std::path::PathBuf;

/// Reads files below a folder.
pub struct Folder(pub PathBuf);

impl Folder {
    /// The demo shop of the repository.
    pub fn demo() -> Self {
        Self(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../demo"))
    }
}

impl Loader for Folder {
    fn text(&self, path: &str) -> Option<String> {
        let bytes = std::fs::read(self.0.join(path)).ok()?;
        Some(String::from_utf8_lossy(&bytes).into_owned())
    }

    fn names(&self, path: &str) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(self.0.join(path)) else { return Vec::new() };
        let names = entries.filter_map(|e| e.ok()?.file_name().into_string().ok());
        let mut names: Vec<String> = names.collect();
        names.sort();
        names
    }
}
