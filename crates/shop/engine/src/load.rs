//! Reading a build: files in, build or faults out.

use crate::build::Build;
use crate::item::Items;
use crate::layers::Layers;
use crate::read::Reader;
use shortblock_document::{Doubt, Faults, Finding, Loader, Sources, in_order};
use std::collections::BTreeMap;

/// What came of reading a build.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The build, or every fault that keeps it from being one.
    pub build: Result<Box<Build>, Faults>,
    /// Doubts, also when there are faults; silenced ones carry the reason.
    pub doubts: Vec<Doubt>,
    /// The texts that were read; places in faults and doubts point into them.
    pub sources: Sources,
}

/// Reads the build whose text the loader knows as `entry`, with all it is based on and uses.
///
/// Never panics, whatever the texts hold. All faults are reported at once, except that a text that
/// is not TOML shows its first fault only.
#[must_use]
pub fn load(entry: &str, loader: &dyn Loader) -> Loaded {
    let Parts { items, sources, mut faults, mut reading, doubts, parts } = read(entry, loader);
    // What could not be read as a file leaves holes in the whole: those are no further faults.
    let files_read = faults.is_empty();
    faults.append(&mut reading);
    let built = Build::from_items(items, parts, sources.clone(), doubts.clone());
    if faults.is_empty() {
        return match built {
            Ok(build) => {
                Loaded { doubts: build.doubts.clone(), build: Ok(Box::new(build)), sources }
            }
            Err(faults) => Loaded { build: Err(faults), doubts, sources },
        };
    }
    // A value that could not be read is missing from the whole: that is no second fault.
    if let (true, Err(whole)) = (files_read, built) {
        let at_fault: Vec<String> = faults.iter().map(|f| f.path.clone()).collect();
        faults.extend(whole.faults.into_iter().filter(|f| !at_fault.contains(&f.path)));
    }
    let faults = Faults { faults: in_order(faults), sources: sources.clone() };
    Loaded { build: Err(faults), doubts, sources }
}

/// What the file and all it is based on state, by path, though it need not be a whole build: an
/// `engine.toml` alone says cylinders and limits. What has faults is missing.
#[must_use]
pub fn stated(entry: &str, loader: &dyn Loader) -> Items {
    read(entry, loader).items
}

/// A file and what it is based on, before anything is assumed.
struct Parts {
    items: Items,
    sources: Sources,
    /// Faults of files, and of what stands in them.
    faults: Vec<Finding>,
    reading: Vec<Finding>,
    doubts: Vec<Doubt>,
    /// Shelf part of each table.
    parts: BTreeMap<String, String>,
}

fn read(entry: &str, loader: &dyn Loader) -> Parts {
    let mut layers = Layers::new(loader);
    let tree = layers.build(entry);
    let Layers { sources, faults, values_from, parts, .. } = layers;
    let parts = parts.into_iter().map(|(table, (name, _))| (table, name)).collect();
    let mut reader = Reader {
        sources: &sources,
        loader,
        values_from: &values_from,
        cylinders: 1,
        items: Items::new(),
        faults: Vec::new(),
        doubts: Vec::new(),
    };
    if let Some(tree) = &tree {
        reader.tree(tree);
    }
    let Reader { items, faults: reading, doubts, .. } = reader;
    Parts { items, sources, faults, reading, doubts, parts }
}
