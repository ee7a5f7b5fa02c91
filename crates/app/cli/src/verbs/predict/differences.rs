//! The table of builds laid over each other: each one's figures, and each further one's less the
//! first one's.

use super::{Answer, One};
use crate::difference::signed_column;
use crate::manner::Manner;
use crate::text::COLUMNS;
use shortblock_curve::Quantity as Column;
use shortblock_plan::{Best, BuildDifference, Figure};
use shortblock_sheets::{Table, plain_number, plus_minus_column};
use shortblock_units::{Quantity, Unit};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// Torque and power over speed, at their best and on average: a table, or as many below each other
/// as it takes to stay on the screen.
pub fn table(answer: &Answer, manner: &Manner) -> String {
    let laid: Vec<(One, &BuildDifference)> = answer.laid().collect();
    let first = answer.each().next();
    first.map_or(String::new(), |first| within_screen(&first, &laid, manner))
}

fn within_screen(first: &One, laid: &[(One, &BuildDifference)], manner: &Manner) -> String {
    let text = one_table(first, laid, manner);
    if laid.len() < 2 || text.lines().all(|line| line.chars().count() <= COLUMNS) {
        return text;
    }
    let (some, rest) = laid.split_at(laid.len() - 1);
    format!("{}\n{}", within_screen(first, some, manner), within_screen(first, rest, manner))
}

fn one_table(first: &One, laid: &[(One, &BuildDifference)], manner: &Manner) -> String {
    let mut headings = vec![String::new(), first.letter.to_string()];
    for (one, _) in laid {
        headings.extend([one.letter.to_string(), format!("{} − {}", one.letter, first.letter)]);
    }
    let headings: Vec<String> = headings.iter().map(|text| manner.text(text)).collect();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings).first_left();
    for (column, of) in [(Column::Torque, Quantity::Torque), (Column::Power, Quantity::Power)] {
        let speeds = speeds(first, laid);
        let unit = manner.unit(of);
        let mut columns = vec![labels(column, &speeds, unit, manner)];
        columns.push(own(first, column, &speeds, unit));
        for (one, difference) in laid {
            columns.push(own(one, column, &speeds, unit));
            columns.push(less(difference, column, &speeds, unit));
        }
        let rows = columns.iter().map(Vec::len).max().unwrap_or(0);
        for row in 0..rows {
            let cells = columns.iter().map(|c| manner.text(c.get(row).map_or("", String::as_str)));
            table.row(cells.collect());
        }
    }
    table.text(2)
}

/// Every speed at which one of the builds could be worked out, rad/s.
fn speeds(first: &One, laid: &[(One, &BuildDifference)]) -> Vec<f64> {
    let all = std::iter::once(first).chain(laid.iter().map(|(one, _)| one));
    let mut speeds: Vec<f64> =
        all.flat_map(|one| one.prediction.curve.speed().iter().copied()).collect();
    speeds.sort_by(f64::total_cmp);
    speeds.dedup();
    speeds
}

/// The first column: a heading, the speeds, then what [`own`] and [`less`] have below them.
fn labels(column: Column, speeds: &[f64], unit: &Unit, manner: &Manner) -> Vec<String> {
    let word = match column {
        Column::Torque => "torque",
        Column::Power => "power",
    };
    let mut all = vec![format!("{word}, {}", manner.symbol(unit))];
    let rpm: Vec<String> = speeds.iter().map(|speed| plain_number(speed / RPM, 0)).collect();
    let widest = rpm.iter().map(|text| text.chars().count()).max().unwrap_or(0);
    all.extend(rpm.iter().map(|text| format!("{text:>widest$} rpm")));
    all.extend(["best", "at rpm", "average"].map(str::to_owned));
    all
}

/// A build's own figures, row by row as in [`labels`].
fn own(one: &One, column: Column, speeds: &[f64], unit: &Unit) -> Vec<String> {
    let prediction = one.prediction;
    let (best, mean): (&Best, Option<Figure>) = match column {
        Column::Torque => (&prediction.best_torque, prediction.averages.map(|mean| mean.torque)),
        Column::Power => (&prediction.best_power, prediction.averages.map(|mean| mean.power)),
    };
    let at = |speed: &f64| {
        let i = prediction.curve.speed().iter().position(|own| own == speed)?;
        let plus_minus = prediction.curve.plus_minus(column).and_then(|all| all.get(i)).copied();
        Some(Figure { value: prediction.curve.column(column)[i], plus_minus })
    };
    let figures = speeds.iter().map(at).chain([Some(best.figure), mean]);
    let set = |figures: &[Figure]| {
        let values: Vec<f64> = figures.iter().map(|f| unit.from_si(f.value)).collect();
        let pm: Vec<Option<f64>> =
            figures.iter().map(|f| f.plus_minus.map(|pm| unit.span_from_si(pm))).collect();
        plus_minus_column(&values, &pm)
    };
    let place = plain_number((best.speed / RPM / 50.0).round() * 50.0, 0);
    with_gaps(figures.collect(), &set, place)
}

/// The differences of a build, row by row as in [`labels`].
fn less(of: &BuildDifference, column: Column, speeds: &[f64], unit: &Unit) -> Vec<String> {
    let (best, mean) = match column {
        Column::Torque => (of.best_torque, of.average_torque),
        Column::Power => (of.best_power, of.average_power),
    };
    let at = |speed: &f64| {
        let point = of.curve.points().iter().find(|point| point.speed == *speed)?;
        Some(match column {
            Column::Torque => Figure { value: point.torque, plus_minus: point.torque_plus_minus },
            Column::Power => Figure { value: point.power, plus_minus: point.power_plus_minus },
        })
    };
    let figures = speeds.iter().map(at).chain([Some(best), mean]);
    with_gaps(figures.collect(), &|figures| signed_column(figures, unit), String::new())
}

/// Figures set below each other under a heading, empty where there is none; the place of the best
/// stands before the last one.
fn with_gaps(
    figures: Vec<Option<Figure>>,
    set: &dyn Fn(&[Figure]) -> Vec<String>,
    place: String,
) -> Vec<String> {
    let there: Vec<Figure> = figures.iter().flatten().copied().collect();
    let mut texts = set(&there).into_iter();
    let mut cells = vec![String::new()];
    cells.extend(figures.iter().map(|f| f.and_then(|_| texts.next()).unwrap_or_default()));
    cells.insert(cells.len() - 1, place);
    cells
}
