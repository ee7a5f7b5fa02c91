//! Confirmed layouts: found in `layouts.toml` of the shop's folder, and written there.

use super::Opened;
use crate::failure::Failure;
use crate::files::{disk, shop_of};
use crate::write;
use shortblock_pulls::{Layout, Log, Said};
use shortblock_session::{add_layout, load_layouts};
use std::path::{Path, PathBuf};

const FILE: &str = "layouts.toml";

/// The layouts of the shop that a log or folder lies in; none where there is no file.
///
/// # Errors
/// When the file is there and can't be used.
pub fn known(path: &Path, shop: Option<&Path>) -> Result<Vec<Layout>, Failure> {
    let file = shop_of(path, shop)?.join(FILE);
    let Ok(text) = std::fs::read_to_string(&file) else { return Ok(Vec::new()) };
    load_layouts(&text)
        .map_err(|error| Failure::NoEngineFile(format!("{}: {error}", file.display())))
}

/// What is said of a log's columns: by the person now, else by the layout that fits it.
pub fn said_of(log: &Log, said: &[Said], layouts: &[Layout]) -> Vec<Said> {
    let mut all = said.to_vec();
    let fitting = layouts.iter().find(|layout| layout.fits(log));
    let confirmed = fitting.into_iter().flat_map(|layout| &layout.said);
    all.extend(confirmed.filter(|c| !said.iter().any(|s| s.heading == c.heading)).cloned());
    all
}

/// Writes the layouts of logs down as they were recognised; says where.
///
/// # Errors
/// When the file can't be read or written.
pub fn remember(opened: &[&Opened], path: &Path, shop: Option<&Path>) -> Result<PathBuf, Failure> {
    let file = shop_of(path, shop)?.join(FILE);
    let mut text = match std::fs::read_to_string(&file) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => String::new(),
        Err(error) => return Err(disk(&file.display().to_string(), &error)),
    };
    for one in opened {
        let layout = Layout::confirmed(&one.log, &one.recognition.matches);
        text = add_layout(&text, &layout)
            .map_err(|error| Failure::NoEngineFile(format!("{}: {error}", file.display())))?;
    }
    write::whole(&file, &text)?;
    Ok(file)
}
