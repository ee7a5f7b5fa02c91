//! What must hold whatever stands in a file.

use shortblock_engine::{Build, Memory, edit, load};

/// Loads a text as a build, as what a build stands on, as a shelf part and as a table, and renders
/// whatever is said. Every fault has a remedy, every line fits, every number is one.
pub fn survive(text: &str) {
    let shop = Memory::default()
        .with("9/b1.toml", text)
        .with("9/b2.toml", "format = 1\nbased_on = \"b1\"\n[intake.cam]\nuse = \"cams/C\"\n")
        .with("shelf/cams/C.toml", text)
        .with("9/F.csv", text);
    for entry in ["9/b1.toml", "9/b2.toml"] {
        match load(entry, &shop).build {
            Err(faults) => {
                assert!(!faults.faults.is_empty());
                for fault in &faults.faults {
                    let told = !fault.remedy.is_empty() || !fault.mark.is_empty();
                    assert!(told, "no remedy: {}", fault.what);
                }
                for line in faults.render().lines() {
                    assert!(line.chars().count() <= 100, "{line}");
                }
            }
            Ok(build) => sound(&build),
        }
    }
}

/// A build of numbers; moving any of them gives another, or faults.
fn sound(build: &Build) {
    for (path, value) in build.values() {
        assert!(value.si.is_finite() && value.plus_minus.is_finite(), "{path}");
    }
    assert!(build.layout.firing_angle_deg.iter().all(|a| (0.0..720.0).contains(a)));
    assert!(build.chamber.compression_ratio.si > 1.0);
}

/// Types a text as a new value of each path and writes it into the file.
pub fn survive_change(file: &str, build: &Build, path: &str, text: &str) {
    if let Ok(changed) = build.with(path, text) {
        sound(&changed);
    }
    if let Ok(edited) = edit(file, path, text) {
        survive(&edited);
    }
}
