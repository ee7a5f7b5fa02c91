//! A table to columns: what kind each column is, one pass over the rows, and what is told of the names.

use super::cells::{Delimiter, record};
use super::column::{Build, Kind};
use super::heading::Heading;
use super::layout::{Layout, is_row};
use super::missing::clear_marks;
use super::pass::Pass;
use super::report::Report;
use super::sniff::{Manner, sample};
use crate::log::Group;

/// What was read of a table.
#[derive(Debug)]
pub struct Table {
    /// Its columns.
    pub group: Group,
    /// When its clock began.
    pub began: Option<String>,
    /// Place and line of headings of another table below it.
    pub next: Option<(usize, usize)>,
}

/// Reads the rows below a layout's headings.
pub fn read(text: &str, manner: &Manner, layout: &Layout<'_>, report: &mut Report) -> Table {
    let mut pass = Pass::new(text, manner, layout, builds(text, manner, layout));
    let mut next = pass.run();
    if pass.columns.iter().any(Build::is_of_words) {
        // Seldom: the sampled lines did not show that a column holds words.
        let fresh = builds(text, manner, layout).into_iter().zip(&pass.columns);
        let columns = fresh
            .map(|(fresh, read)| if read.is_of_words() { fresh.into_words_build() } else { fresh })
            .collect();
        pass = Pass::new(text, manner, layout, columns);
        next = pass.run();
    }
    report.absorb(pass.report);
    warn_of_names(&pass.columns, manner, layout, report);
    let (group, began) = finish(pass.columns, pass.parts, pass.rows, report);
    Table { group, began, next }
}

/// Empty columns, each of the kind that sampled rows show.
fn builds(text: &str, manner: &Manner, layout: &Layout<'_>) -> Vec<Build> {
    let rest = text.get(layout.first_row..).unwrap_or_default();
    let records: Vec<_> = sample(rest)
        .into_iter()
        .map(|start| record(rest, start, manner.delimiter))
        .filter(|record| is_row(record, manner.width))
        .collect();
    let cells = |column: usize| {
        records.iter().filter_map(move |record| record.cells.get(column)).map(AsRef::as_ref)
    };
    // A delimiter at the end of every line makes no column, nor does a stray cell behind it.
    let behind = |heading: &Heading, column| {
        let filled = cells(column).filter(|cell| !cell.is_empty()).count();
        heading.unnamed && layout.heading_line.is_some() && 4 * filled <= records.len()
    };
    let last =
        layout.headings.iter().enumerate().rposition(|(column, heading)| !behind(heading, column));
    let headings = layout.headings.iter().take(last.map_or(0, |last| last + 1)).enumerate();
    headings.map(|(column, heading)| Build::new(heading, cells(column), manner.decimal)).collect()
}

/// Warns of columns without headings.
fn warn_of_names(columns: &[Build], manner: &Manner, layout: &Layout<'_>, report: &mut Report) {
    let kept = || columns.iter().filter(|column| !column.is_superfluous());
    let unnamed = kept().filter(|column| column.is_unnamed()).count();
    let kind = "columns without heading";
    if layout.heading_line.is_none() {
        let text = "the columns have no headings; they are named by their place";
        report.warn(kind, Some(layout.first_line), None, text);
    } else if kept().next_back().is_some_and(Build::is_unnamed) {
        let mut text = format!(
            "{} headings for {} columns; those without are named by their place",
            kept().count() - unnamed,
            kept().count()
        );
        if manner.delimiter == Delimiter::Sign(b',') {
            text += ". Where the comma is the decimal sign too, export with semicolons";
        }
        report.warn(kind, layout.heading_line, None, text);
    } else {
        for column in kept().filter(|column| column.is_unnamed()) {
            let text = "has no heading; it is named by its place";
            report.warn(kind, layout.heading_line, Some(column.name()), text);
        }
    }
}

/// The columns as they are handed out: those without heading and cells are left out.
fn finish(
    columns: Vec<Build>,
    parts: Vec<usize>,
    rows: usize,
    report: &mut Report,
) -> (Group, Option<String>) {
    let began = columns.iter().find_map(Build::began).or_else(|| Build::began_on(&columns));
    let mut group = Group { parts, ..Group::default() };
    group.parts.retain(|row| *row < rows);
    for column in columns.into_iter().filter(|column| !column.is_superfluous()) {
        if column.kind == Kind::Words {
            group.words.push(column.into_words());
        } else {
            let mut column = column.into_column(report);
            clear_marks(&mut column, report);
            group.columns.push(column);
        }
    }
    (group, began)
}
