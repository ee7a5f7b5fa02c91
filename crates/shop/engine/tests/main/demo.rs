//! The demo builds load, and say what they should.

use crate::shop::Folder;
use shortblock_engine::{Build, load};

/// Loads a demo build; faults are printed as a person would see them.
pub fn demo(entry: &str) -> Box<Build> {
    let loaded = load(entry, &Folder::demo());
    match loaded.build {
        Ok(build) => build,
        Err(faults) => panic!("{entry}:\n{}", faults.render()),
    }
}

#[test]
fn every_demo_build_loads_without_a_doubt() {
    for entry in ["114/b1.toml", "114/b2.toml", "114/b3.toml", "126/b1.toml", "201/b1.toml"] {
        let build = demo(entry);
        let open: Vec<_> = build.doubts.iter().filter(|d| d.silenced.is_none()).collect();
        assert!(open.is_empty(), "{entry}: {open:#?}");
    }
}
