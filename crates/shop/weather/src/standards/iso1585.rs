//! ISO 1585, UN R85, 80/1269/EEC, JIS D 1001-1993, EU 134/2014: spark ignition.
//!
//! Equation: `alpha_a = (99 / p_d)^1.2 (T / 298)^0.6`, p_d dry pressure, kPa; T = t + 273.
//! Source: ISO 1585:1992 and the regulations, exponents from memory and seen in a public code
//! listing titled as this correction; EU 134/2014 annex X appendix 2.2 (reference air, test window,
//! wording) opened; 80/1269/EEC by a summary, repealed at the end of 2013; JIS D 1001-1993 names ISO
//! 1585 as what it corresponds to, its formula from memory.
//! Reference: 99 kPa dry (100 kPa with 1 kPa of vapour), 25 °C (298 K as printed).
//! Range: 0.93 <= alpha_a <= 1.07, beyond it the test conditions are stated with the figure; 15 to
//! 35 °C, dry pressure 80 to 110 kPa (from memory). EU 134/2014: 283.2 to 318.2 K.
//! Boost: the text covers pressure-charged engines (from memory); since Supplement 7 of 2015 the
//! factor is 1 where the engine compensates pressure and temperature fully.

use super::{Found, blower_remark, dry_ratio, heat_ratio};
use crate::air::Air;
use crate::figure::Factor;
use crate::remark::Remark;
use crate::standard::About;
use crate::subject::{Aspiration, Subject};
use crate::window::{Limit, Watched};

const SPARK: Option<&str> = Some("alpha_a = (99/p_d)^1.2 (T/298)^0.6, p_d in kPa, T = t + 273");
const COMPRESSION: Option<&str> = Some(
    "alpha_d = f_a^f_m, f_a = (99/p_d) (T/298)^0.7, turbocharged (99/p_d)^0.7 (T/298)^1.5, \
     f_m = 0.036 q_c - 1.14 (0.3 below 40, 1.2 above 65 mg/(L cycle))",
);

pub(crate) const ISO1585: About = About {
    key: "iso1585",
    name: "ISO 1585",
    revision: "1992",
    purpose: "net power of road vehicles' engines",
    reference: "99 kPa dry, 298 K",
    spark: SPARK,
    compression: COMPRESSION,
    source: "exponents from memory and in a public code listing; later editions not known here",
};

pub(crate) const R85: About = About {
    key: "r85",
    name: "UN R85",
    revision: "with Supplement 7 (2015): factor 1 where boost is fully compensated",
    purpose: "type approval of net power",
    source: "bounds of the compression-ignition exponent seen as quoted; the rest from memory",
    ..ISO1585
};

pub(crate) const EEC: About = About {
    key: "80-1269-eec",
    name: "80/1269/EEC",
    revision: "repealed at the end of 2013",
    purpose: "type approval of net power, older sheets",
    source: "a summary; exponents from memory",
    ..ISO1585
};

pub(crate) const JIS: About = About {
    key: "jis-d1001",
    name: "JIS D 1001-1993",
    revision: "1993; earlier editions differed and are not known here",
    purpose: "Japanese sheets of gross and net power",
    source: "its list of corresponding standards seen; the formula from memory",
    ..ISO1585
};

pub(crate) const EU134: About = About {
    key: "eu134-2014",
    name: "EU 134/2014",
    revision: "annex X appendix 2.2, at the crankshaft",
    purpose: "type approval of motorcycles",
    compression: None,
    source: "reference air, window and wording opened; exponents as ISO 1585, from memory",
    ..ISO1585
};

pub(crate) const EU134_SPARK_ONLY: &str =
    "only its formula for spark ignition is known here; use ISO 1585 by name";

const MEMORY: &str = "ISO 1585 and UN R85, from memory";
const ALPHA: Limit = Limit { watched: Watched::Factor, low: 0.93, high: 1.07, source: MEMORY };

/// From memory.
pub(crate) const LIMITS: [Limit; 3] = [
    Limit { watched: Watched::InletTemperature, low: 288.15, high: 308.15, source: MEMORY },
    Limit { watched: Watched::DryPressure, low: 80e3, high: 110e3, source: MEMORY },
    ALPHA,
];

const EU134_SOURCE: &str = "EU 134/2014 annex X appendix 2.2";
/// The text opened.
pub(crate) const EU134_LIMITS: [Limit; 2] = [
    Limit { watched: Watched::InletTemperature, low: 283.2, high: 318.2, source: EU134_SOURCE },
    Limit { source: EU134_SOURCE, ..ALPHA },
];

pub(crate) fn find(air: &Air, subject: &Subject) -> Found {
    if subject.boost_held {
        return Found::Factor(Factor::OnBrake(1.0), vec![Remark::FullyCompensated]);
    }
    let alpha = dry_ratio(air).powf(1.2) * heat_ratio(air).powf(0.6);
    let turbo = matches!(subject.aspiration, Aspiration::Turbocharged(_));
    let turbo = turbo.then_some(Remark::OverCorrectsBoost);
    Found::Factor(Factor::OnBrake(alpha), turbo.into_iter().chain(blower_remark(subject)).collect())
}
