//! SAE J607 type: the old "standard" correction to 60 °F and 29.92 inHg, dry.
//!
//! Equation: `CF = (29.92 inHg / p_d) sqrt((t_F + 459.67) / 519.67)`.
//! Source: a public post of 1995 with 459.7 and 519.7; the zero of the Fahrenheit scale is 459.67.
//! Reference: 29.92 inHg (101.32 kPa) dry, 60 °F (15.56 °C); the mercury at 0 °C.
//! Range: no limits known. It is 4.0 % above SAE J1349 on the same day.

use super::{BOOSTED, Found, blower_remark, boost_answers_weather};
use crate::air::Air;
use crate::figure::Factor;
use crate::standard::About;
use crate::subject::{Ignition, Subject};

/// Conventional inch of mercury, 0 °C and 13 595.1 kg/m³, Pa.
pub(crate) const INCH_MERCURY: f64 = 13_595.1 * 9.806_65 * 0.0254;
/// Zero of the Fahrenheit scale, °F below zero.
pub(crate) const FAHRENHEIT_ZERO: f64 = 459.67;

pub(crate) const ABOUT: About = About {
    key: "j607",
    name: "SAE J607 type",
    revision: "29.92 inHg and 60 degF, dry",
    purpose: "the older \"standard\" figure of dyno sheets, 4 % above SAE J1349",
    reference: "29.92 inHg dry, 60 degF",
    spark: Some("CF = (29.92/p_d) sqrt((t_F+459.67)/519.67), p_d in inHg, t_F in degF"),
    compression: None,
    source: "seen in a public post of 1995",
};

const SPARK_ONLY: &str = "it is a formula for spark ignition; use ISO 15550 by name";

/// `(reference / p_d) sqrt(T / T_reference)` with references in inches of mercury and Fahrenheit.
pub(crate) fn inch_ratio(air: &Air, inches: f64, fahrenheit: f64) -> f64 {
    let rankine = air.temperature() * 1.8;
    inches * INCH_MERCURY / air.dry_pressure() * (rankine / (fahrenheit + FAHRENHEIT_ZERO)).sqrt()
}

pub(crate) fn find(air: &Air, subject: &Subject) -> Found {
    if subject.ignition == Ignition::Compression {
        return Found::none(SPARK_ONLY);
    }
    let factor = Factor::OnBrake(inch_ratio(air, 29.92, 60.0));
    if boost_answers_weather(subject) {
        return Found::None { why: BOOSTED, as_if_natural: Some(factor) };
    }
    Found::Factor(factor, blower_remark(subject).into_iter().collect())
}
