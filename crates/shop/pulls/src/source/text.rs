//! A text file to a log.

use super::encoding::{Decoded, decode};
use super::report::Report;
use super::{clock, layout, number, sniff, table};
use crate::error::PullsError;
use crate::log::{Dialect, Form, Log};

/// Tables of other columns that are looked for below the first.
const MORE_TABLES: usize = 32;
/// Fewest marks for missing values that make a table of them.
const MARKS: usize = 8;
/// Characters of the first line that a message shows.
const SHOWN: usize = 60;

/// Reads a text file.
///
/// # Errors
/// Where the bytes are no text, or no line of it holds numbers beside each other.
pub fn read(bytes: &[u8]) -> Result<Log, PullsError> {
    let Decoded { text, encoding, flaw } = decode(bytes).ok_or_else(|| not_text(bytes))?;
    let no_table = || no_table(&text);
    let manner = sniff::manner(&text).ok_or_else(no_table)?;
    let mut report = Report::default();
    flaw.into_iter().for_each(|flaw| report.push(flaw));
    let mut layout = layout::find(&text, 0, 1, &manner, &mut report).ok_or_else(no_table)?;
    if manner.doubtful {
        warn_of_doubt(&manner, &mut report);
    }
    let dialect = Dialect {
        encoding,
        delimiter: manner.delimiter.sign(),
        decimal: char::from(manner.decimal),
        heading_line: layout.heading_line,
        first_line: layout.first_line,
    };
    let mut log = Log { form: Form::Text(dialect), ..Log::default() };
    let mut manner = manner;
    loop {
        manner.width = layout.width;
        let table = table::read(&text, &manner, &layout, &mut report);
        log.started = log.started.or(table.began);
        log.groups.push(table.group);
        let Some((at, line)) = table.next.filter(|_| log.groups.len() <= MORE_TABLES) else {
            break;
        };
        manner.width = super::cells::record(&text, at, manner.delimiter).cells.len();
        match layout::find(&text, at, line, &manner, &mut report) {
            Some(next) => layout = next,
            None => break,
        }
    }
    let (remarks, warnings) = report.finish();
    log.started = log.started.or_else(|| remarks.iter().find_map(|line| clock::in_remark(line)));
    Ok(Log { remarks, warnings, ..log })
}

fn warn_of_doubt(manner: &sniff::Manner, report: &mut Report) {
    let other = if manner.decimal == b',' { "a point" } else { "a comma" };
    let text = format!(
        "\"{0}\" is taken as the decimal sign; it could be {other}, nothing in the file tells",
        char::from(manner.decimal)
    );
    report.warn("doubtful decimal signs", None, None, text);
}

/// Why a text holds no table: its cells hold marks for missing values, or there are none.
fn no_table(text: &str) -> PullsError {
    let lines = text.lines().count();
    let cells = || text.lines().skip(1).flat_map(|line| line.split([',', ';', '\t', '|']));
    let (mut marks, mut all) = (0, 0);
    let mut mark = None;
    for cell in cells().map(str::trim) {
        all += 1;
        if number::is_missing(cell) {
            marks += 1;
            mark = mark.or((!cell.is_empty()).then_some(cell));
        }
    }
    match mark {
        Some(mark) if 2 * marks > all && marks > MARKS => {
            PullsError::NoNumbers { lines, mark: mark.to_owned() }
        }
        _ => PullsError::NoTable { lines, first: first_line(text) },
    }
}

fn first_line(text: &str) -> String {
    let line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    line.trim().chars().filter(|c| !c.is_control()).take(SHOWN).collect()
}

fn not_text(bytes: &[u8]) -> PullsError {
    match bytes {
        [b'P', b'K', 3, 4, ..] => PullsError::Archive,
        _ => PullsError::NotText,
    }
}
