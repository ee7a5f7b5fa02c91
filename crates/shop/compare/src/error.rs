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
    /// Too little speed range is common to all pulls.
    #[error(
        "speed range {from_rpm} to {to_rpm} rpm: {speeds} speeds are covered by all pulls above \
         30 % of the best torque; at least 2 are needed, widen the range or leave the short pull out"
    )]
    Range {
        /// Lower end asked for, rpm.
        from_rpm: f64,
        /// Upper end asked for, rpm.
        to_rpm: f64,
        /// Speeds found.
        speeds: usize,
    },
    /// Sweep rates differ and inertia was not taken out.
    #[error(
        "pull '{label}': swept at {found_rpm_s} rpm/s, the others at {expected_rpm_s}; give the \
         inertia and correct for it, or leave the pull out"
    )]
    SweepRate {
        /// Label of the pull.
        label: String,
        /// Its rate, rpm/s.
        found_rpm_s: f64,
        /// Rate of the first pull, rpm/s.
        expected_rpm_s: f64,
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
