//! Nothing in the tree names a machine's folders or the host of a package registry: it builds
//! wherever it is cloned.

use crate::tree::Tree;

/// Folders of a machine, written in pieces so that this file does not hold them.
const FOLDERS: [&str; 6] = [
    concat!("/wo", "rk/"),
    concat!("/fa", "rm/"),
    concat!("/ho", "me/"),
    concat!("/ro", "ot/"),
    concat!("/Us", "ers/"),
    concat!("C:\\", "Users"),
];

/// Hosts of package registries, likewise.
const HOSTS: [&str; 5] = [
    concat!("crates", ".io"),
    concat!("pypi", ".org"),
    concat!("registry.npm", "js"),
    concat!("deb.deb", "ian.org"),
    concat!("proxy.go", "lang.org"),
];

/// Where cargo itself writes the registry's name.
const LOCK_FILE: &str = "Cargo.lock";
const LOCK_SOURCE: &str = concat!("registry+https://github.com/rust-lang/crates", ".io-index");

/// Faults in every text file.
pub fn faults(tree: &Tree) -> Vec<String> {
    let mut faults = Vec::new();
    for (path, text) in tree.files() {
        for (n, line) in text.lines().enumerate() {
            let n = n + 1;
            if FOLDERS.iter().any(|folder| stands_alone(line, folder)) {
                faults.push(format!("{path}:{n}: names a folder of one machine"));
            }
            let lock_line = path == LOCK_FILE && line == format!("source = \"{LOCK_SOURCE}\"");
            if !lock_line && HOSTS.iter().any(|host| line.contains(host)) {
                faults.push(format!("{path}:{n}: names the host of a package registry"));
            }
            if path == LOCK_FILE && line.starts_with("source = ") && !lock_line {
                faults.push(format!("{path}:{n}: a package that is not from the registry"));
            }
        }
    }
    faults
}

/// Whether `folder` starts a path in the line, instead of standing inside one such as
/// `docs/home/`.
fn stands_alone(line: &str, folder: &str) -> bool {
    line.match_indices(folder).any(|(at, _)| {
        !line[..at].ends_with(|c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '-'))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(path: &str, line: &str) -> usize {
        faults(&Tree::planted(&[(path, line)])).len()
    }

    #[test]
    fn a_folder_of_a_machine_is_a_fault_and_a_folder_of_the_tree_is_not() {
        assert_eq!(count("a.md", concat!("see /ho", "me/me/x")), 1);
        assert_eq!(count("a.md", concat!("(/wo", "rk/main)")), 1);
        assert_eq!(count("a.md", concat!("docs/wo", "rk/x and ../ho", "me/")), 0);
    }

    #[test]
    fn a_registry_host_is_a_fault_outside_the_lock_file() {
        let host = concat!("https://crates", ".io/x");
        assert_eq!(count("a.md", host), 1);
        assert_eq!(count("Cargo.lock", &format!("source = \"{LOCK_SOURCE}\"")), 0);
        assert_eq!(count("Cargo.lock", "source = \"git+https://example.test/x\""), 1);
    }
}
