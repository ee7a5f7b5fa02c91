//! A comparison as JSON and CSV.

use super::page::warnings;
use super::question::Asked;
use super::{per_cent, torque_of_a};
use crate::json::clean;
use crate::manner::Manner;
use crate::text::csv_row;
use serde_json::{Value as Json, json};
use shortblock_compare::{Comparison, Direction, Origin, Outcome, Says, Verdict, sentences};
use shortblock_units::{Origin as Kind, Quantity};

/// The key of a verdict.
fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NoDifferenceWorthHaving { .. } => "no_difference_worth_having",
        Verdict::Real { direction: Direction::Gain, .. } => "real_gain",
        Verdict::Real { direction: Direction::Loss, .. } => "real_loss",
        Verdict::CantTell => "cant_tell",
    }
}

fn says(says: Says) -> &'static str {
    match says {
        Says::More => "more",
        Says::Less => "less",
        Says::CantTell => "cant_tell",
    }
}

fn outcome(o: &Outcome, level: f64) -> Json {
    json!({
        "verdict": verdict(o.verdict),
        "average": {
            "value": clean(per_cent(o.average.delta)), "unit": "%",
            "low": clean(per_cent(o.interval.low)), "high": clean(per_cent(o.interval.high)),
            "coverage": clean(1.0 - level), "kind": Kind::Measured.key(),
        },
        "degrees_of_freedom": clean(o.average.dof),
        "pulls": { "a": o.pulls.0, "b": o.pulls.1 },
    })
}

/// Everything the comparison says, as one object.
pub fn as_json(asked: &Asked, c: &Comparison, manner: &Manner) -> Json {
    let torque = manner.unit(Quantity::Torque);
    let band = &c.outcome.band;
    let list = |values: &[f64]| values.iter().map(|v| clean(per_cent(*v))).collect::<Vec<f64>>();
    let base: Vec<f64> = torque_of_a(asked, c).iter().map(|t| clean(torque.from_si(*t))).collect();
    let stretches = band.stretches().into_iter().map(|s| {
        json!({ "from_rpm": s.from_rpm, "to_rpm": s.to_rpm, "says": says(s.says),
            "counts": s.counts() })
    });
    let components = c.components.iter().map(|p| {
        json!({
            "source": format!("{:?}", p.source).to_lowercase(),
            "standard_deviation": { "value": clean(100.0 * p.variance.sqrt()), "unit": "%" },
            "assumed": p.origin == Origin::Assumed,
            "share_of_variance": clean(p.share),
        })
    });
    json!({
        "format": "shortblock/compare/1",
        "a": c.plan.a, "b": c.plan.b,
        "corrected": asked.corrected(),
        "answer": outcome(&c.outcome, c.levels.average),
        "with_set_aside": c.with_set_aside.as_ref().map(|o| outcome(o, c.levels.average)),
        "by_mode": c.by_mode.as_ref().map(|m| json!({
            "sweep": outcome(&m.sweep, c.levels.average),
            "steady": outcome(&m.steady, c.levels.average),
            "pooled": m.agrees(),
        })),
        "worth_having": { "value": clean(100.0 * c.plan.margin.fraction()), "unit": "%" },
        "warnings": warnings(asked, c),
        "sentences": sentences(c),
        "used_range_rpm": [c.used_range_rpm.0, c.used_range_rpm.1],
        "curve": {
            "kind": Kind::Measured.key(),
            "speed": { "unit": "rpm", "values": band.speeds_rpm },
            "difference": { "unit": "%", "values": list(&band.delta) },
            "plus_minus": { "unit": "%",
                "values": band.half_width.iter().map(|h| clean(100.0 * h)).collect::<Vec<_>>() },
            "torque_of_a": { "unit": torque.symbol, "values": base },
        },
        "stretches": stretches.collect::<Vec<_>>(),
        "components": components.collect::<Vec<_>>(),
        "tipping_refit": c.tipping_refit.map(|s| json!({ "value": clean(per_cent(s)), "unit": "%" })),
        "left_out_one_by_one": c.left_out.iter().map(|l| json!({
            "pull": l.label, "average_per_cent": clean(per_cent(l.average.delta)),
            "verdict": verdict(l.verdict),
        })).collect::<Vec<_>>(),
    })
}

/// The difference over speed.
pub fn as_csv(asked: &Asked, c: &Comparison, manner: &Manner) -> String {
    let torque = manner.unit(Quantity::Torque);
    let band = &c.outcome.band;
    let headings = [
        "speed rpm".to_owned(),
        "difference %".to_owned(),
        "difference ± %".to_owned(),
        format!("torque of {} {}", c.plan.a, torque.symbol),
        "answer".to_owned(),
        "kind".to_owned(),
    ];
    let mut out = csv_row(&headings);
    let base = torque_of_a(asked, c);
    let stretches = band.stretches();
    for (g, rpm) in band.speeds_rpm.iter().enumerate() {
        let here = stretches.iter().find(|s| *rpm >= s.from_rpm - 0.5 && *rpm <= s.to_rpm + 0.5);
        out += &csv_row(&[
            clean(*rpm).to_string(),
            clean(per_cent(band.delta[g])).to_string(),
            clean(100.0 * band.half_width[g]).to_string(),
            clean(torque.from_si(base[g])).to_string(),
            here.map_or("", |s| says(s.says)).to_owned(),
            Kind::Measured.key().to_owned(),
        ]);
    }
    out
}
