//! Where the table begins in a text: remarks, headings, units, first row.

use super::cells::{Delimiter, Record, next_line, record};
use super::heading::{Heading, bare_unit, fits_unit_row, make_unique, split};
use super::number::is_missing;
use super::report::Report;
use super::sniff::{Manner, looks_like_number};
use std::borrow::Cow;

/// Lines of headings that are joined, beside one of units.
const HEADING_LINES: usize = 3;

/// What stands above the first row, and where that is.
#[derive(Debug, Clone, Default)]
pub struct Layout<'a> {
    /// One a column; empty names where the file has no headings.
    pub headings: Vec<Heading>,
    /// Lines of headings and units as written, to know them again.
    pub heading_lines: Vec<&'a str>,
    /// Line of the first of them.
    pub heading_line: Option<usize>,
    /// Where the first row begins.
    pub first_row: usize,
    /// Line of the first row.
    pub first_line: usize,
    /// Cells of a row: of most rows of the file, or of this table's headings and first rows where
    /// they agree on another number.
    pub width: usize,
}

/// Cells of a line by kind.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    cells: usize,
    words: usize,
    numbers: usize,
}

fn count(record: &Record<'_>) -> Count {
    let mut count = Count { cells: record.cells.len(), ..Count::default() };
    for cell in record.cells.iter().filter(|cell| !is_missing(cell)) {
        if looks_like_number(cell) {
            count.numbers += 1;
        } else {
            count.words += 1;
        }
    }
    count
}

/// True for a line that can be a row of a table of `width` columns.
pub fn is_row(record: &Record<'_>, width: usize) -> bool {
    let count = count(record);
    2 * count.cells >= width
        && count.numbers > 0
        && (count.numbers > count.words || count.numbers == count.words && count.numbers > 1)
}

/// Finds the table that begins at or after `from`, which is in `line`; what stands before its
/// headings goes to the remarks. `None` where no row is found.
pub fn find<'a>(
    text: &'a str,
    from: usize,
    line: usize,
    manner: &Manner,
    report: &mut Report,
) -> Option<Layout<'a>> {
    let (mut above, mut at, mut line) = (Vec::new(), from, line);
    let first = loop {
        if at >= text.len() {
            above.iter().for_each(|(record, _)| report.remark(raw(text, record)));
            return None;
        }
        let here = record(text, at, manner.delimiter);
        if is_row(&here, manner.width) && row_follows(text, &here, manner) {
            break here;
        }
        at = next_line(text, here.end);
        let lines = 1 + raw(text, &here).matches('\n').count();
        above.push((here, line));
        line += lines;
    };
    let manner = &Manner { width: width(text, &above, &first, manner), ..*manner };
    let start = headings_start(&above, manner);
    above[..start].iter().for_each(|(record, _)| report.remark(raw(text, record)));
    let top = &above[start..];
    let mut layout = Layout {
        heading_lines: top.iter().map(|(record, _)| raw(text, record).trim()).collect(),
        heading_line: top.first().map(|(_, line)| *line),
        first_row: first.start,
        first_line: line,
        width: manner.width,
        ..Layout::default()
    };
    layout.heading_lines.retain(|line| !line.is_empty());
    layout.headings = headings(text, top, manner, report);
    make_unique(&mut layout.headings, layout.heading_line, report);
    Some(layout)
}

/// The line of a record as written.
pub fn raw<'a>(text: &'a str, record: &Record<'_>) -> &'a str {
    text.get(record.start..record.end).unwrap_or_default()
}

/// True where the next line that is not blank is a row too, or nothing follows.
fn row_follows(text: &str, here: &Record<'_>, manner: &Manner) -> bool {
    following(text, here, manner.delimiter).is_none_or(|next| is_row(&next, manner.width))
}

/// The next line that is not blank.
fn following<'a>(text: &'a str, here: &Record<'_>, delimiter: Delimiter) -> Option<Record<'a>> {
    let mut at = next_line(text, here.end);
    while at < text.len() {
        let next = record(text, at, delimiter);
        if !next.blank() {
            return Some(next);
        }
        at = next_line(text, next.end);
    }
    None
}

/// Cells of the rows of this table.
fn width(text: &str, above: &[(Record<'_>, usize)], first: &Record<'_>, manner: &Manner) -> usize {
    let cells = first.cells.len();
    let heading = above.iter().rev().map(|(record, _)| record).find(|record| !record.blank());
    let agreed = heading.is_some_and(|heading| heading.cells.len() == cells)
        && following(text, first, manner.delimiter).is_some_and(|next| next.cells.len() == cells);
    if agreed && cells > 1 { cells } else { manner.width }
}

/// Place in `above` of the first line of headings; its length where there are none.
fn headings_start(above: &[(Record<'_>, usize)], manner: &Manner) -> usize {
    let mut lowest = above.len();
    while lowest > 0 && above[lowest - 1].0.blank() {
        lowest -= 1;
    }
    let mut start = lowest;
    let (mut names, mut units) = (0, 0);
    while start > 0 {
        let (record, _) = &above[start - 1];
        let below = above.get(start).filter(|_| start < lowest).map(|(record, _)| record);
        if record.blank() || !is_heading(record, below, manner.width) {
            break;
        }
        let of_units = units == 0 && is_unit_row(record);
        let full = !of_units && names == HEADING_LINES;
        // With few columns a line of remarks looks like one of headings.
        if full || manner.width <= 3 && !of_units && names == 1 {
            break;
        }
        (names, units) = (names + usize::from(!of_units), units + usize::from(of_units));
        start -= 1;
    }
    if start == lowest { above.len() } else { start }
}

/// True for a line that can hold headings or units. Above another such line it may have gaps, where
/// a heading stands over several columns.
fn is_heading(record: &Record<'_>, below: Option<&Record<'_>>, width: usize) -> bool {
    let count = count(record);
    let filled = record.filled();
    let remark = record.cells.first().is_some_and(|c| c.ends_with(':') || c.contains(": "));
    let wide = 2 * count.cells > width && count.cells >= 2;
    let first = record.cells.iter().position(|cell| !cell.is_empty()).unwrap_or(0);
    let last = record.cells.iter().rposition(|cell| !cell.is_empty()).unwrap_or(0);
    let spread = 2 * filled >= width
        || count.cells >= width && first > 0
        || below.is_some() && filled > 1 && 2 * last >= width && last > 1;
    wide && !remark && 2 * count.numbers <= filled && filled > 0 && spread
}

/// True where most cells are units.
fn is_unit_row(record: &Record<'_>) -> bool {
    let filled = record.filled();
    let mut others = 0;
    for cell in record.cells.iter().filter(|cell| !cell.is_empty()) {
        others += usize::from(!fits_unit_row(cell));
        if 2 * others >= filled {
            return false;
        }
    }
    filled > 0
}

/// Joins lines of headings into one heading a column.
fn headings(
    text: &str,
    top: &[(Record<'_>, usize)],
    manner: &Manner,
    report: &mut Report,
) -> Vec<Heading> {
    let lines: Vec<_> = top.iter().filter(|(record, _)| !record.blank()).collect();
    // A line of units alone names the columns.
    let unit_line = lines.iter().rposition(|(record, _)| lines.len() > 1 && is_unit_row(record));
    let mut names: Vec<String> = Vec::new();
    let mut units: Vec<String> = Vec::new();
    for (place, (record, line)) in lines.iter().enumerate() {
        let Some(cells) = fitted(text, record, manner) else {
            let what = format!(
                "the headings do not fit the {} cells of a row; the columns are named by their place",
                manner.width
            );
            report.warn("lines of headings", Some(*line), None, what);
            report.remark(raw(text, record));
            continue;
        };
        let target = if Some(place) == unit_line { &mut units } else { &mut names };
        target.resize(target.len().max(cells.len()), String::new());
        for (whole, cell) in target.iter_mut().zip(&cells) {
            if !whole.is_empty() && !cell.is_empty() {
                whole.push(' ');
            }
            whole.push_str(cell);
        }
    }
    let empty = String::new();
    let used = names.iter().rposition(|name| !name.is_empty()).map_or(0, |last| last + 1);
    (0..manner.width.max(used))
        .map(|column| {
            let mut heading = split(names.get(column).unwrap_or(&empty));
            let unit = bare_unit(units.get(column).unwrap_or(&empty));
            if !unit.is_empty() {
                heading.unit = unit.to_string();
            }
            heading
        })
        .collect()
}

/// Cells of a line of headings, at most twice as many as a row has; `None` where there are more, or
/// where blanks part them and no reading gives one a column.
fn fitted<'a>(text: &'a str, line: &Record<'a>, manner: &Manner) -> Option<Vec<Cow<'a, str>>> {
    let mut cells = line.cells.clone();
    if let Some(first) = cells.first_mut() {
        *first =
            Cow::Owned(first.trim_start_matches(['#', '%', '/', '\u{FEFF}']).trim().to_string());
    }
    if manner.delimiter != Delimiter::Run {
        return (cells.len() <= 2 * manner.width).then_some(cells);
    }
    cells.retain(|cell| !cell.is_empty());
    if cells.len() == manner.width {
        return Some(cells);
    }
    let line = raw(text, line).trim_start_matches(['#', '%', '/', '\u{FEFF}']);
    let parts = line.split("  ").flat_map(|part| part.split('\t')).map(str::trim);
    let wide: Vec<_> = parts.filter(|part| !part.is_empty()).map(Cow::Borrowed).collect();
    if wide.len() == manner.width {
        return Some(wide);
    }
    let mut joined: Vec<Cow<'a, str>> = Vec::new();
    for cell in cells {
        match joined.last_mut() {
            Some(last) if cell.starts_with(['[', '(', '<']) => {
                *last = format!("{last} {cell}").into()
            }
            _ => joined.push(cell),
        }
    }
    (joined.len() == manner.width).then_some(joined)
}
