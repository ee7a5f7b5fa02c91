//! What decides: medians and largest errors, coverage, the generic numbers.

use super::{compared, or_dash, peak_rows, percent};
use crate::case::RPM;
use crate::fit::{NAMES, PRIOR_SD, factors};
use crate::run::{Chosen, Engine};
use crate::score::{Row, median_and_worst};
use crate::ship::closures;
use shortblock_curve::Quantity;
use shortblock_engine::build::RatingKind;
use shortblock_plan::{ClosureTerm, DiscrepancyTerm, discrepancy_table};

/// Errors of peaks of engines, as shipped, all in and left out.
fn errors<'a>(engines: impl Iterator<Item = &'a Engine>) -> [Vec<f64>; 3] {
    let mut out = [Vec::new(), Vec::new(), Vec::new()];
    for engine in engines {
        for (i, row) in peak_rows(engine) {
            out[0].push(row.error());
            out[1].extend(engine.all_in.get(i).map(Row::error));
            out[2].extend(engine.left_out.get(i).map(Row::error));
        }
    }
    out
}

pub(super) fn decision(engines: &[Engine]) -> String {
    let mut out = String::from(
        "\n## What decides\n\n| engines | figures | | as shipped | all in | left out |\n\
         |---|---|---|---|---|---|\n",
    );
    let sets: [(&str, Vec<&Engine>); 2] = [
        ("complete sheets", engines.iter().filter(|e| e.case.decides()).collect()),
        ("all compared", engines.iter().filter(|e| compared(e)).collect()),
    ];
    for (name, set) in sets {
        let columns = errors(set.iter().copied());
        let cell = |pick: fn((f64, f64)) -> f64, signed: bool| {
            columns.each_ref().map(|errors| {
                or_dash(
                    median_and_worst(errors)
                        .map(pick)
                        .map(|e| if signed { percent(e) } else { format!("{:.1}", 100.0 * e) }),
                )
            })
        };
        let count = columns[0].len();
        let median = cell(|m| m.0, false).join(" | ");
        let worst = cell(|m| m.1, true).join(" | ");
        out += &format!("| {name}: {} | {count} | median size, % | {median} |\n", set.len());
        out += &format!("| | | largest, % | {worst} |\n");
    }
    out += "\nWanted: left out, complete sheets: median at most 4 %, none above 10 %.\n";
    out + &coverage(engines)
}

/// Errors with their ±, as shares, one for each figure.
struct Judged {
    name: &'static str,
    terms: &'static str,
    /// Size of the error, ±.
    all: Vec<(f64, f64)>,
}

impl Judged {
    fn line(&self) -> String {
        let n = self.all.len();
        let hits = self.all.iter().filter(|(error, pm)| error <= pm).count();
        let (low, high) = wilson(hits, n);
        let mut widths: Vec<f64> = self.all.iter().map(|(_, pm)| *pm).collect();
        widths.sort_by(f64::total_cmp);
        let width = widths.get(n / 2).map_or(f64::NAN, |w| 100.0 * w);
        let square = self.all.iter().map(|(error, _)| error * error).sum::<f64>() / n.max(1) as f64;
        format!(
            "| {} | {} | {hits} of {n} | {:.0} to {:.0} | {width:.1} | {:.1} |\n",
            self.name,
            self.terms,
            100.0 * low,
            100.0 * high,
            100.0 * square.sqrt()
        )
    }
}

fn coverage(engines: &[Engine]) -> String {
    let compared: Vec<&Engine> = engines.iter().filter(|e| compared(e)).collect();
    let shipped = |at_speed: bool| -> Vec<(f64, f64)> {
        let all = compared.iter().flat_map(|e| &e.rows);
        all.filter_map(|row| judged(row, row, discrepancy_table(), at_speed)).collect()
    };
    let left_out = |at_speed: bool| -> Vec<(f64, f64)> {
        let pairs = compared.iter().filter_map(|e| Some((e, e.terms_left_out.as_ref()?)));
        pairs
            .flat_map(|(e, terms)| {
                let both = e.rows.iter().zip(&e.left_out);
                both.filter_map(move |(own, other)| judged(own, other, terms, at_speed))
            })
            .collect()
    };
    let one = |name, terms, all| Judged { name, terms, all }.line();
    let peaks = "best torque, best power";
    let speeds = "torque at a published speed";
    let mut out = String::from(
        "\n### Does the ± hold?\n\nThe rating's tolerance is part of the ±. *Left out*: errors by \
         numbers, and ± by discrepancy terms, that the engine had no part in. The interval is \
         Wilson's (from memory). Two figures of an engine are not independent: it is too narrow.\n\n\
         | figure | terms | covered | interval, % | median ±, % | rms error, % |\n\
         |---|---|---|---|---|---|\n",
    );
    out += &one(peaks, "shipped", shipped(false));
    out += &one(peaks, "left out", left_out(false));
    out += &one(speeds, "shipped", shipped(true));
    out += &one(speeds, "left out", left_out(true));
    out + &width_of_torque(&compared) + &places(&compared)
}

/// Size of the error of `other` and the ± of `own` by these terms; bounds and peaks apart.
fn judged(own: &Row, other: &Row, terms: &[DiscrepancyTerm], at_speed: bool) -> Option<(f64, f64)> {
    let peak = own.published.kind == RatingKind::Peak;
    if own.published.kind == RatingKind::AtLeast || !(at_speed || peak) {
        return None;
    }
    let error = if at_speed { other.error_at_speed() } else { other.error() };
    Some((error.abs(), own.together_with(terms, at_speed)?))
}

fn width_of_torque(engines: &[&Engine]) -> String {
    let width = |decides: bool| {
        let of = engines.iter().filter(|e| e.case.decides() || !decides);
        let rows = of.flat_map(|e| peak_rows(e).map(|(_, row)| row));
        let mut widths: Vec<f64> = rows
            .filter(|row| row.published.quantity == Quantity::Torque)
            .filter_map(|row| Some(row.plus_minus? / row.predicted))
            .collect();
        widths.sort_by(f64::total_cmp);
        widths.get(widths.len() / 2).map_or(f64::NAN, |w| 100.0 * w)
    };
    format!(
        "\nMedian ± of best torque, the rating's tolerance left out: {:.1} %, of complete sheets {:.1} %.\n",
        width(false),
        width(true)
    )
}

/// Whether published peaks stand within the ± of the predicted place.
fn places(engines: &[&Engine]) -> String {
    let known = engines.iter().filter(|e| e.case.peaks_known);
    let rows = known.flat_map(|e| peak_rows(e).map(|(_, row)| row)).filter(|row| !row.at_end);
    let all: Vec<(f64, f64)> =
        rows.filter_map(|row| Some((row.speed_error()?.abs(), row.place?))).collect();
    let held = all.iter().filter(|(off, place)| off <= place).count();
    let mut widths: Vec<f64> = all.iter().map(|(_, place)| place / RPM).collect();
    widths.sort_by(f64::total_cmp);
    let width = widths.get(widths.len() / 2).copied().unwrap_or(f64::NAN);
    format!(
        "Places of peaks that do not lie at the end of the speeds asked: {held} of {} within their ±, its \
         median {width:.0} rpm.\n",
        all.len()
    )
}

/// 95 % interval of a share (Wilson 1927, from memory).
fn wilson(hits: usize, of: usize) -> (f64, f64) {
    let (n, z) = (of as f64, 1.96_f64);
    let p = hits as f64 / n;
    let centre = (p + z * z / (2.0 * n)) / (1.0 + z * z / n);
    let half = z / (1.0 + z * z / n) * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    (centre - half, centre + half)
}

/// The heading that the shipped numbers stand below; the check of the shipped table looks for it.
pub const SHIPPED: &str = "### Numbers as shipped";

/// A shipped number as it stands on the page.
pub fn row(term: &ClosureTerm) -> String {
    let correlation = term.correlation.map(|r| format!("{r:.2}")).join(" | ");
    format!("| {} | {:.3} | {:.3} | {correlation} |\n", term.name, term.factor, term.sd)
}

pub(super) fn numbers(engines: &[Engine], chosen: &Chosen) -> String {
    let mut out = String::from(
        "\n## Generic numbers\n\nFactors on the relations all engines have in common; prior 1 with the \
         ± below (coverage 95 %).\n\n| number | prior ± | all in | ± | smallest left out | largest left \
         out |\n|---|---|---|---|---|---|\n",
    );
    let (all, sd) = (factors(&chosen.posterior.z), chosen.posterior.sd());
    let left: Vec<[f64; 4]> =
        engines.iter().filter_map(|e| e.left_out_z.as_ref()).map(factors).collect();
    for k in 0..4 {
        let edge =
            |pick: fn(f64, f64) -> f64, start: f64| left.iter().map(|f| f[k]).fold(start, pick);
        out += &format!(
            "| {} | {:.0} % | {:.3} | {:.3} | {:.3} | {:.3} |\n",
            NAMES[k],
            196.0 * PRIOR_SD[k],
            all[k],
            1.96 * sd[k] * PRIOR_SD[k] * all[k],
            edge(f64::min, f64::INFINITY),
            edge(f64::max, f64::NEG_INFINITY),
        );
    }
    out += &format!(
        "\nEngines that helped to choose: {}. Gauss-Newton passes: {}.\n\n{SHIPPED}\n\nTheir standard \
         deviations are of ln of the factor; samples draw all four together.\n\n| number | factor | sd \
         | flow | burn | heat | friction |\n|---|---|---|---|---|---|---|\n",
        chosen.engines, chosen.passes
    );
    closures(&chosen.posterior).iter().for_each(|term| out += &row(term));
    out
}
