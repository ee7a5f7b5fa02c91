//! Which files the names on the command line mean.

use crate::failure::Failure;
use crate::files::disk;
use std::path::{Path, PathBuf};

/// Endings of what lies beside logs and is none.
const NO_LOGS: &[&str] =
    &["toml", "md", "svg", "png", "jpg", "jpeg", "pdf", "json", "html", "lock", "zip", "xlsx"];

/// Name as shown and place of every file that is meant.
///
/// # Errors
/// When something is not there, or a folder holds no log.
pub fn named(paths: &[String]) -> Result<Vec<(String, PathBuf)>, Failure> {
    let mut all: Vec<(String, PathBuf)> = Vec::new();
    for typed in paths {
        let path = Path::new(typed);
        if path.is_dir() {
            let found = in_folder(path)?;
            if found.is_empty() {
                return Err(Failure::NotFound(format!(
                    "there is no log in the folder {typed}\nhint: CSV, TSV and MDF 4 files are read"
                )));
            }
            all.extend(found);
        } else if path.is_file() {
            all.push((typed.clone(), path.to_owned()));
        } else {
            return Err(Failure::NotFound(format!(
                "there is no file or folder {typed}\nhint: name logs, or a folder with logs in it"
            )));
        }
    }
    tell_apart(&mut all);
    Ok(all)
}

/// Puts the folder as typed before names that several files have.
fn tell_apart(all: &mut [(String, PathBuf)]) {
    let names: Vec<String> = all.iter().map(|(name, _)| name.clone()).collect();
    for (name, path) in all {
        if names.iter().filter(|other| *other == name).count() > 1 {
            *name = path.display().to_string();
        }
    }
}

/// Logs in a folder, in the order of their names with numbers counted as numbers.
///
/// # Errors
/// When the folder can't be read.
pub fn in_folder(folder: &Path) -> Result<Vec<(String, PathBuf)>, Failure> {
    let shown = folder.display().to_string();
    let entries = std::fs::read_dir(folder).map_err(|error| disk(&shown, &error))?;
    let mut found: Vec<(String, PathBuf)> = entries
        .filter_map(Result::ok)
        .map(|entry| (entry.file_name().to_string_lossy().into_owned(), entry.path()))
        .filter(|(name, path)| path.is_file() && may_be_log(name))
        .collect();
    found.sort_by_key(|(name, _)| natural(name));
    Ok(found)
}

fn may_be_log(name: &str) -> bool {
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending).to_lowercase();
    !name.starts_with('.') && !NO_LOGS.contains(&ending.as_str())
}

/// A key by which p9 comes before p10.
fn natural(name: &str) -> Vec<(u128, String)> {
    let mut key = Vec::new();
    let mut rest = name;
    while !rest.is_empty() {
        let letters = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
        let (word, after) = rest.split_at(letters);
        let digits = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
        let (number, after) = after.split_at(digits);
        key.push((0, word.to_lowercase()));
        key.push((number.parse().unwrap_or(0), String::new()));
        rest = after;
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pulls_come_in_the_order_of_their_numbers() {
        let mut names = ["p10.csv", "p9.csv", "P1.csv", "a.csv"];
        names.sort_by_key(|name| natural(name));
        assert_eq!(names, ["a.csv", "P1.csv", "p9.csv", "p10.csv"]);
    }

    #[test]
    fn what_lies_beside_logs_is_none() {
        assert!(may_be_log("p1.csv") && may_be_log("run 3.MF4") && may_be_log("log"));
        assert!(!may_be_log("session.toml") && !may_be_log(".hidden") && !may_be_log("x.svg"));
    }
}
