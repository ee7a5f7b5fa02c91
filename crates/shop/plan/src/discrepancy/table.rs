//! The shipped table of what the model has wrong.

use crate::normal::{K_95, student_95};
use std::sync::OnceLock;

/// The table as text.
const TEXT: &str = include_str!("shipped.csv");

/// One term of the discrepancy.
#[derive(Debug, Clone, PartialEq)]
pub struct DiscrepancyTerm {
    /// "engine": of any engine at a speed; "peak": of best torque and best power; "change": of a change
    /// of parts.
    pub of: String,
    /// "level", "shape", "bumps"; of a peak "level", "apart"; of a change "each part", "bumps", "share of effect".
    pub name: String,
    /// Standard deviation, share of the torque; of "share of effect" a share of the effect.
    pub sd: f64,
    /// Speeds over which it stays alike, rpm; `None` for a level.
    pub over_rpm: Option<f64>,
    /// Degrees of freedom it was estimated with; `None` where it stands by choice.
    pub degrees: Option<usize>,
    /// Where it is from.
    pub source: String,
}

impl DiscrepancyTerm {
    /// Half width of 95 % over the standard deviation: Student's for an estimate (JCGM 100, G.3).
    #[must_use]
    pub fn factor(&self) -> f64 {
        self.degrees.map_or(K_95, student_95)
    }
}

/// The shipped table, all terms in the order of the file.
#[must_use]
pub fn discrepancy_table() -> &'static [DiscrepancyTerm] {
    static TABLE: OnceLock<Vec<DiscrepancyTerm>> = OnceLock::new();
    TABLE.get_or_init(|| TEXT.lines().filter_map(term).collect())
}

/// A row; `None` for comments and the heading.
fn term(line: &str) -> Option<DiscrepancyTerm> {
    let mut cells = line.splitn(6, ',');
    let mut next = || cells.next().map(|cell| cell.trim().trim_matches('"').to_owned());
    let (of, name, sd) = (next()?, next()?, next()?.parse().ok()?);
    let (over_rpm, degrees) = (next()?.parse().ok(), next()?.parse().ok());
    Some(DiscrepancyTerm { of, name, sd, over_rpm, degrees, source: next()? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_file_is_read() {
        let rows = TEXT.lines().filter(|line| !line.starts_with('#')).count() - 1;
        assert_eq!(discrepancy_table().len(), rows);
        let names: Vec<(&str, &str)> =
            discrepancy_table().iter().map(|t| (t.of.as_str(), t.name.as_str())).collect();
        let wanted = [
            ("engine", "level"),
            ("engine", "shape"),
            ("engine", "bumps"),
            ("peak", "level"),
            ("peak", "apart"),
            ("change", "each part"),
            ("change", "bumps"),
            ("change", "share of effect"),
        ];
        assert_eq!(names, wanted);
        assert!(discrepancy_table().iter().all(|term| !term.source.is_empty() && term.sd > 0.0));
    }

    #[test]
    fn an_estimate_from_few_has_students_factor() {
        let row = "engine,level,0.031,,9,\"nine engines\"";
        let term = term(row).unwrap();
        assert_eq!((term.sd, term.over_rpm, term.degrees), (0.031, None, Some(9)));
        // JCGM 100 table G.2: 2.26 for nine.
        assert!((term.factor() - 2.26).abs() < 0.005);
    }
}
