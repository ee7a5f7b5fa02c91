//! What `shortblock-plan` ships of the published engines: written here, read there.

use crate::fit::{NAMES, PRIOR_SD, Posterior, factors};
use shortblock_plan::{CLOSURES, ClosureTerm, DiscrepancyTerm, closure_table, discrepancy_table};
use std::fs;
use std::path::PathBuf;

const HEAD: &str = "# What the model has wrong with every input right, as a share of torque. Rows of `engine` (torque at\n\
    # a speed) and `peak` (best torque, best power: level together, apart from each other) are written by\n\
    # `validate` (validation/engines) with the page docs/validation.md; never type them in.\n\
    # degrees: degrees of freedom of an estimate; empty where the number stands by choice.\n\
    of,term,sd,over_rpm,degrees,source\n";

const HEAD_OF_CLOSURES: &str = "# What all engines have in common, chosen on published engines. Written by `validate`\n\
    # (validation/engines) with the page docs/validation.md; never typed in.\n\
    # factor: on the relation as its source has it. sd: of ln of the factor. Then the correlations.\n\
    number,factor,sd,flow,burn,heat,friction\n";

fn path(of: &str) -> PathBuf {
    crate::folder().join("../../crates/shop/plan/src").join(of).join("shipped.csv")
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

/// The file with these terms of engines and peaks; terms of a change stay as they are.
fn text(terms: &[DiscrepancyTerm]) -> String {
    let change = discrepancy_table().iter().filter(|term| term.of == "change");
    terms.iter().chain(change).fold(HEAD.to_owned(), |text, term| text + &row(term))
}

/// The numbers that all engines have in common as they are shipped: to places that the next run, made
/// with them, gives again.
pub fn closures(posterior: &Posterior) -> Vec<ClosureTerm> {
    let rounded = |x: f64, places: f64| (places * x).round() / places;
    let (factors, sd) = (factors(&posterior.z), posterior.sd());
    let correlation =
        |k: usize, l: usize| rounded(posterior.covariance[k][l] / (sd[k] * sd[l]), 1e2);
    let term = |k: usize| ClosureTerm {
        name: closure_table().get(k).map_or(NAMES[k], |term| term.name.as_str()).to_owned(),
        factor: rounded(factors[k], 2e2),
        sd: rounded(sd[k] * PRIOR_SD[k], 1e3),
        correlation: std::array::from_fn(|l| correlation(k, l)),
    };
    (0..CLOSURES).map(term).collect()
}

fn text_of_closures(table: &[ClosureTerm]) -> String {
    let row = |term: &ClosureTerm| {
        let own = [term.factor, term.sd];
        let numbers = own.iter().chain(&term.correlation).map(|x| format!(",{x}"));
        format!("{}{}\n", term.name, numbers.collect::<String>())
    };
    table.iter().fold(HEAD_OF_CLOSURES.to_owned(), |text, term| text + &row(term))
}

/// Writes both files; whether that changed one.
pub fn write(terms: &[DiscrepancyTerm], posterior: &Posterior) -> Result<bool, String> {
    let files = [
        (path("discrepancy"), text(terms)),
        (path("closures"), text_of_closures(&closures(posterior))),
    ];
    let mut changed = false;
    for (path, new) in files {
        let told = |e: std::io::Error| format!("{}: {e}", path.display());
        let old = fs::read_to_string(&path).map_err(told)?;
        fs::write(&path, &new).map_err(told)?;
        changed |= old != new;
    }
    Ok(changed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{decision, discrepancy};

    fn shipped() -> Vec<DiscrepancyTerm> {
        discrepancy_table().iter().filter(|term| term.of != "change").cloned().collect()
    }

    #[test]
    fn what_is_written_is_what_is_read() {
        let read = |of: &str| fs::read_to_string(path(of)).unwrap();
        assert_eq!(read("discrepancy"), text(&shipped()));
        assert_eq!(read("closures"), text_of_closures(closure_table()));
    }

    /// Rows of the first table of the page below a heading.
    fn below(heading: &str) -> Vec<String> {
        let page = crate::folder().join("../../docs/validation.md");
        let page = fs::read_to_string(page).unwrap();
        let below = page.split(heading).nth(1).expect("the page has the table");
        let table = below.lines().skip_while(|line| !line.starts_with('|'));
        table.take_while(|line| line.starts_with('|')).skip(2).map(str::to_owned).collect()
    }

    #[test]
    fn what_is_shipped_is_what_the_page_says() {
        let terms: Vec<String> =
            shipped().iter().map(|term| discrepancy::row(term).trim_end().to_owned()).collect();
        assert_eq!(below(discrepancy::HEADING), terms);
        let numbers: Vec<String> =
            closure_table().iter().map(|term| decision::row(term).trim_end().to_owned()).collect();
        assert_eq!(below(decision::SHIPPED), numbers);
    }

    #[test]
    fn a_posterior_is_shipped_as_factors_and_correlations() {
        // Flow alone known to half the prior's variance; burn and heat with a covariance of -0.4.
        let mut covariance = vec![vec![0.0; 4]; 4];
        (0..4).for_each(|k| covariance[k][k] = 1.0);
        covariance[0][0] = 0.25;
        (covariance[1][2], covariance[2][1]) = (-0.4, -0.4);
        let table = closures(&Posterior { z: [1.0, 0.0, 0.0, 0.0], covariance });
        assert_eq!((table[0].factor, table[0].sd), (1.03, 0.015));
        assert_eq!(table[1].correlation, [0.0, 1.0, -0.4, 0.0]);
        assert_eq!(table[3].sd, 0.12);
    }
}
