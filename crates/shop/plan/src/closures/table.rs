//! The shipped table of the numbers that all engines have in common.

use std::sync::OnceLock;

/// The table as text.
const TEXT: &str = include_str!("shipped.csv");

/// How many numbers all engines have in common.
pub const CLOSURES: usize = 4;

/// One number that all engines have in common.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosureTerm {
    /// "flow", "burn", "heat", "friction".
    pub name: String,
    /// Factor on the relation as its source has it.
    pub factor: f64,
    /// Standard deviation of ln of the factor.
    pub sd: f64,
    /// Correlation of ln of the factor with that of each number, in the order of the table.
    pub correlation: [f64; CLOSURES],
}

/// The shipped table: flow, burn, heat, friction.
#[must_use]
pub fn closure_table() -> &'static [ClosureTerm] {
    static TABLE: OnceLock<Vec<ClosureTerm>> = OnceLock::new();
    TABLE.get_or_init(|| TEXT.lines().filter_map(term).collect())
}

/// A row; `None` for comments and the heading.
fn term(line: &str) -> Option<ClosureTerm> {
    let (name, rest) = line.split_once(',')?;
    let numbers: Vec<f64> = rest.split(',').filter_map(|cell| cell.trim().parse().ok()).collect();
    let [factor, sd, correlation @ ..] = numbers.as_slice() else { return None };
    let correlation = correlation.try_into().ok()?;
    Some(ClosureTerm { name: name.to_owned(), factor: *factor, sd: *sd, correlation })
}

/// Lower triangle of the covariance of ln of the factors (Cholesky).
pub(super) fn triangle() -> &'static [[f64; CLOSURES]; CLOSURES] {
    static TRIANGLE: OnceLock<[[f64; CLOSURES]; CLOSURES]> = OnceLock::new();
    TRIANGLE.get_or_init(|| triangle_of(closure_table()))
}

fn triangle_of(table: &[ClosureTerm]) -> [[f64; CLOSURES]; CLOSURES] {
    let mut lower = [[0.0; CLOSURES]; CLOSURES];
    for (i, term) in table.iter().enumerate().take(CLOSURES) {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let left = term.sd * table[j].sd * term.correlation[j] - known;
            lower[i][j] = match i == j {
                true => left.max(0.0).sqrt(),
                false if lower[j][j] > 0.0 => left / lower[j][j],
                false => 0.0,
            };
        }
    }
    lower
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_holds_four_numbers_with_a_covariance() {
        let names: Vec<&str> = closure_table().iter().map(|term| term.name.as_str()).collect();
        assert_eq!(names, ["flow", "burn", "heat", "friction"]);
        for (i, term) in closure_table().iter().enumerate() {
            assert!(term.factor > 0.5 && term.factor < 2.0 && term.sd > 0.0);
            assert_eq!(term.correlation[i], 1.0);
            for (j, other) in closure_table().iter().enumerate() {
                assert_eq!(term.correlation[j], other.correlation[i]);
            }
            // A covariance: no number is made up of the others.
            assert!(triangle()[i][i] > 0.05 * term.sd);
        }
    }

    #[test]
    fn the_triangle_squared_is_the_covariance() {
        let row = |text: &str| term(text).unwrap();
        let table = [
            row("flow,1.1,0.02,1,-0.5,0.2,0"),
            row("burn,1,0.1,-0.5,1,0.3,0"),
            row("heat,1,0.1,0.2,0.3,1,0.4"),
            row("friction,1,0.2,0,0,0.4,1"),
        ];
        let lower = triangle_of(&table);
        for i in 0..CLOSURES {
            for j in 0..CLOSURES {
                let found: f64 = (0..CLOSURES).map(|k| lower[i][k] * lower[j][k]).sum();
                let wanted = table[i].sd * table[j].sd * table[i].correlation[j];
                assert!((found - wanted).abs() < 1e-15, "{i} {j}");
            }
        }
    }
}
