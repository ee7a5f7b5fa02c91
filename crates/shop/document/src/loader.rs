//! Where texts come from: the reader itself opens no file.

use std::collections::BTreeMap;

/// Gives texts by relative path; the command line reads files, tests hold them in memory.
pub trait Loader {
    /// The text at `path`, or `None` when there is none. Invalid UTF-8 is to be handed over with
    /// replacement characters: the checker then points at them.
    fn text(&self, path: &str) -> Option<String>;

    /// Names in the folder `path`, for "there is b6, b7, b8"; may be empty.
    fn names(&self, path: &str) -> Vec<String>;
}

/// Texts held in memory.
#[derive(Debug, Clone, Default)]
pub struct Memory(BTreeMap<String, String>);

impl Memory {
    /// A loader that knows one text.
    #[must_use]
    pub fn with(mut self, path: &str, text: &str) -> Self {
        self.0.insert(path.to_owned(), text.to_owned());
        self
    }
}

impl Loader for Memory {
    fn text(&self, path: &str) -> Option<String> {
        self.0.get(path).cloned()
    }

    fn names(&self, path: &str) -> Vec<String> {
        let prefix = if path.is_empty() { String::new() } else { format!("{path}/") };
        let inside = self.0.keys().filter_map(|name| name.strip_prefix(prefix.as_str()));
        inside.filter(|name| !name.contains('/')).map(str::to_owned).collect()
    }
}

/// The folder a path lies in, empty for none.
pub fn folder(path: &str) -> &str {
    path.rsplit_once('/').map_or("", |(folder, _)| folder)
}

/// `folder/name` with `.` and `..` taken out as far as they can be.
pub fn join(folder: &str, name: &str) -> String {
    let mut parts: Vec<&str> = Vec::new();
    let rooted = folder.starts_with('/');
    for part in folder.split('/').chain(name.split('/')).filter(|p| !p.is_empty() && *p != ".") {
        let above = parts.last().is_none_or(|last| *last == "..");
        if part == ".." && !above {
            parts.pop();
        } else if part != ".." || !rooted {
            parts.push(part);
        }
    }
    let joined = parts.join("/");
    if rooted { format!("/{joined}") } else { joined }
}

/// Whether a name in a file may be followed: no way out of the shop, nothing odd.
pub fn is_plain(name: &str) -> bool {
    let plain = |c: char| c.is_alphanumeric() || "-_. /+".contains(c);
    !name.is_empty()
        && name.len() <= 200
        && !name.starts_with('/')
        && name.chars().all(plain)
        && name.split('/').all(|part| !part.is_empty() && part != "." && part != "..")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_joined_without_detours() {
        assert_eq!(join("114", "../shelf/cams/I-18.toml"), "shelf/cams/I-18.toml");
        assert_eq!(join("", "a.toml"), "a.toml");
        assert_eq!(join("../x", "../../b"), "../../b");
        assert_eq!(join("/srv/shop", "../../../etc"), "/etc");
    }

    #[test]
    fn names_that_lead_out_of_the_shop_are_not_followed() {
        for name in ["../secret", "/etc/passwd", "a//b", "", "a/../b", "c:\\x"] {
            assert!(!is_plain(name), "{name}");
        }
        assert!(is_plain("heads/F-27"));
    }
}
