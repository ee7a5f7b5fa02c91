//! DIN 70020, the old German correction.
//!
//! Equation: `k = (1013 / p) sqrt((273 + t) / 293)`, p **total** station pressure, mbar; t in °C.
//! Source: a German transcription in a public forum. 1013.25 is seen too and is 0.025 % more.
//! Reference: 1013 mbar, 20 °C; no humidity.
//! Range: no limits known. 1 kPa of vapour, worth 1.2 % by ISO and SAE, is worth nothing here: not fit
//! to compare days of different humidity.

use super::{BOOSTED, Found, blower_remark, boost_answers_weather};
use crate::air::Air;
use crate::figure::Factor;
use crate::remark::Remark;
use crate::standard::About;
use crate::subject::{Ignition, Subject};

/// Reference pressure, Pa.
const REFERENCE: f64 = 101_300.0;

pub(crate) const ABOUT: About = About {
    key: "din70020",
    name: "DIN 70020",
    revision: "old form, without humidity; editions not told apart here",
    purpose: "German sheets up to about 1990",
    reference: "1013 mbar, 20 degC",
    spark: Some("k = (1013/p) sqrt((273+t)/293), p in mbar (total), t in degC"),
    compression: None,
    source: "a public transcription",
};

const SPARK_ONLY: &str =
    "its form for compression ignition is not known here; use ISO 1585 by name";

pub(crate) fn find(air: &Air, subject: &Subject) -> Found {
    if subject.ignition == Ignition::Compression {
        return Found::none(SPARK_ONLY);
    }
    let heat = air.printed_kelvin() / 293.0;
    let factor = Factor::OnBrake(REFERENCE / air.pressure() * heat.sqrt());
    if boost_answers_weather(subject) {
        return Found::None { why: BOOSTED, as_if_natural: Some(factor) };
    }
    let remarks = [Remark::HumidityIgnored].into_iter().chain(blower_remark(subject));
    Found::Factor(factor, remarks.collect())
}
