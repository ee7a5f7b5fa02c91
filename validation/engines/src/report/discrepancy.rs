//! What the model has wrong: how it was found, what is shipped.

use super::or_dash;
use crate::case::RPM;
use crate::residuals::{Discrepancy, Estimate, LeftOut, Wrong};
use crate::run::Chosen;
use shortblock_plan::DiscrepancyTerm;

/// The heading that the terms stand below; the check of the shipped table looks for it.
pub const HEADING: &str = "### Discrepancy terms";

/// The whole section: the estimate where numbers were chosen, then the terms of an engine.
pub(super) fn section(found: Option<(&Chosen, &Wrong)>, terms: &[DiscrepancyTerm]) -> String {
    let mut out = String::from("\n## What the model has wrong\n\n");
    match found {
        Some((chosen, found)) => out += &estimate(chosen, found),
        None => {
            out += "No numbers were chosen in this run, so nothing was left out: the terms \
                        stand as they are shipped.\n"
        }
    }
    out += &format!(
        "\n{HEADING}\n\n| of | term | sd, % | over, rpm | degrees of freedom | from |\n\
                     |---|---|---|---|---|---|\n"
    );
    for term in terms.iter().filter(|term| term.of != "change") {
        out += &row(term);
    }
    out
}

/// A term as it stands on the page.
pub fn row(term: &DiscrepancyTerm) -> String {
    format!(
        "| {} | {} | {:.2} | {} | {} | {} |\n",
        if term.of == "peak" { "peaks" } else { "a speed" },
        term.name,
        100.0 * term.sd,
        term.over_rpm.map_or("all".to_owned(), |rpm| format!("{rpm:.0}")),
        or_dash(term.degrees.map(|degrees| degrees.to_string())),
        term.source
    )
}

fn estimate(chosen: &Chosen, found: &Wrong) -> String {
    let mut out = String::from(
        "Residuals in %, published over predicted, by the numbers chosen without the engine, each \
         beside its standard deviation from what is known to be uncertain: inputs, those numbers, the \
         rating, rounding. What the residuals have beyond that, over all engines, is the model's \
         (Paule & Mandel's equation; from memory): at a speed a level for each engine and a shape over \
         its speeds; of best torque and best power a level together and each apart. No part is more than \
         the whole, which is estimated from all residuals. The \u{b1} takes \
         Student's factor for the degrees of freedom of an estimate; no term is smaller than its share \
         of a floor of 2 %. Why peaks have terms of their own: \
         [decision 005](decisions/005-peaks-of-their-own.md).\n\n### Torque at the published speeds\n\n",
    );
    out += &table(&chosen.points, "shape");
    out += &said(&found.speed, "shape", "differences between points");
    out += "\n### Best torque and best power\n\nOnly of engines whose published peaks are those of the \
            curve.\n\n";
    out += &table(&chosen.peaks, "apart");
    out + &said(&found.peak, "apart", "differences between peaks")
}

fn said(found: &Discrepancy, shape: &str, of: &str) -> String {
    let said = |of: &Estimate| format!("{:.1} % from {}", 100.0 * of.sd, of.degrees);
    format!("\nLevel {} engines, {shape} {} {of}.\n", said(&found.level), said(&found.shape))
}

fn table(engines: &[LeftOut], shape_is: &str) -> String {
    let mut out = format!(
        "| engine | speeds, rpm | residuals | level | known | {shape_is} | known |\n\
         |---|---|---|---|---|---|---|\n"
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
    out
}
