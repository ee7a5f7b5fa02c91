//! A curve in the terminal: 60 × 11 cells, at most 80 columns.

mod canvas;
mod scale;

use crate::chart::{Axis, Kind, Series};
use crate::look::is_unfit;
use crate::number::plain_number;
use canvas::{Canvas, plain_mark};
use scale::{Across, Up};

/// Cells from left to right.
pub(crate) const COLUMNS: usize = 60;
/// Cells from top to bottom.
pub(crate) const ROWS: usize = 11;
const SCREEN: usize = 80;
/// A sample of the predicted line of each slot.
const DASHED: [&str; 4] = ["╌╌", "┈┈", "─╌", "··"];

/// Which characters a terminal chart is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TerminalStyle {
    /// Unicode braille, eight dots a cell.
    Braille,
    /// ASCII lines for any terminal: `*` measured; `.`, `o`, `x`, `=` predicted, one for each slot.
    Plain,
}

/// `axis` of all `series` over engine speed as lines of text, each ending in a
/// line break and none longer than 80 columns.
///
/// Predicted curves are dashed and named with `◇`, measured ones solid with
/// `●` (ASCII marks when plain); every curve carries its name at its right
/// end. Ticks stand exactly at the centre of their cell. Nothing to draw gives
/// an empty text.
#[must_use]
pub fn terminal_chart(series: &[Series], axis: &Axis, style: TerminalStyle) -> String {
    let Some((across, up)) = scales(series, axis) else {
        return String::new();
    };
    let mut canvas = Canvas::new(style);
    for one in series {
        canvas.draw(one, axis, &across, &up);
    }
    let labels = up.labels();
    let field = labels.iter().map(|label| label.chars().count()).max().unwrap_or(0).max(4);
    let names = end_names(series, axis, &up, style, SCREEN.saturating_sub(COLUMNS + field + 3));
    let mut lines = heading(series, axis, style, field);
    for (row, drawn) in canvas.rows().into_iter().enumerate() {
        let edge = edge(style, !labels[row].is_empty());
        lines.push(format!("{:>field$} {edge}{drawn} {}", labels[row], names[row]));
    }
    lines.extend(foot(&across, style, field));
    lines.iter().map(|line| line.trim_end().to_owned() + "\n").collect()
}

fn scales(series: &[Series], axis: &Axis) -> Option<(Across, Up)> {
    let points = || {
        series.iter().flat_map(|one| {
            one.points_rpm().into_iter().filter_map(move |n| Some((n, one.at(axis, n)?)))
        })
    };
    let least = |pick: fn((f64, f64)) -> f64| points().map(pick).reduce(f64::min);
    let most = |pick: fn((f64, f64)) -> f64| points().map(pick).reduce(f64::max);
    let across = Across::fitting(least(|p| p.0)?, most(|p| p.0)?);
    Some((across, Up::fitting(least(|p| p.1)?, most(|p| p.1)?)))
}

fn edge(style: TerminalStyle, tick: bool) -> char {
    match (style, tick) {
        (TerminalStyle::Braille, true) => '┤',
        (TerminalStyle::Braille, false) => '│',
        (TerminalStyle::Plain, true) => '+',
        (TerminalStyle::Plain, false) => '|',
    }
}

/// Quantity, unit and a sample of each line, broken before 80 columns.
fn heading(series: &[Series], axis: &Axis, style: TerminalStyle, field: usize) -> Vec<String> {
    let indent = " ".repeat(field + 2);
    let mut lines = vec![format!("{indent}{}, {}", axis.name(), axis.unit.symbol)];
    for one in series {
        let sample = match (style, one.kind()) {
            (TerminalStyle::Braille, Kind::Predicted) => DASHED[one.slot().index()].to_owned(),
            (TerminalStyle::Braille, Kind::Measured) => "──".to_owned(),
            (TerminalStyle::Plain, _) => plain_mark(one).to_string().repeat(2),
        };
        let entry = format!("{sample} {} {}", shortened(one.label(), 55), one.kind().word());
        match lines.last_mut() {
            Some(line) if line.chars().count() + 4 + entry.chars().count() <= SCREEN => {
                line.push_str("    ");
                line.push_str(&entry);
            }
            _ => lines.push(format!("{indent}{entry}")),
        }
    }
    lines
}

/// The name of each curve in the row where it ends or close to it, in the
/// order of the ends. Beyond one a row, the lowest go unnamed.
fn end_names(
    series: &[Series],
    axis: &Axis,
    up: &Up,
    style: TerminalStyle,
    width: usize,
) -> [String; ROWS] {
    let mut ends: Vec<(f64, &Series)> = series
        .iter()
        .filter_map(|one| Some((one.at(axis, *one.points_rpm().last()?)?, one)))
        .collect();
    ends.sort_by(|a, b| b.0.total_cmp(&a.0));
    ends.truncate(ROWS);
    let mut names: [String; ROWS] = Default::default();
    let mut first_free = 0;
    for (i, (value, one)) in ends.iter().enumerate() {
        let last_free = ROWS - (ends.len() - i);
        let row = up.row(*value).max(first_free).min(last_free);
        first_free = row + 1;
        let mark = match (style, one.kind()) {
            (TerminalStyle::Braille, kind) => kind.mark(),
            (TerminalStyle::Plain, _) => plain_mark(one),
        };
        names[row] = format!("{mark} {}", shortened(one.label(), width.saturating_sub(2)));
    }
    names
}

/// The axis of engine speed and its numbers.
fn foot(across: &Across, style: TerminalStyle, field: usize) -> [String; 2] {
    let (corner, line, tick) = match style {
        TerminalStyle::Braille => ('└', '─', '┬'),
        TerminalStyle::Plain => ('+', '-', '+'),
    };
    let mut axis = vec![line; COLUMNS];
    let mut numbers = vec![' '; COLUMNS + 4];
    for (column, rpm) in across.ticks() {
        axis[column] = tick;
        let text: Vec<char> = plain_number(rpm, 0).chars().collect();
        // The middle digit under the tick; a number cut by the left edge is left out.
        if let Some(from) = column.checked_sub(text.len() / 2) {
            for (i, c) in text.into_iter().enumerate() {
                if let Some(place) = numbers.get_mut(from + i) {
                    *place = c;
                }
            }
        }
    }
    let pad = " ".repeat(field + 1);
    let axis: String = axis.into_iter().collect();
    let numbers: String = numbers.into_iter().collect();
    [format!("{pad}{corner}{axis}"), format!("{pad} {numbers} rpm")]
}

/// At most `width` characters, the cut shown; control characters become blanks.
fn shortened(text: &str, width: usize) -> String {
    let clean: Vec<char> = text.chars().map(|c| if is_unfit(c) { ' ' } else { c }).collect();
    if clean.len() <= width {
        return clean.into_iter().collect();
    }
    clean.into_iter().take(width.saturating_sub(2)).chain("..".chars()).collect()
}
