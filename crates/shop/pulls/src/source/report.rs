//! What was met on the way, kept short however bad the file is.

use crate::log::Warning;
use std::collections::BTreeMap;

/// Warnings of one kind that are told one by one.
const EACH: usize = 40;
/// Lines of remarks that are kept.
const REMARKS: usize = 10_000;
/// Characters of a line or cell that are quoted.
const QUOTED: usize = 40;

/// Warnings and remarks in the making.
#[derive(Debug, Default)]
pub struct Report {
    warnings: Vec<Warning>,
    counts: BTreeMap<&'static str, usize>,
    remarks: Vec<String>,
    left_out: usize,
}

impl Report {
    /// Adds a warning of a kind; `kind` names it in the plural for the line that sums up the rest.
    pub fn warn(
        &mut self,
        kind: &'static str,
        line: Option<usize>,
        column: Option<&str>,
        text: impl Into<String>,
    ) {
        let count = self.counts.entry(kind).or_default();
        *count += 1;
        if *count <= EACH {
            let column = column.map(str::to_string);
            self.warnings.push(Warning { line, column, text: text.into() });
        }
    }

    /// Takes over everything of another report.
    pub fn absorb(&mut self, other: Self) {
        self.warnings.extend(other.warnings);
        for (kind, count) in other.counts {
            *self.counts.entry(kind).or_default() += count;
        }
        self.remarks.extend(other.remarks);
        self.left_out += other.left_out;
    }

    /// Adds a ready warning.
    pub fn push(&mut self, warning: Warning) {
        self.warnings.push(warning);
    }

    /// Keeps a line that is no data.
    pub fn remark(&mut self, line: &str) {
        let line = line.trim().trim_end_matches([',', ';', '|', '\t', ' ']);
        if line.is_empty() {
            return;
        }
        if self.remarks.len() < REMARKS {
            self.remarks.push(line.to_string());
        } else {
            self.left_out += 1;
        }
    }

    /// Returns the remarks, and the warnings in the order of lines, those about the whole file last.
    pub fn finish(mut self) -> (Vec<String>, Vec<Warning>) {
        self.warnings.sort_by_key(|warning| warning.line.unwrap_or(usize::MAX));
        let more = self.counts.iter().filter(|(_, count)| **count > EACH);
        let more = more.map(|(kind, count)| format!("{} more {kind}", count - EACH));
        let lost = (self.left_out > 0).then(|| {
            format!("{} more lines that are no data, left out after {REMARKS}", self.left_out)
        });
        let rest = more.chain(lost).map(|text| Warning { line: None, column: None, text });
        self.warnings.extend(rest.collect::<Vec<_>>());
        (self.remarks, self.warnings)
    }
}

/// Returns the text in quotes, on one line and cut where it is long.
pub fn quote(text: &str) -> String {
    let plain: String =
        text.trim().chars().take(QUOTED).map(|c| if c.is_control() { ' ' } else { c }).collect();
    let dots = if text.trim().chars().nth(QUOTED).is_some() { "…" } else { "" };
    format!("\"{plain}{dots}\"")
}
