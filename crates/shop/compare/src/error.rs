//! What keeps pulls from being compared.

/// Pulls that cannot be compared, or a question that cannot be asked of them.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CompareError {
    /// One of the builds has no pull left.
    #[error("build '{build}': no pull to compare; give at least one")]
    NoPull {
        /// The build.
        build: String,
    },
    /// What sets B apart sets other things apart too, such as the mode.
    #[error(
        "'{a}' and '{b}' were run in different ways only (one swept and one held at steps, or the \
         like): the builds cannot be told from the way of running; run both the same way once"
    )]
    Apart {
        /// The yardstick.
        a: String,
        /// The build held against it.
        b: String,
    },
    /// Grid and torque do not fit together.
    #[error("pull '{label}': {found} torque values for {expected} speeds; give one a speed")]
    Length {
        /// Label of the pull.
        label: String,
        /// Speeds of the grid.
        expected: usize,
        /// Values of the pull.
        found: usize,
    },
    /// The grid does not rise in equal steps.
    #[error("speed grid: must rise in equal steps with at least two speeds; resample the pulls")]
    Grid,
    /// A pull has next to no torque in the range.
    #[error(
        "pull '{label}': next to no torque beside the others (below 30 % of the best) at any speed of the \
         range; look at its unit and its sign, or leave it out"
    )]
    NoTorque {
        /// Label of the pull.
        label: String,
    },
    /// A pull was not run in the range that is asked for.
    #[error(
        "pull '{label}' has nothing within the range asked for: it covers {from_rpm:.0} to {to_rpm:.0} rpm; \
         ask for another range or leave it out"
    )]
    Outside {
        /// Label of the pull.
        label: String,
        /// Where it begins, rpm.
        from_rpm: f64,
        /// Where it ends, rpm.
        to_rpm: f64,
    },
    /// Too little speed range is common to all pulls.
    #[error(
        "the pulls share no range of speeds: '{first}' begins at {begins_rpm:.0} rpm, '{last}' ends at \
         {ends_rpm:.0} rpm, of what was asked for and above 30 % of the best torque; ask for another range \
         or leave one of them out"
    )]
    Range {
        /// Label of the pull that begins at the highest speed.
        first: String,
        /// Where it begins, rpm.
        begins_rpm: f64,
        /// Label of the pull that ends at the lowest speed.
        last: String,
        /// Where it ends, rpm.
        ends_rpm: f64,
    },
    /// Sweep rates differ and inertia was not taken out.
    #[error(
        "sweep rates differ: {}; a faster sweep hides more torque in what turns: compare pulls of one \
         rate, or take the inertia out",
        rates_in_words(rates)
    )]
    SweepRate {
        /// Rates that are unlike each other, rpm/s, with the labels of their pulls; not a number
        /// where a rate is not known.
        rates: Vec<(f64, Vec<String>)>,
    },
    /// Crank and wheel figures in one set.
    #[error("pull '{label}': crank and wheel figures are never compared; split the set")]
    Place {
        /// Label of the pull.
        label: String,
    },
    /// A number that must be finite (and, for spreads, not negative) is not.
    #[error("{what}: {value} is not a usable number; {remedy}")]
    Number {
        /// What the number is.
        what: String,
        /// The number.
        value: f64,
        /// What to do.
        remedy: &'static str,
    },
    /// An order that is not made of A and B.
    #[error("order '{text}': write pulls as A and B with counts, such as ABBA or A3B3A3, up to 64")]
    Order {
        /// The text.
        text: String,
    },
}

/// Pulls of the largest group that are named one by one.
const NAMED: usize = 3;

/// `'pull 50' at 600 rpm/s, the 8 others at 300 rpm/s`.
fn rates_in_words(rates: &[(f64, Vec<String>)]) -> String {
    let mut rates: Vec<_> = rates.iter().collect();
    rates.sort_by_key(|(_, pulls)| pulls.len());
    let last = rates.len().saturating_sub(1);
    let one = |(place, (rate, pulls)): (usize, &&(f64, Vec<String>))| {
        let names = match pulls.len() {
            count if place == last && count > NAMED => format!("the {count} others"),
            _ => pulls.iter().map(|p| format!("'{p}'")).collect::<Vec<_>>().join(", "),
        };
        match rate.is_finite() {
            true => format!("{names} at {rate:.0} rpm/s"),
            false => format!("{names} at no known rate"),
        }
    };
    rates.iter().enumerate().map(one).collect::<Vec<_>>().join(", ")
}
