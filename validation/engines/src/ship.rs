//! The discrepancy that `shortblock-plan` ships: written here, read there.

use shortblock_plan::{DiscrepancyTerm, discrepancy_table};
use std::path::PathBuf;

const HEAD: &str = "# What the model has wrong with every input right, as a share of torque. Rows of `engine` are\n\
    # written by `validate` (validation/engines) with the page docs/validation.md; never type them in.\n\
    # degrees: degrees of freedom of an estimate; empty where the number stands by choice.\n\
    of,term,sd,over_rpm,degrees,source\n";

fn path() -> PathBuf {
    crate::folder().join("../../crates/shop/plan/src/discrepancy/shipped.csv")
}

fn row(term: &DiscrepancyTerm) -> String {
    let or_empty = |text: Option<String>| text.unwrap_or_default();
    format!(
        "{},{},{},{},{},\"{}\"\n",
        term.of,
        term.name,
        term.sd,
        or_empty(term.over_rpm.map(|rpm| rpm.to_string())),
        or_empty(term.degrees.map(|degrees| degrees.to_string())),
        term.source
    )
}

/// The file with these terms of an engine; terms of a change stay as they are.
fn text(engine: &[DiscrepancyTerm]) -> String {
    let change = discrepancy_table().iter().filter(|term| term.of != "engine");
    engine.iter().chain(change).fold(HEAD.to_owned(), |text, term| text + &row(term))
}

/// Writes the file; whether that changed it.
pub fn write(engine: &[DiscrepancyTerm]) -> Result<bool, String> {
    let path = path();
    let told = |e: std::io::Error| format!("{}: {e}", path.display());
    let (old, new) = (std::fs::read_to_string(&path).map_err(told)?, text(engine));
    std::fs::write(&path, &new).map_err(told)?;
    Ok(old != new)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::discrepancy;

    fn shipped() -> Vec<DiscrepancyTerm> {
        discrepancy_table().iter().filter(|term| term.of == "engine").cloned().collect()
    }

    #[test]
    fn what_is_written_is_what_is_read() {
        assert_eq!(std::fs::read_to_string(path()).unwrap(), text(&shipped()));
    }

    #[test]
    fn the_shipped_terms_are_those_of_the_page() {
        let page = crate::folder().join("../../docs/validation.md");
        let page = std::fs::read_to_string(page).unwrap();
        let below = page.split(discrepancy::HEADING).nth(1).expect("the page has the terms");
        let table: Vec<&str> = below.lines().filter(|line| line.starts_with('|')).skip(2).collect();
        let wanted: Vec<String> =
            shipped().iter().map(|term| discrepancy::row(term).trim_end().to_owned()).collect();
        assert_eq!(table.iter().take(wanted.len()).copied().collect::<Vec<_>>(), wanted);
    }
}
