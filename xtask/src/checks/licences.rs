//! Everything that is linked is under a licence of the permissive set in `deny.toml`, the one
//! list that `cargo deny` on a connected machine reads too.

use crate::cargo::Linked;
use crate::tree::Tree;

const LIST: &str = "deny.toml";

/// The licences that `deny.toml` allows.
pub fn allowed(tree: &Tree) -> Result<Vec<String>, String> {
    let text = tree.get(LIST).unwrap_or_default();
    let list = text.split_once("allow = [").and_then(|(_, rest)| rest.split_once(']'));
    let (list, _) = list.ok_or(format!("{LIST}: has no `allow = [...]`"))?;
    Ok(list.split('"').skip(1).step_by(2).map(str::to_string).collect())
}

/// Packages whose licence expression the allowed ones do not satisfy.
pub fn faults(packages: &[Linked], allowed: &[String]) -> Vec<String> {
    let fault = |p: &Linked| {
        let expression = p.licence.as_deref().unwrap_or("none stated");
        (!satisfied(expression, allowed))
            .then(|| format!("{} {}: licence {expression}", p.name, p.version))
    };
    packages.iter().filter_map(fault).collect()
}

/// Whether an SPDX expression can be satisfied. AND binds closer than OR; a slash is the old way
/// of writing OR.
fn satisfied(expression: &str, allowed: &[String]) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    either(&words, &mut at, allowed) && at == words.len()
}

fn either(words: &[&str], at: &mut usize, allowed: &[String]) -> bool {
    let mut good = both(words, at, allowed);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        good |= both(words, at, allowed);
    }
    good
}

fn both(words: &[&str], at: &mut usize, allowed: &[String]) -> bool {
    let mut good = one(words, at, allowed);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        good &= one(words, at, allowed);
    }
    good
}

fn one(words: &[&str], at: &mut usize, allowed: &[String]) -> bool {
    let word = words.get(*at).copied().unwrap_or_default();
    *at += 1;
    if word == "(" {
        let good = either(words, at, allowed);
        *at += 1;
        return good;
    }
    // An exception only adds to what the licence allows.
    if words.get(*at) == Some(&"WITH") {
        *at += 2;
    }
    allowed.iter().any(|licence| licence == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn allow() -> Vec<String> {
        ["MIT", "Apache-2.0", "Unicode-3.0"].map(str::to_string).to_vec()
    }

    #[test]
    fn expressions_are_read_as_written() {
        for good in [
            "MIT",
            "MIT/Apache-2.0",
            "GPL-3.0 OR MIT",
            "(MIT OR GPL-3.0) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception OR Apache-2.0",
        ] {
            assert!(satisfied(good, &allow()), "{good}");
        }
        for bad in ["GPL-3.0", "MIT AND GPL-3.0", "MIT OR GPL-3.0 )", "", "(GPL-3.0 OR X) AND MIT"]
        {
            assert!(!satisfied(bad, &allow()), "{bad}");
        }
    }

    #[test]
    fn a_package_without_a_licence_is_a_fault() {
        let package = |licence: Option<&str>| Linked {
            name: "x".to_string(),
            version: "1.0.0".to_string(),
            licence: licence.map(str::to_string),
        };
        assert_eq!(faults(&[package(None), package(Some("MIT"))], &allow()).len(), 1);
    }

    #[test]
    fn the_list_is_read_from_the_file() {
        let tree = Tree::planted(&[(LIST, "[licenses]\nallow = [\n  \"MIT\",\n  \"ISC\",\n]\n")]);
        assert_eq!(allowed(&tree), Ok(vec!["MIT".to_string(), "ISC".to_string()]));
        assert!(allowed(&Tree::planted(&[])).is_err());
    }
}
