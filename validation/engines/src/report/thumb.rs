//! The table of rules of thumb.

use super::or_dash;
use crate::case::Case;
use crate::rules::{RULES, Seen, inside};
use crate::run::Engine;

pub(super) fn rules(engines: &[Engine]) -> String {
    let mut out = String::from(
        "\n## Rules of thumb\n\nPredicted, as shipped. Outside the band of the source: **bold**; outside \
         what must hold: **bold!**.\n\n| rule | unit | band | must | source |",
    );
    let seen: Vec<(&Case, Option<Seen>)> = engines.iter().map(|e| (&e.case, e.seen())).collect();
    for i in 1..=seen.len() {
        out += &format!(" {i} |");
    }
    out += &format!("\n|{}\n", "---|".repeat(5 + seen.len()));
    for rule in &RULES {
        let must = rule.must.map(|m| format!("{} to {}", m.0, m.1));
        out += &format!(
            "| {} | {} | {} to {} | {} | {} |",
            rule.name,
            rule.unit,
            rule.band.0,
            rule.band.1,
            or_dash(must),
            rule.source
        );
        for (_, seen) in &seen {
            let value = seen.as_ref().and_then(|seen| rule.value(seen));
            let cell = value.map(|value| {
                let text =
                    if rule.band.1 < 2.0 { format!("{value:.2}") } else { format!("{value:.1}") };
                match (inside(rule.band, value), rule.must.is_none_or(|m| inside(m, value))) {
                    (true, _) => text,
                    (false, true) => format!("**{text}**"),
                    (false, false) => format!("**{text}!**"),
                }
            });
            out += &format!(" {} |", or_dash(cell));
        }
        out.push('\n');
    }
    out.push('\n');
    for (i, (case, _)) in seen.iter().enumerate() {
        out += &format!("{}. {}\n", i + 1, case.name());
    }
    out
}
