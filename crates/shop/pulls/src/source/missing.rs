//! Numbers that stand for "no value", such as 9999.
//!
//! A number of nines only is a mark where it cannot be a reading: it is the least or greatest of the
//! column and lies far outside the rest, or the column jumps to it and back further than it ever
//! goes otherwise. Where that is not clear it stays, with a warning (common practice, no source).

use super::report::Report;
use crate::log::Column;

/// How many spans of the rest a mark is away from the rest.
const FAR: f64 = 3.0;
/// How many times the largest step of the rest the jump to a mark is.
const JUMP: f64 = 10.0;

/// Makes marks missing in a column; warns of what was done.
pub fn clear_marks(column: &mut Column, report: &mut Report) {
    let (least, greatest) = range(column.values.iter().copied());
    if is_nines(least) {
        clear(column, least, report);
    }
    if is_nines(greatest) && greatest != least {
        clear(column, greatest, report);
    }
}

fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (if value < low { value } else { low }, if value > high { value } else { high })
    })
}

/// True for -999, ±9999, ±99999 and so on, with nines or nothing behind the point.
fn is_nines(value: f64) -> bool {
    let size = value.abs();
    let least = if value < 0.0 { 999.0 } else { 9999.0 };
    (least..1e9).contains(&size) && {
        let text = format!("{size}");
        text.bytes().all(|byte| matches!(byte, b'9' | b'.')) && text.len() <= 10
    }
}

fn clear(column: &mut Column, mark: f64, report: &mut Report) {
    let count = column.values.iter().filter(|value| **value == mark).count();
    let name = Some(column.name.as_str());
    if !is_clear(&column.values, mark) {
        let text = format!("{mark} could be a mark for a missing value; it is kept as a number");
        report.warn("columns with doubtful marks", None, name, text);
        return;
    }
    let text = match count {
        1 => format!("{mark} lies far outside the rest; read as missing"),
        _ => format!("{mark} lies far outside the rest; {count} such cells are read as missing"),
    };
    report.warn("columns with marks for missing values", None, name, text);
    column.values.iter_mut().filter(|value| **value == mark).for_each(|value| *value = f64::NAN);
}

fn is_clear(values: &[f64], mark: f64) -> bool {
    let (low, high) = range(values.iter().copied().filter(|value| *value != mark));
    if low > high {
        return false;
    }
    let gap = (low - mark).max(mark - high);
    if gap > FAR * (high - low).max(low.abs()).max(high.abs()) {
        return true;
    }
    let (mut largest, mut nearest) = (0.0_f64, f64::INFINITY);
    let read: Vec<f64> = values.iter().copied().filter(|value| !value.is_nan()).collect();
    for pair in read.windows(2) {
        let step = (pair[1] - pair[0]).abs();
        match (pair[0] == mark, pair[1] == mark) {
            (false, false) => largest = largest.max(step),
            (true, true) => {}
            _ => nearest = nearest.min(step),
        }
    }
    nearest.is_finite() && nearest > JUMP * largest && largest > 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(values: &[f64], missing: usize, warnings: usize) {
        let mut column = Column { values: values.to_vec(), ..Column::default() };
        let mut report = Report::default();
        clear_marks(&mut column, &mut report);
        let found = column.values.iter().filter(|value| value.is_nan()).count();
        assert_eq!((found, report.finish().1.len()), (missing, warnings), "{values:?}");
    }

    #[test]
    fn only_clear_marks_are_missing() {
        check(&[30.0, 9999.0, 105.0, 9999.0], 2, 1);
        check(&[80.0, -9999.0, 81.0], 1, 1);
        check(&[3000.0, 3050.0, 9999.0, 3100.0, 3160.0], 1, 1);
        check(&[9900.0, 9950.0, 9999.0, 10050.0], 0, 0);
        check(&[9900.0, 9950.0, 9999.0], 0, 1);
        check(&[9999.0, 9999.0], 0, 1);
        check(&[99.0, 99.9, 100.0], 0, 0);
    }
}
