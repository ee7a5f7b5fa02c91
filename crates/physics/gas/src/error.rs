//! The one error type of the crate.

/// What can go wrong when a gas is asked for.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GasError {
    /// No fuel of that name; the nearest known names are given.
    #[error("fuel \"{name}\" is not known\nhint: nearest names are {}", nearest.join(", "))]
    UnknownFuel {
        /// The name as asked for.
        name: String,
        /// Known names, nearest first.
        nearest: Vec<String>,
    },
    /// A blend whose shares do not make a fuel.
    #[error(
        "blend: {reason}\nhint: give each fuel's share of the liquid volume, 0 to 1, adding up to 1"
    )]
    BadBlend {
        /// Which share is wrong and how.
        reason: String,
    },
    /// A quantity is outside the range the model holds for.
    #[error(
        "{quantity} is {value}, outside {min} to {max} {unit}\nhint: check the value and its unit"
    )]
    OutOfRange {
        /// Name of the quantity.
        quantity: &'static str,
        /// The value given, in `unit`.
        value: f64,
        /// Least value that is accepted.
        min: f64,
        /// Greatest value that is accepted.
        max: f64,
        /// Unit of the numbers.
        unit: &'static str,
    },
    /// Fewer oxygen than carbon atoms: solid carbon would form, which the species set lacks.
    #[error(
        "mixture too rich: {oxygen_per_carbon:.3} oxygen atoms per carbon atom, soot would form\nhint: lower the equivalence ratio"
    )]
    TooRich {
        /// Oxygen atoms per carbon atom of the mixture.
        oxygen_per_carbon: f64,
    },
    /// An iteration ended without an answer; the state it was asked for is given.
    #[error(
        "{what} not found at {temperature} K, {pressure} Pa\nhint: report this state, it lies inside the stated range"
    )]
    NotConverged {
        /// What was sought.
        what: &'static str,
        /// Temperature of the state or of the last try, K.
        temperature: f64,
        /// Pressure of the state or of the last try, Pa.
        pressure: f64,
    },
}

/// Returns `value` if it lies in `min..=max`, else [`GasError::OutOfRange`] (also for NaN).
pub(crate) fn in_range(
    quantity: &'static str,
    value: f64,
    min: f64,
    max: f64,
    unit: &'static str,
) -> Result<f64, GasError> {
    if value >= min && value <= max {
        Ok(value)
    } else {
        Err(GasError::OutOfRange { quantity, value, min, max, unit })
    }
}
