//! SAE J816 and J245 type, the net and gross tests of about 1960 to 1980.
//!
//! Equation: `r = (29.00 inHg / p_d) sqrt((t_F + 459.67) / 544.67)`, on **indicated** power:
//! `P_c = (P_o + P_f) r - P_f`.
//! Source: Heywood 1988 eq. 2.32 to 2.34: 736.6 mmHg dry, 9.65 mmHg vapour, 29.4 °C (from memory).
//! Reference: 29.00 inHg dry with 0.38 inHg of vapour, 85 °F.
//! Range: no limits known. The title of J245 says that it does not apply to turbocharged
//! spark-ignition engines, for which definitive data were lacking.

use super::sae_j607::inch_ratio;
use super::sae_j1349::by_efficiency;
use super::{BOOSTED, Found, blower_remark, boost_answers_weather};
use crate::air::Air;
use crate::error::WeatherError;
use crate::figure::Factor;
use crate::standard::{About, Standard};
use crate::subject::{Friction, Ignition, Subject};

pub(crate) const ABOUT: About = About {
    key: "j816",
    name: "SAE J816/J245 type",
    revision: "29.00 inHg dry and 85 degF, on indicated power",
    purpose: "figures of engines of the 1960s and 1970s",
    reference: "29.00 inHg dry, 85 degF",
    spark: Some(
        "P_c = (P_o + P_f) r - P_f, r = (29.00/p_d) sqrt((t_F+459.67)/544.67), p_d in inHg",
    ),
    compression: None,
    source: "Heywood 1988 eq. 2.32 to 2.34, from memory",
};

const SPARK_ONLY: &str =
    "its form for compression ignition is not known here; use ISO 15550 by name";

pub(crate) fn find(air: &Air, subject: &Subject) -> Result<Found, WeatherError> {
    if subject.ignition == Ignition::Compression {
        return Ok(Found::none(SPARK_ONLY));
    }
    let r = inch_ratio(air, 29.00, 85.0);
    let factor = match subject.friction {
        Friction::Measured => Factor::OnIndicated(r),
        Friction::Efficiency(efficiency) => Factor::OnBrake(by_efficiency(r, efficiency)),
        Friction::AsTheStandardAssumes => {
            return Err(WeatherError::FrictionMissing { standard: Standard::J816 });
        }
    };
    if boost_answers_weather(subject) {
        return Ok(Found::None { why: BOOSTED, as_if_natural: Some(factor) });
    }
    Ok(Found::Factor(factor, blower_remark(subject).into_iter().collect()))
}
