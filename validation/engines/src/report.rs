//! The page with the results, written by code and never by hand.

use crate::case::{Case, RPM};
use crate::fit::{NAMES, PRIOR_SD, Scores, factors};
use crate::rules::{RULES, Seen, inside};
use crate::run::{Chosen, Engine};
use crate::score::{Row, median_and_worst};
use shortblock_curve::Quantity;
use shortblock_engine::build::RatingKind;

/// The whole page.
pub fn page(engines: &[Engine], chosen: Option<&Chosen>, provenance: &str) -> String {
    let mut out = String::from(HEAD);
    out += provenance;
    out += &decision(engines);
    out += &peaks(engines);
    out += &points(engines);
    out += &signatures(engines);
    if let Some(chosen) = chosen {
        out += &numbers(engines, chosen);
    }
    out += &filling(engines);
    out += &rules(engines);
    out += &how_used(engines);
    out += &troubles(engines);
    out
}

const HEAD: &str = "# Published engines against the prediction\n\n\
    Made by `cargo run --release -p shortblock-validation`; change the program or the data, not this\n\
    page. Engine files and where their values are from: `validation/engines`. Nothing is tuned per\n\
    engine. *As shipped*: the public command on the engine file. *All in*: four generic numbers (flow,\n\
    burn, cylinder heat, friction) chosen on all engines by maximum posterior. *Left out*: chosen\n\
    without the engine of the row; **this column decides**, over engines whose sheet is complete (0.8\n\
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

/// Whether the engine's errors are compared at all.
fn compared(engine: &Engine) -> bool {
    engine.case.excluded.is_none()
}

fn decision(engines: &[Engine]) -> String {
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

fn peaks(engines: &[Engine]) -> String {
    let mut out = String::from(
        "\n## Peaks\n\nErrors in % of the published figure; speeds in rpm.\n\n\
         | engine | sheet | peak | published | predicted | error | ± | covered | all in | left out \
         | at published speed | speed | predicted | off |\n\
         |---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n",
    );
    for engine in engines.iter().filter(|e| compared(e)) {
        for (i, row) in peak_rows(engine) {
            out += &peak_line(engine, i, row);
        }
    }
    out + "\n*Off* is told against what is allowed for the engine (400 rpm, motorcycles 600); `end`: the \
           predicted peak lies at the end of the speeds asked, `n.c.`: the published speed is not \
           that of the curve's peak.\n"
}

fn peak_line(engine: &Engine, i: usize, row: &Row) -> String {
    let case = &engine.case;
    let other = |rows: &[Row]| or_dash(rows.get(i).map(|row| percent(row.error())));
    let off = row.speed_error().map(|off| {
        let rpm = off / RPM;
        match (case.peaks_known, row.at_end, off.abs() <= case.speed_within) {
            (false, ..) => "n.c.".to_owned(),
            (_, true, _) => format!("{rpm:+.0} end"),
            (_, _, true) => format!("{rpm:+.0}"),
            (_, _, false) => format!("**{rpm:+.0}**"),
        }
    });
    format!(
        "| {} | {:.2} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {:.0} | {} | {} |\n",
        case.name(),
        case.completeness,
        word(row.published.quantity),
        shown(row.published.quantity, row.published.value),
        shown(row.published.quantity, row.predicted),
        percent(row.error()),
        or_dash(row.together().map(|pm| format!("{:.1}", 100.0 * pm))),
        or_dash(row.covered().map(|yes| if yes { "yes".into() } else { "**no**".into() })),
        other(&engine.all_in),
        other(&engine.left_out),
        percent(row.error_at_speed()),
        row.published.speed / RPM,
        or_dash(row.peak_speed.map(|speed| format!("{:.0}", speed / RPM))),
        or_dash(off),
    )
}

fn points(engines: &[Engine]) -> String {
    let mut out = String::from(
        "\n## Other published points and bounds\n\n\
         | engine | speed | published | predicted | error, % | ± | covered | left out, % |\n\
         |---|---|---|---|---|---|---|---|\n",
    );
    for engine in engines.iter().filter(|e| compared(e)) {
        let others = engine.rows.iter().enumerate();
        for (i, row) in others.filter(|(_, row)| row.published.kind != RatingKind::Peak) {
            let bound = row.published.kind == RatingKind::AtLeast;
            let covered = if bound {
                Some(if row.holds() { "holds".to_owned() } else { "**broken**".to_owned() })
            } else {
                row.covered().map(|yes| if yes { "yes".into() } else { "**no**".into() })
            };
            out += &format!(
                "| {} | {:.0} | {}{} | {} | {} | {} | {} | {} |\n",
                engine.case.name(),
                row.published.speed / RPM,
                if bound { "at least " } else { "" },
                shown(row.published.quantity, row.published.value),
                shown(row.published.quantity, row.predicted),
                percent(row.error()),
                or_dash(row.together().map(|pm| format!("{:.1}", 100.0 * pm))),
                or_dash(covered),
                or_dash(engine.left_out.get(i).map(|row| percent(row.error()))),
            );
        }
    }
    out
}

/// How the error changes from the torque peak's speed to the power peak's, beside what each
/// suspect would do there for the size that explains it.
fn signatures(engines: &[Engine]) -> String {
    let mut out = String::from(
        "\n## Signatures\n\nErrors as shipped at the published speeds of best torque and best power, in \
         % of torque, and what would take the change between the two away: friction (FMEP grows with \
         the square of speed) or back pressure and choking (grow with the square of speed times \
         filling). A flat error is burn, compression or the rating itself; one that swings is tuning.\n\n\
         | engine | at best torque | at best power | change | FMEP at best power, bar | FMEP change \
         that explains it, % | likely |\n|---|---|---|---|---|---|---|\n",
    );
    for engine in engines.iter().filter(|e| compared(e)) {
        let at = |quantity: Quantity| {
            peak_rows(engine).map(|(_, row)| row).find(|row| row.published.quantity == quantity)
        };
        let (Some(torque), Some(power)) = (at(Quantity::Torque), at(Quantity::Power)) else {
            continue;
        };
        let (low, high) = (torque.error_at_speed(), power.error_at_speed());
        let Some(point) = crate::figures::nearest(&engine.points, power.published.speed) else {
            continue;
        };
        // A change of FMEP that grows with the square of speed acts in both places.
        let share = (torque.published.speed / power.published.speed).powi(2);
        let wanted = (high - low) * point.bmep() / (1.0 - share).max(0.1);
        out += &format!(
            "| {} | {} | {} | {} | {:.2} | {:+.0} | {} |\n",
            engine.case.name(),
            percent(low),
            percent(high),
            percent(high - low),
            point.fmep / 1e5,
            100.0 * wanted / point.fmep,
            likely(low, high, wanted / point.fmep),
        );
    }
    out
}

/// Friction correlations are good to about this share (own, from the two editions' difference).
const FRICTION_KNOWN: f64 = 0.25;

fn likely(low: f64, high: f64, friction: f64) -> &'static str {
    let change = high - low;
    match () {
        _ if low.abs() < 0.03 && high.abs() < 0.03 => "in order",
        _ if change.abs() < 0.03 => "flat: burn, compression, rating",
        _ if low * high < 0.0 => "tuning, or cam and pipe assumptions",
        _ if friction.abs() <= FRICTION_KNOWN => "friction may explain the change",
        _ => "flow or back pressure; more than friction can explain",
    }
}

fn numbers(engines: &[Engine], chosen: &Chosen) -> String {
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

/// Volumetric efficiency, work per volumetric efficiency, and friction where a curve is published.
fn filling(engines: &[Engine]) -> String {
    let mut out = String::from(
        "\n## Filling, work per filling, friction\n\nOne engine publishes volumetric efficiency over \
         speed; no open engine publishes FMEP or IMEP, so BMEP per volumetric efficiency stands for \
         the rest.\n\n| engine | speed | VE, % | predicted | error, % | BMEP per VE, bar | predicted | \
         error, % | FMEP predicted, bar |\n|---|---|---|---|---|---|---|---|---|\n",
    );
    for engine in engines {
        let Some(table) = &engine.case.build.rating_curve else { continue };
        let per_torque = 4.0 * std::f64::consts::PI / engine.case.build.bottom_end.displacement;
        let speeds = table.column("speed").unwrap_or_default();
        for point in &engine.points {
            let Some(near) = speeds.iter().find(|s| (*s - point.speed).abs() < 1e-6) else {
                continue;
            };
            let (Some(torque), Some(ve)) = (table.at("torque", *near), table.at("ve", *near))
            else {
                continue;
            };
            let published = torque * per_torque / ve;
            let predicted = point.bmep() / point.ve;
            out += &format!(
                "| {} | {:.0} | {:.1} | {:.1} | {} | {:.2} | {:.2} | {} | {:.2} |\n",
                engine.case.name(),
                near / RPM,
                100.0 * ve,
                100.0 * point.ve,
                percent(point.ve / ve - 1.0),
                published / 1e5,
                predicted / 1e5,
                percent(predicted / published - 1.0),
                point.fmep / 1e5,
            );
        }
    }
    out
}

fn rules(engines: &[Engine]) -> String {
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
        lines.extend(others.map(|remark| match remark.split_once(": ") {
            Some((what, speeds)) => format!("{what}: {} speeds", speeds.split(", ").count()),
            None => remark.clone(),
        }));
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
