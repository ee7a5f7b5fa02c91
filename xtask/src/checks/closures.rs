//! Closures (empirical relations) are one file each, listed in `docs/closures.md` with a key in
//! `docs/references.bib`; the list says honestly which sources were opened.
//!
//! A file of the physics floor stands in the list when its module docs have a line that starts
//! with `Equation` or `Source`; an equation also says its range.

use super::sources::lines_from_memory;
use crate::rust_text::module_docs;
use crate::tree::Tree;

const TABLE: &str = "docs/closures.md";
const REFERENCES: &str = "docs/references.bib";
/// Definitions of units have sources but are no relations.
const UNITS: &str = "crates/physics/units/";

/// One line of the table: closure, file, source, range, status.
struct Row<'a> {
    line: usize,
    file: &'a str,
    source: &'a str,
    status: &'a str,
}

/// Faults between the closure files, the table and the references.
pub fn faults(tree: &Tree) -> Vec<String> {
    let table = tree.get(TABLE).unwrap_or_default();
    let keys = keys(tree.get(REFERENCES).unwrap_or_default());
    let (rows, mut faults) = rows(table);
    for row in &rows {
        let at = format!("{TABLE}:{}", row.line);
        faults
            .extend(row_faults(row, tree, &keys).into_iter().map(|fault| format!("{at}: {fault}")));
    }
    for (path, text) in tree.sources(&["physics"]).filter(|(path, _)| !path.starts_with(UNITS)) {
        let says = |heading: &str| module_docs(text).any(|line| line.starts_with(heading));
        if (says("Equation") || says("Source")) && !rows.iter().any(|row| row.file == path) {
            faults.push(format!("{path}: this relation has no line in {TABLE}"));
        }
        for heading in ["Source", "Range"] {
            if says("Equation") && !says(heading) {
                faults.push(format!("{path}: its module docs have no line `{heading}: ...`"));
            }
        }
    }
    faults
}

fn row_faults(row: &Row, tree: &Tree, keys: &[&str]) -> Vec<String> {
    let mut faults = Vec::new();
    let cited: Vec<&str> =
        row.source.split('[').skip(1).filter_map(|rest| rest.split(']').next()).collect();
    if cited.is_empty() && !["exact", "own"].contains(&row.status) {
        faults.push("no [key] of a reference in its source".to_string());
    }
    for key in cited.iter().filter(|key| !keys.contains(key)) {
        faults.push(format!("{key} is not in {REFERENCES}"));
    }
    let Some(text) = tree.get(row.file) else {
        faults.push(format!("{} does not exist", row.file));
        return faults;
    };
    let remembered = !lines_from_memory(text).is_empty();
    match (row.status, remembered) {
        ("confirmed" | "own" | "exact", false) | ("from memory" | "partly from memory", true) => {}
        ("confirmed" | "own" | "exact", true) => {
            faults.push(format!("{} says \"from memory\", the table does not", row.file));
        }
        ("from memory" | "partly from memory", false) => {
            faults.push(format!("{} does not say \"from memory\", the table does", row.file));
        }
        (other, _) => faults.push(format!(
            "status \"{other}\"; one of: confirmed, own, exact, from memory, partly from memory"
        )),
    }
    faults
}

/// The rows below the heading and the rule of each table, and a fault for each misshapen one.
fn rows(table: &str) -> (Vec<Row<'_>>, Vec<String>) {
    let (mut rows, mut faults) = (Vec::new(), Vec::new());
    for (n, line) in table.lines().enumerate().filter(|(_, line)| line.starts_with('|')) {
        let cells: Vec<&str> = line.trim().trim_matches('|').split('|').map(str::trim).collect();
        match cells[..] {
            ["closure", ..] => {}
            [rule, ..] if rule.starts_with("--") => {}
            [_, file, source, _, status] => {
                rows.push(Row { line: n + 1, file: file.trim_matches('`'), source, status });
            }
            _ => faults.push(format!("{TABLE}:{}: wants five columns", n + 1)),
        }
    }
    (rows, faults)
}

fn keys(references: &str) -> Vec<&str> {
    let entry = |line: &'_ str| -> Option<(usize, usize)> {
        let open = line.starts_with('@').then(|| line.find('{'))??;
        Some((open + 1, line.find(',')?))
    };
    references.lines().filter_map(|line| entry(line).map(|(a, b)| line[a..b].trim())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = "crates/physics/gas/src/viscosity.rs";
    const GOOD: &str =
        "//! Viscosity.\n//!\n//! Equation: mu\n//! Source: A [a1] (from memory)\n//! Range: T\n";
    const HEAD: &str = "| closure | file | source | range | status |\n|---|---|---|---|---|\n";
    const BIB: &str = "@book{a1,\n  title = {A}\n}\n";

    fn count(file: &str, row: &str, bib: &str) -> Vec<String> {
        let table = format!("{HEAD}{row}");
        faults(&Tree::planted(&[(FILE, file), (TABLE, &table), (REFERENCES, bib)]))
    }

    fn row(file: &str, key: &str, status: &str) -> String {
        format!("| viscosity | `{file}` | A, eq. 1 [{key}] | 200 to 400 K | {status} |\n")
    }

    #[test]
    fn a_listed_closure_is_in_order() {
        assert_eq!(count(GOOD, &row(FILE, "a1", "from memory"), BIB), [""; 0]);
    }

    #[test]
    fn each_fault_in_the_list_is_found() {
        let good = row(FILE, "a1", "from memory");
        let elsewhere = row("crates/physics/gas/src/gone.rs", "a1", "confirmed");
        for (file, row, faults) in [
            (GOOD, String::new(), 1),
            (GOOD, row(FILE, "b2", "from memory"), 1),
            (GOOD, row(FILE, "a1", "confirmed"), 1),
            (GOOD, row(FILE, "a1", "sure"), 1),
            (GOOD, format!("{good}{elsewhere}"), 1),
            (GOOD, format!("{good}| a | b |\n"), 1),
            (&GOOD.replace("Range", "Span"), good.clone(), 1),
            (&GOOD.replace("Equation", "Idea"), String::new(), 1),
            (&GOOD.replace(" (from memory)", ""), good.clone(), 1),
            (GOOD, good.replace("[a1]", ""), 1),
            (GOOD, good.replace("[a1]", "").replace("from memory", "own"), 1),
        ] {
            let found = count(file, &row, BIB);
            assert_eq!(found.len(), faults, "{row}: {found:?}");
        }
        assert_eq!(count(GOOD, &good, "").len(), 1);
    }

    #[test]
    fn our_own_relation_needs_no_reference() {
        let own = GOOD.replace("A [a1] (from memory)", "ours");
        assert_eq!(count(&own, &row(FILE, "", "own").replace("[]", ""), BIB), [""; 0]);
        assert_eq!(count(&own, &row(FILE, "b2", "own"), BIB).len(), 1);
    }
}
