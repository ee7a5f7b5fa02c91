//! One file per standard, or per family that shares a formula.

pub mod cfr;
pub(crate) mod compression;
pub(crate) mod din70020;
pub(crate) mod iso1585;
pub mod iso3046;
pub(crate) mod observed;
pub(crate) mod sae_j1349;
pub(crate) mod sae_j607;
pub(crate) mod sae_j816;

use crate::air::Air;
use crate::error::WeatherError;
use crate::figure::Factor;
use crate::remark::Remark;
use crate::standard::Standard;
use crate::subject::{Aspiration, Ignition, Subject};

/// What a standard's file answers.
pub(crate) enum Found {
    /// A factor with what this standard has to say beside it.
    Factor(Factor, Vec<Remark>),
    /// No factor.
    None { why: &'static str, as_if_natural: Option<Factor> },
}

impl Found {
    /// No factor, and none to show either.
    pub fn none(why: &'static str) -> Self {
        Self::None { why, as_if_natural: None }
    }
}

/// Dry reference pressure of the SAE and ISO families, Pa: 100 kPa with 1 kPa of vapour.
pub(crate) const DRY_REFERENCE: f64 = 99_000.0;

/// Dry reference pressure over that of `air`.
pub(crate) fn dry_ratio(air: &Air) -> f64 {
    DRY_REFERENCE / air.dry_pressure()
}

/// Temperature of `air` over 25 °C, both as printed: `(t + 273) / 298`.
pub(crate) fn heat_ratio(air: &Air) -> f64 {
    air.printed_kelvin() / 298.0
}

/// True where a formula made for free-breathing engines has nothing to say.
pub(crate) fn boost_answers_weather(subject: &Subject) -> bool {
    subject.boost_held || matches!(subject.aspiration, Aspiration::Turbocharged(_))
}

/// The remark of a standard that takes a crank-driven blower as natural aspiration.
pub(crate) fn blower_remark(subject: &Subject) -> Option<Remark> {
    (subject.aspiration == Aspiration::MechanicallySupercharged).then_some(Remark::BlowerAsNatural)
}

/// Why formulas of free-breathing engines are refused for boosted ones.
pub(crate) const BOOSTED: &str = "it is not made for turbocharged engines or boost that is held, \
                                  and over-corrects them; use the observed figure with the \
                                  weather beside it";

/// Asks the standard's file.
pub(crate) fn find(
    standard: Standard,
    air: &Air,
    subject: &Subject,
) -> Result<Found, WeatherError> {
    let spark = subject.ignition == Ignition::Spark;
    match standard {
        Standard::AsObserved => Ok(observed::find()),
        Standard::J1349Jun1990 if !spark => compression::find(standard, air, subject),
        Standard::J1349Jun1990
        | Standard::J1349Jun1990Exact
        | Standard::J1349Aug2004
        | Standard::J1349Sep2011
        | Standard::J1995 => Ok(sae_j1349::find(standard, air, subject)),
        Standard::J607 => Ok(sae_j607::find(air, subject)),
        Standard::J816 => sae_j816::find(air, subject),
        Standard::Eu134Slash2014 if !spark => Ok(Found::none(iso1585::EU134_SPARK_ONLY)),
        Standard::Iso1585
        | Standard::R85
        | Standard::Eec80Slash1269
        | Standard::JisD1001
        | Standard::Eu134Slash2014
            if spark =>
        {
            Ok(iso1585::find(air, subject))
        }
        Standard::Iso15550 if spark => Ok(Found::none(compression::ISO15550_NO_SPARK)),
        Standard::Iso1585
        | Standard::R85
        | Standard::Eec80Slash1269
        | Standard::JisD1001
        | Standard::Eu134Slash2014
        | Standard::Iso15550 => compression::find(standard, air, subject),
        Standard::Din70020 => Ok(din70020::find(air, subject)),
    }
}
