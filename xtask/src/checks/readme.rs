//! The engine file in the README is the text of one that the tests predict.

use crate::tree::Tree;

const README: &str = "README.md";
const ENGINE: &str = "demo/201/b1.toml";

/// A fault when the README shows another engine file than the demo's, or none.
pub fn faults(tree: &Tree) -> Vec<String> {
    let (page, engine) = (tree.get(README).unwrap_or_default(), tree.get(ENGINE));
    match (shown(page), engine) {
        (Some(shown), Some(engine)) if shown == engine => Vec::new(),
        (None, _) => vec![format!("{README}: shows no engine file in a block marked toml")],
        _ => vec![format!("{README}: its engine file is not the text of {ENGINE}; copy it in")],
    }
}

/// The text of the first block marked `toml`.
fn shown(page: &str) -> Option<&str> {
    let rest = page.split_once("\n```toml\n")?.1;
    rest.find("\n```\n").map(|end| &rest[..end + 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(page: &str, engine: &str) -> usize {
        faults(&Tree::planted(&[(README, page), (ENGINE, engine)])).len()
    }

    #[test]
    fn another_engine_file_in_the_readme_is_a_fault() {
        let page =
            "# Us\n\n```sh\ncheck\n```\n\n```toml\nformat = 1\nbore = \"86 mm\"\n```\nmore\n";
        assert_eq!(count(page, "format = 1\nbore = \"86 mm\"\n"), 0);
        assert_eq!(count(page, "format = 1\nbore = \"87 mm\"\n"), 1);
        assert_eq!(count(&page.replace("toml", "text"), "format = 1\nbore = \"86 mm\"\n"), 1);
        assert_eq!(faults(&Tree::planted(&[(README, page)])).len(), 1);
    }
}
