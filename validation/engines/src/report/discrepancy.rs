//! What the model has wrong: how it was found, what is shipped.

use super::or_dash;
use crate::case::RPM;
use crate::residuals::{Discrepancy, Estimate, LeftOut};
use shortblock_plan::DiscrepancyTerm;

/// The heading that the terms stand below; the check of the shipped table looks for it.
pub const HEADING: &str = "### Discrepancy terms";

/// The whole section: the estimate where numbers were chosen, then the terms of an engine.
pub(super) fn section(
    found: Option<(&[LeftOut], &Discrepancy)>,
    terms: &[DiscrepancyTerm],
) -> String {
    let mut out = String::from("\n## What the model has wrong\n\n");
    match found {
        Some((engines, found)) => out += &estimate(engines, found),
        None => {
            out += "No numbers were chosen in this run, so nothing was left out: the terms \
                        stand as they are shipped.\n"
        }
    }
    out += &format!(
        "\n{HEADING}\n\n| term | sd, % | over, rpm | degrees of freedom | from |\n\
                     |---|---|---|---|---|\n"
    );
    for term in terms.iter().filter(|term| term.of == "engine") {
        out += &row(term);
    }
    out
}

/// A term as it stands on the page.
pub fn row(term: &DiscrepancyTerm) -> String {
    format!(
        "| {} | {:.2} | {} | {} | {} |\n",
        term.name,
        100.0 * term.sd,
        term.over_rpm.map_or("all".to_owned(), |rpm| format!("{rpm:.0}")),
        or_dash(term.degrees.map(|degrees| degrees.to_string())),
        term.source
    )
}

fn estimate(engines: &[LeftOut], found: &Discrepancy) -> String {
    let mut out = String::from(
        "Residuals in % of torque at the published speeds, published over predicted, by the numbers \
         chosen without the engine, each beside its standard deviation from what is known to be \
         uncertain: inputs, those numbers, the rating, rounding. What the residuals have beyond \
         that, over all engines, is the model's (Paule & Mandel's equation; from memory): a level \
         for each engine, and a shape over its speeds. The \u{b1} takes Student's factor for the \
         degrees of freedom of an estimate; no term is smaller than its share of a floor of 2 %.\n\n\
         | engine | speeds, rpm | residuals | level | known | shape | known |\n|---|---|---|---|---|---|---|\n",
    );
    let share = |x: f64| format!("{:.1}", 100.0 * x);
    let list = |values: &[f64], of: &dyn Fn(f64) -> String| {
        values.iter().map(|v| of(*v)).collect::<Vec<String>>().join(", ")
    };
    for engine in engines {
        let (level, shape) = engine.known_parts();
        let more = engine.residual.len() > 1;
        out += &format!(
            "| {} | {} | {} | {:+.1} | {} | {} | {} |\n",
            engine.name,
            list(&engine.speeds, &|speed| format!("{:.0}", speed / RPM)),
            list(&engine.residual, &|r| format!("{:+.1}", 100.0 * r)),
            100.0 * engine.level(),
            share(level.sqrt()),
            or_dash(more.then(|| share(engine.shape().sqrt()))),
            or_dash(more.then(|| share(shape.max(0.0).sqrt()))),
        );
    }
    let said = |of: &Estimate| format!("{} % from {}", share(of.sd), of.degrees);
    out + &format!(
        "\nLevel {} engines, shape {} differences between points.\n",
        said(&found.level),
        said(&found.shape)
    )
}
