//! The page with the results, written by code and never by hand.

mod against;
pub mod decision;
pub mod discrepancy;
mod thumb;

use crate::fit::{NAMES, Scores, factors};
use crate::residuals::Wrong;
use crate::run::{Chosen, Engine};
use crate::score::Row;
use against::{filling, peaks, points, signatures};
use decision::{decision, numbers};
use shortblock_curve::Quantity;
use shortblock_engine::build::RatingKind;
use shortblock_plan::DiscrepancyTerm;

/// The whole page; `terms` are those that are shipped with it.
pub fn page(
    engines: &[Engine],
    chosen: Option<&Chosen>,
    found: Option<&Wrong>,
    terms: &[DiscrepancyTerm],
    provenance: &str,
) -> String {
    let mut out = String::from(HEAD);
    out += provenance;
    out += &decision(engines);
    out += &peaks(engines);
    out += &points(engines);
    out += &signatures(engines);
    if let Some(chosen) = chosen {
        out += &numbers(engines, chosen);
    }
    out += &discrepancy::section(chosen.zip(found), terms);
    out += &filling(engines);
    out += &thumb::rules(engines);
    out += &how_used(engines);
    out += &troubles(engines);
    out
}

const HEAD: &str = "# Published engines against the prediction\n\n\
    Made by `cargo run --release -p shortblock-validation`; change the program or the data, not this\n\
    page. Engine files and where their values are from: `validation/engines`. Nothing is tuned per\n\
    engine. *As shipped*: the public command on the engine file. *All in*: four generic numbers (flow,\n\
    burn, cylinder heat, friction) chosen on all engines by maximum posterior, which is what is\n\
    shipped. *Left out*: chosen without the engine of the row; **this column decides**, over engines whose sheet is complete (0.8\n\
    and above). A peak is compared with the peak of the predicted curve smoothed over 300 rpm, its\n\
    speed with the middle of the range within 1 % of it. ± is 19 times in 20, the rating's tolerance\n\
    included; *covered*: the published figure lies within it.\n\n";

/// A share as a signed percentage.
fn percent(share: f64) -> String {
    format!("{:+.1}", 100.0 * share)
}

fn shown(quantity: Quantity, si: f64) -> String {
    match quantity {
        Quantity::Torque => format!("{si:.1} N·m"),
        Quantity::Power => format!("{:.1} kW", si / 1e3),
    }
}

fn word(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Torque => "torque",
        Quantity::Power => "power",
    }
}

fn or_dash(text: Option<String>) -> String {
    text.unwrap_or_else(|| "–".to_owned())
}

/// Rows of peaks, by engine.
fn peak_rows(engine: &Engine) -> impl Iterator<Item = (usize, &Row)> {
    engine.rows.iter().enumerate().filter(|(_, row)| row.published.kind == RatingKind::Peak)
}

/// Whether the engine's errors are compared at all.
fn compared(engine: &Engine) -> bool {
    engine.case.excluded.is_none()
}

fn how_used(engines: &[Engine]) -> String {
    let mut out = String::from(
        "\n## How each engine is used\n\n| engine | sheet | helps to choose | decides | remark |\n\
         |---|---|---|---|---|\n",
    );
    let yes = |flag: bool| if flag { "yes" } else { "no" };
    for engine in engines {
        let case = &engine.case;
        let remark = match (&case.excluded, case.phased.len(), case.peaks_known) {
            (Some(why), ..) => why.clone(),
            (_, n, _) if n > 1 => format!("best of {n} cam phases at each speed"),
            (_, _, false) => "the rated speed is not that of the curve's peak".to_owned(),
            _ => String::new(),
        };
        out += &format!(
            "| {} | {:.2} | {} | {} | {remark} |\n",
            case.name(),
            case.completeness,
            yes(case.fit),
            yes(case.decides()),
        );
    }
    out + "\nBoosted engines and the octane engine wait for boost and for the knock check.\n"
}

/// Speeds that could not be worked out, and what the command remarks, in short.
fn troubles(engines: &[Engine]) -> String {
    let mut out = String::from("\n## Not worked out, and remarks of the command\n\n");
    for engine in engines {
        let mut lines = engine.failures.clone();
        let restless = engine.remarks.iter().filter(|r| r.contains(NOT_REPEATING)).count();
        if restless > 0 {
            lines.push(format!("{restless} points do not repeat after the most cycles"));
        }
        let others = engine.remarks.iter().filter(|r| !r.contains(NOT_REPEATING));
        lines.extend(others.cloned());
        lines.sort();
        lines.dedup();
        for line in lines {
            out += &format!("- {}: {line}\n", engine.case.name());
        }
    }
    out
}

/// Words of the command for a point that still changes.
const NOT_REPEATING: &str = "does not repeat";

/// Scores as factors, for the log.
pub fn as_factors(z: &Scores) -> String {
    let values = factors(z);
    let parts: Vec<String> =
        NAMES.iter().zip(values).map(|(name, value)| format!("{name} {value:.3}")).collect();
    parts.join(", ")
}
