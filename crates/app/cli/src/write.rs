//! Writing a file whole or not at all.

use crate::failure::Failure;
use crate::files::disk;
use std::fs::{self, File};
use std::io::Write;
use std::path::Path;

/// Writes `text` to `path` through a file beside it that takes its place when it is complete: a
/// reader, or a cut of power, finds the old text or the new one.
pub fn whole(path: &Path, text: &str) -> Result<(), Failure> {
    let shown = path.display().to_string();
    // A link stays a link: what it leads to is replaced.
    let target = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let name = target.file_name().map(|name| name.to_string_lossy().into_owned());
    let name = name.ok_or_else(|| Failure::NotUnderstood(format!("{shown} names no file")))?;
    let beside = target.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let written = write_to(&beside, text, &target).and_then(|()| fs::rename(&beside, &target));
    written.map_err(|error| {
        // The failure that is told is the first one.
        let _ = fs::remove_file(&beside);
        match error.kind() {
            std::io::ErrorKind::NotFound => {
                Failure::NotFound(format!("{shown} can't be written: there is no such folder"))
            }
            _ => disk(&shown, &error),
        }
    })
}

fn write_to(beside: &Path, text: &str, target: &Path) -> std::io::Result<()> {
    let mut file = File::create(beside)?;
    if let Ok(old) = fs::metadata(target) {
        file.set_permissions(old.permissions())?;
    }
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// Finds out before long work whether a file can be written at all.
pub fn may_be_written(path: &Path) -> Result<(), Failure> {
    let shown = path.display();
    if path.is_dir() {
        let hint = format!("hint: name a file in it, such as {}", path.join("curve.svg").display());
        return Err(Failure::NotUnderstood(format!("{shown} is a folder\n{hint}")));
    }
    let folder = path.parent().filter(|parent| !parent.as_os_str().is_empty());
    match folder.filter(|folder| !folder.is_dir()) {
        Some(folder) => {
            let folder = folder.display();
            Err(Failure::NotFound(format!("there is no folder {folder} to write {shown} to")))
        }
        None => Ok(()),
    }
}
