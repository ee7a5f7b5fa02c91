//! `docs/architecture.md` names every crate with the crates it uses, no crate that is not there, and
//! for each invariant a test that exists; `docs/symbols.md` names no Rust word that is not in the code.

use crate::cargo::Package;
use crate::rust_text::code;
use crate::tree::Tree;
use std::collections::BTreeSet;

const PAGE: &str = "docs/architecture.md";
const SYMBOLS: &str = "docs/symbols.md";
const LONGEST: usize = 300;

/// Faults between the pages and the code.
pub fn faults(tree: &Tree, packages: &[Package]) -> Vec<String> {
    let Some(page) = tree.get(PAGE) else { return vec![format!("{PAGE}: is missing")] };
    let mut faults = [crates(page, packages), edges(page, packages)].concat();
    if page.lines().count() > LONGEST {
        faults.push(format!("{PAGE}: is longer than {LONGEST} lines"));
    }
    let words = words(tree);
    for (line, name) in table_words(page, "invariant", 2) {
        if !words.contains(name) && tree.get(name).is_none() {
            faults.push(format!("{PAGE}:{line}: there is no test or file {name}"));
        }
    }
    for (line, name) in table_words(tree.get(SYMBOLS).unwrap_or_default(), "term", 3) {
        if !words.contains(name) {
            faults.push(format!("{SYMBOLS}:{line}: {name} is not a word of the code"));
        }
    }
    faults
}

fn crates(page: &str, packages: &[Package]) -> Vec<String> {
    let there: Vec<&str> =
        packages.iter().filter_map(|p| p.folder.strip_prefix("crates/")).collect();
    let mut faults = Vec::new();
    for folder in &there {
        if !page.contains(&format!("- **`{folder}`**")) {
            faults.push(format!("{PAGE}: has no paragraph that starts with - **`{folder}`**"));
        }
    }
    for (n, line) in page.lines().enumerate() {
        let named = line.strip_prefix("- **`").and_then(|rest| rest.split('`').next());
        if let Some(folder) = named.filter(|folder| !there.contains(folder)) {
            faults.push(format!("{PAGE}:{}: there is no crate {folder}", n + 1));
        }
    }
    faults
}

/// Crates whose paragraph does not say what cargo says they use.
fn edges(page: &str, packages: &[Package]) -> Vec<String> {
    let mut faults = Vec::new();
    for package in packages {
        let Some(folder) = package.folder.strip_prefix("crates/") else { continue };
        let start = format!("- **`{folder}`**");
        let Some((_, rest)) = page.split_once(&start) else { continue };
        let paragraph = rest.split("\n\n").next().unwrap_or_default();
        let paragraph = paragraph.split("\n- ").next().unwrap_or_default();
        let said = paragraph.rsplit_once("Uses").map_or("", |(_, uses)| uses);
        let said: BTreeSet<&str> = said.split('`').skip(1).step_by(2).collect();
        let needed = package.dependencies.iter().filter(|d| !d.dev);
        let needed: BTreeSet<&str> =
            needed.filter_map(|d| d.name.strip_prefix("shortblock-")).collect();
        if said != needed {
            faults.push(format!("{PAGE}: {folder} uses {needed:?}, the page says {said:?}"));
        }
    }
    faults
}

/// Words in backquotes in column `column` of the table whose first heading is `heading`.
fn table_words<'a>(page: &'a str, heading: &str, column: usize) -> Vec<(usize, &'a str)> {
    let mut inside = false;
    let mut words = Vec::new();
    for (n, line) in page.lines().enumerate() {
        let cells: Vec<&str> = line.trim().trim_matches('|').split('|').map(str::trim).collect();
        if !line.starts_with('|') {
            inside = false;
        } else if cells[0] == heading {
            inside = true;
        } else if inside && let Some(cell) = cells.get(column) {
            words.extend(cell.split('`').skip(1).step_by(2).map(|word| (n + 1, word)));
        }
    }
    words
}

/// Every word of all Rust code, tests included, comments and literals left out.
fn words(tree: &Tree) -> BTreeSet<String> {
    let rust = tree.files().filter(|(path, _)| path.ends_with(".rs"));
    rust.flat_map(|(_, text)| {
        let code = code(text);
        let split = code.split(|c: char| !(c.is_alphanumeric() || c == '_'));
        split.filter(|w| !w.is_empty()).map(str::to_string).collect::<Vec<_>>()
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cargo::Dependency;

    const GOOD: &str = "- **`physics/gas`** gas of `a kind`. Uses\n  `lanes`.\n\n| invariant | how | test |\n|---|---|---|\n\
                        | pure | words | `a_test`, `scripts/test` |\n";
    const TERMS: &str = "| term | symbol | unit | Rust name |\n|---|---|---|---|\n\
                         | torque | M | N·m | `brake_torque` |\n";

    fn count(page: &str, terms: &str) -> Vec<String> {
        let needs = |name: &str, dev| Dependency { name: name.to_string(), dev };
        let gas = Package {
            folder: "crates/physics/gas".to_string(),
            dependencies: vec![
                needs("shortblock-lanes", false),
                needs("shortblock-units", true),
                needs("thiserror", false),
            ],
            ..Package::default()
        };
        let code = "fn a_test() {}\nfn brake_torque() {} // fn in_a_comment()\n";
        let tree = [(PAGE, page), (SYMBOLS, terms), ("a.rs", code), ("scripts/test", "")];
        faults(&Tree::planted(&tree), &[gas])
    }

    #[test]
    fn true_pages_are_in_order() {
        assert_eq!(count(GOOD, TERMS), [""; 0]);
    }

    #[test]
    fn each_untrue_page_is_found() {
        for (page, terms) in [
            (GOOD.replace("physics/gas", "physics/fluid"), TERMS.to_string()),
            (GOOD.replace("`lanes`", "`lanes`, `units`"), TERMS.to_string()),
            (GOOD.replace("`lanes`", "nothing"), TERMS.to_string()),
            (GOOD.replace("a_test", "in_a_comment"), TERMS.to_string()),
            (GOOD.replace("scripts/test", "scripts/gone"), TERMS.to_string()),
            (GOOD.to_string(), TERMS.replace("brake_torque", "torque_out")),
            (GOOD.to_string() + &"\n".repeat(LONGEST), TERMS.to_string()),
        ] {
            assert!(!count(&page, &terms).is_empty(), "{page}{terms}");
        }
    }
}
