//! The table of a day's pulls.

use super::{day_curve, left_out};
use crate::logs::{Day, DayPull};
use crate::manner::Manner;
use crate::names::fitting;
use crate::text::{COLUMNS, shortened};
use crate::threads::side_by_side;
use shortblock_curve::{Peak, Quantity as Column};
use shortblock_pulls::check::{Check, Verdict};
use shortblock_pulls::sweep::Kind;
use shortblock_sheets::{Table, plain_number};
use shortblock_units::Quantity;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Column of the build.
const BUILD: usize = 1;
/// Widest names of builds in a table, the next where the page is too narrow.
const BUILD_WIDTHS: [usize; 3] = [12, 8, 5];

/// The table as text, builds shortened where the page is too narrow.
pub fn text(day: &Day, checks: &[Vec<Check>], manner: &Manner) -> String {
    let names: Vec<String> = day.pulls.iter().map(|pull| pull.short().to_owned()).collect();
    let rows = side_by_side(day.pulls.len(), |i| row(day, &day.pulls[i], &checks[i], manner));
    let with_builds =
        |width: usize| fitting(&names, manner, |names| table(day, (names, width), &rows, manner));
    let fits = |text: &String| text.lines().all(|line| line.chars().count() <= COLUMNS);
    let mut out = String::new();
    for width in BUILD_WIDTHS {
        out = with_builds(width);
        if fits(&out) {
            break;
        }
    }
    out
}

/// The table with `names` of pulls and builds of at most so many characters before the rows.
fn table(
    day: &Day,
    (names, width): (&[String], usize),
    rows: &[Vec<String>],
    manner: &Manner,
) -> Table {
    let unit = |of| manner.symbol(manner.unit(of));
    let (torque, power) = (unit(Quantity::Torque), unit(Quantity::Power));
    let wheel = format!("WHEEL {power}");
    let mut headings = match day.roller {
        Some(_) => vec!["pull", "build", "rpm", "rpm/s", "factor", &wheel, "at", "look"],
        None => {
            vec!["pull", "build", "rpm", "rpm/s", "factor", &torque, "at", &power, "at", "look"]
        }
    };
    let builds = day.pulls.iter().any(|pull| !pull.build.is_empty());
    if !builds {
        headings.remove(BUILD);
    }
    let mut table = Table::new(&headings).first_left();
    for ((pull, name), row) in day.pulls.iter().zip(names).zip(rows) {
        let mut cells = vec![name.clone(), shortened(&pull.build, width)];
        cells.extend(row.iter().cloned());
        if !builds {
            cells.remove(BUILD);
        }
        table.row(cells);
    }
    table
}

/// What stands in place of a rate.
fn without_rate(kind: Kind) -> String {
    if kind == Kind::Steps { "steps".to_owned() } else { kind.word().to_owned() }
}

/// What stands behind name and build.
fn row(day: &Day, pull: &DayPull, checks: &[Check], manner: &Manner) -> Vec<String> {
    let Some(found) = day.pull(pull) else {
        return vec!["not worked out".to_owned()];
    };
    let rpm = |w: f64| format!("{:.0}", w / RPM / 10.0) + "0";
    let stretch = &found.stretch;
    let rate =
        stretch.rate.map_or(without_rate(stretch.kind), |r| format!("{:.0}", r.mean.abs() / RPM));
    let factor = pull.air.as_ref().map_or("none".to_owned(), |air| format!("{:.3}", air.factor()));
    let mut cells = vec![format!("{}-{}", rpm(stretch.from), rpm(stretch.to)), rate, factor];
    let columns = [(Column::Torque, Quantity::Torque), (Column::Power, Quantity::Power)];
    // Torque at the wheels is that of a gear, not of the engine.
    let columns = if day.roller.is_some() { &columns[1..] } else { &columns[..] };
    match day_curve(day, pull) {
        Some((curve, _)) => {
            for &(column, quantity) in columns {
                let peak = curve.smoothed_peak(column);
                let unit = manner.unit(quantity);
                cells.push(plain_number(unit.from_si(peak.value), 1));
                cells.push(at(&peak));
            }
        }
        None => cells.extend(vec![String::new(); 2 * columns.len()]),
    }
    cells.push(look(day, pull, checks));
    cells
}

fn at(peak: &Peak) -> String {
    plain_number((peak.speed / RPM / 50.0).round() * 50.0, 0)
}

/// The worst of the checks in a word.
fn look(day: &Day, pull: &DayPull, checks: &[Check]) -> String {
    let count = |verdict| checks.iter().filter(|c| c.verdict == verdict).count();
    let words = match (count(Verdict::Stop), count(Verdict::Watch)) {
        (0, 0) => "in order".to_owned(),
        (0, watch) => format!("{watch} watch"),
        (stop, 0) => format!("{stop} stop"),
        (stop, watch) => format!("{stop} stop {watch} watch"),
    };
    if left_out(day, pull).is_some() { "set aside".to_owned() } else { words }
}
