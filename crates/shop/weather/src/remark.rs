//! What must be said beside a factor.

use std::fmt;

/// A thing to know about a factor before it is believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remark {
    /// Nobody said how humid the air was.
    HumidityNotStated,
    /// The standard has no term for humidity.
    HumidityIgnored,
    /// Friction was not given; the standard takes a mechanical efficiency of 85 %.
    EfficiencyAssumed,
    /// The standard treats a crank-driven blower as natural aspiration.
    BlowerAsNatural,
    /// Pressure-charged engines are in the standard's text, but boost answers the weather less.
    OverCorrectsBoost,
    /// Boost is held whatever the weather, so the standard's factor is 1.
    FullyCompensated,
    /// The factor is more than 7 % away from 1.
    BeyondSevenPerCent,
    /// Fuel per cycle outside the formula; its exponent is held at the bound.
    ExponentHeld,
    /// Fuel consumption is corrected by the reciprocal.
    ConsumptionByReciprocal,
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::HumidityNotStated => {
                "humidity was not stated and is taken as none: at 30 degC and 80 % that makes the \
                 factor 4 % too low"
            }
            Self::HumidityIgnored => {
                "the standard has no humidity: not fit to compare days of different humidity"
            }
            Self::EfficiencyAssumed => {
                "friction was not given: a mechanical efficiency of 85 % is taken, as the standard \
                 does"
            }
            Self::BlowerAsNatural => {
                "the standard treats a crank-driven blower as natural aspiration; with a bypass \
                 that holds boost it over-corrects"
            }
            Self::OverCorrectsBoost => {
                "a wastegate gives back part of what the weather takes: the factor over-corrects; \
                 look at the observed figure"
            }
            Self::FullyCompensated => {
                "boost is held whatever the weather: the factor is 1, another would count the gain \
                 twice"
            }
            Self::BeyondSevenPerCent => {
                "more than 7 % of correction: give no corrected figure without the observed one \
                 beside it"
            }
            Self::ExponentHeld => {
                "fuel per cycle is outside the formula's range: its exponent is held at the bound"
            }
            Self::ConsumptionByReciprocal => {
                "specific fuel consumption goes by the reciprocal of this factor"
            }
        })
    }
}
