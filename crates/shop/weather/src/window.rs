//! Within what a standard vouches for its factor. Limits are values: a caller may edit them.

use std::fmt;

/// What a limit is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Watched {
    /// Temperature of the inlet air, K.
    InletTemperature,
    /// Station pressure less vapour pressure, Pa.
    DryPressure,
    /// The factor.
    Factor,
}

impl fmt::Display for Watched {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::InletTemperature => "inlet air temperature",
            Self::DryPressure => "dry pressure",
            Self::Factor => "correction factor",
        })
    }
}

/// One limit, in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// What it is on.
    pub watched: Watched,
    /// Least, SI.
    pub low: f64,
    /// Greatest, SI.
    pub high: f64,
    /// Where it comes from.
    pub source: &'static str,
}

/// On which side of a limit a value lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Inside, ends included.
    Inside,
    /// Below the least.
    Below,
    /// Above the greatest.
    Above,
}

/// A limit with what was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The limit.
    pub limit: Limit,
    /// The value found, SI.
    pub value: f64,
    /// On which side it lies.
    pub side: Side,
}

impl Window {
    /// Holds `value` against `limit`.
    pub(crate) fn of(limit: Limit, value: f64) -> Self {
        let side = if value < limit.low {
            Side::Below
        } else if value > limit.high {
            Side::Above
        } else {
            Side::Inside
        };
        Self { limit, value, side }
    }

    /// True when the value lies inside.
    pub fn holds(&self) -> bool {
        self.side == Side::Inside
    }
}

impl fmt::Display for Window {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let show = |si: f64| match self.limit.watched {
            Watched::InletTemperature => format!("{:.1} degC", si - 273.15),
            Watched::DryPressure => format!("{:.1} kPa", si / 1e3),
            Watched::Factor => format!("{si:.3}"),
        };
        let (limit, side) = match self.side {
            Side::Below => (self.limit.low, "below the standard's"),
            Side::Above => (self.limit.high, "above the standard's"),
            Side::Inside => (self.limit.high, "within the standard's"),
        };
        write!(f, "{} of {} is {side} {}", self.limit.watched, show(self.value), show(limit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_that_does_not_hold_is_a_sentence() {
        let watched = Watched::InletTemperature;
        let limit = Limit { watched, low: 288.15, high: 308.15, source: "" };
        let window = Window::of(limit, 311.25);
        let words = "inlet air temperature of 38.1 degC is above the standard's 35.0 degC";
        assert_eq!(window.to_string(), words);
    }
}
