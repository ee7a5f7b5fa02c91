//! What decides: medians and largest errors, coverage, the generic numbers.

use super::{compared, or_dash, peak_rows, percent};
use crate::fit::{NAMES, PRIOR_SD, factors};
use crate::run::{Chosen, Engine};
use crate::score::{Row, median_and_worst};
use shortblock_curve::Quantity;

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

fn coverage(engines: &[Engine]) -> String {
    let rows: Vec<&Row> =
        engines.iter().filter(|e| compared(e)).flat_map(|e| peak_rows(e).map(|(_, r)| r)).collect();
    let known: Vec<bool> = rows.iter().filter_map(|row| row.covered()).collect();
    if known.is_empty() {
        return String::new();
    }
    let hits = known.iter().filter(|c| **c).count();
    let (low, high) = wilson(hits, known.len());
    let mut widths: Vec<f64> = rows
        .iter()
        .filter(|row| row.published.quantity == Quantity::Torque)
        .filter_map(|row| Some(row.plus_minus? / row.predicted))
        .collect();
    widths.sort_by(f64::total_cmp);
    let width = widths.get(widths.len() / 2).map_or(f64::NAN, |w| 100.0 * w);
    format!(
        "\nCovered by the ±: {hits} of {} peaks ({:.0} to {:.0} % by Wilson's interval; from memory). \
         Median ± of peak torque, the rating's tolerance left out: {width:.1} %.\n",
        known.len(),
        100.0 * low,
        100.0 * high
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

pub(super) fn numbers(engines: &[Engine], chosen: &Chosen) -> String {
    let mut out = String::from(
        "\n## Generic numbers\n\nFactors on the relations all engines have in common; prior 1 with the \
         ± below (coverage 95 %).\n\n| number | prior ± | all in | ± | smallest left out | largest left \
         out |\n|---|---|---|---|---|---|\n",
    );
    let all = factors(&chosen.z);
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
            1.96 * chosen.sd[k] * PRIOR_SD[k] * all[k],
            edge(f64::min, f64::INFINITY),
            edge(f64::max, f64::NEG_INFINITY),
        );
    }
    out += &format!(
        "\nEngines that helped to choose: {}. Gauss-Newton passes: {}.\n",
        chosen.engines, chosen.passes
    );
    out
}
