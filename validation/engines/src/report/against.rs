//! Published figures beside predicted ones.

use super::{compared, or_dash, peak_rows, percent, shown, word};
use crate::case::RPM;
use crate::run::Engine;
use crate::score::Row;
use shortblock_curve::Quantity;
use shortblock_engine::build::RatingKind;

pub(super) fn peaks(engines: &[Engine]) -> String {
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

pub(super) fn points(engines: &[Engine]) -> String {
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
pub(super) fn signatures(engines: &[Engine]) -> String {
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

/// Volumetric efficiency, work per volumetric efficiency, and friction where a curve is published.
pub(super) fn filling(engines: &[Engine]) -> String {
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
