//! SAE J1349 (net power as installed) and J1995 (gross power), spark ignition.
//!
//! Equation: `CF = 1.180 (99 / p_d) sqrt((t + 273) / 298) - 0.180` where friction was not measured,
//! which takes a mechanical efficiency of 85 %; with it `P_c = (P_o + P_f) r - P_f`,
//! `r = (99 / p_d) sqrt((t + 273) / 298)`; exact for any efficiency `CF = (r - (1 - eta)) / eta`.
//! p_d dry pressure, kPa; t inlet air, °C.
//! Source: SAE J1349 June 1990, formula in a public copy of its text, 25 °C, 99 kPa and 29.23 inHg
//! in an independent transcription of 1994; friction form in a public post of 1995; August 2004 and
//! September 2011 keep it (from memory). J1995 by a public summary of its 2014 revision.
//! Reference: 99 kPa dry (100 kPa with 1 kPa of vapour), 25 °C.
//! Range: inlet 15 to 35 °C, dry pressure 90 to 105 kPa, a few per cent of factor (from memory,
//! revisions differ): shipped as warnings to edit. The printed coefficients are 0.010 % off the
//! exact ones at r = 1.03 and 0.05 % at 1.17.
//! Beware: a copy of the text has 505 under its root in °F, where 460 + 77 = 537 is right; and
//! 29.92 inHg with 77 °F, found under this name, is no standard at all.

use super::{BOOSTED, Found, blower_remark, boost_answers_weather, dry_ratio, heat_ratio};
use crate::air::Air;
use crate::figure::Factor;
use crate::remark::Remark;
use crate::standard::{About, Standard};
use crate::subject::{Friction, Ignition, Subject};
use crate::window::{Limit, Watched};

/// Coefficient on the ratio, as printed.
const PRINTED: f64 = 1.180;
/// Mechanical efficiency that the standard takes.
const EFFICIENCY: f64 = 0.85;

pub(crate) const JUN1990: About = About {
    key: "j1349-jun1990",
    name: "SAE J1349 JUN90",
    revision: "June 1990, coefficients as printed",
    purpose: "net power as installed; the usual correction of North American dyno sheets",
    reference: "99 kPa dry, 25 degC",
    spark: Some("CF = 1.180 (99/p_d) sqrt((t+273)/298) - 0.180, p_d in kPa, t in degC"),
    compression: Some(
        "CF = f_a^f_m, f_a = (99/p_d) (T/298)^0.7, turbocharged (99/p_d)^0.7 (T/298)^1.5",
    ),
    source: "formula for spark ignition seen in a public copy; compression ignition from memory",
};

pub(crate) const JUN1990_EXACT: About = About {
    key: "j1349-exact",
    name: "SAE J1349 JUN90, unrounded",
    revision: "June 1990, the 85 % worked out instead of the printed coefficients",
    purpose: "the same, without the 0.01 to 0.05 % of rounding",
    spark: Some("CF = (r - 0.15) / 0.85, r = (99/p_d) sqrt((t+273)/298)"),
    compression: None,
    source: "algebra on the June 1990 form",
    ..JUN1990
};

pub(crate) const AUG2004: About = About {
    key: "j1349-aug2004",
    name: "SAE J1349 AUG2004",
    revision: "August 2004",
    purpose: "certified net power as installed, spark ignition",
    compression: None,
    source: "that the formula is unchanged is from memory; check against a bought copy",
    ..JUN1990
};

pub(crate) const SEP2011: About = About {
    key: "j1349-sep2011",
    name: "SAE J1349 SEP2011",
    revision: "September 2011",
    ..AUG2004
};

pub(crate) const J1995: About = About {
    key: "j1995",
    name: "SAE J1995",
    revision: "2014",
    purpose: "gross power: without the installer's intake and exhaust",
    compression: None,
    source: "a public summary of the 2014 revision",
    ..JUN1990
};

/// From memory; revisions differ.
pub(crate) const LIMITS: [Limit; 3] = [
    Limit { watched: Watched::InletTemperature, low: 288.15, high: 308.15, source: SOURCE },
    Limit { watched: Watched::DryPressure, low: 90e3, high: 105e3, source: SOURCE },
    Limit { watched: Watched::Factor, low: 0.97, high: 1.03, source: SOURCE },
];
const SOURCE: &str = "SAE J1349, from memory; revisions differ";

const NO_LONGER: &str = "since 2004 its reasons say that factors for diesels were never widely \
                         used and do not suit those with modern controls; use the observed figure, \
                         or ISO 15550 by name";
const EXACT_IS_SPARK: &str =
    "the unrounded form is that of spark ignition; use SAE J1349 JUN90 for compression ignition";
const J1995_DIESEL: &str = "its formula for compression ignition is not known here; use ISO 15550 \
                            by name, or the observed figure";

/// `r = (99 / p_d) sqrt((t + 273) / 298)`: by how much indicated power is short.
fn ratio(air: &Air) -> f64 {
    dry_ratio(air) * heat_ratio(air).sqrt()
}

pub(crate) fn find(standard: Standard, air: &Air, subject: &Subject) -> Found {
    if subject.ignition == Ignition::Compression {
        return Found::none(match standard {
            Standard::J1995 => J1995_DIESEL,
            Standard::J1349Jun1990Exact => EXACT_IS_SPARK,
            _ => NO_LONGER,
        });
    }
    let r = ratio(air);
    let factor = match subject.friction {
        Friction::Measured => Factor::OnIndicated(r),
        Friction::Efficiency(efficiency) => Factor::OnBrake(by_efficiency(r, efficiency)),
        Friction::AsTheStandardAssumes if standard == Standard::J1349Jun1990Exact => {
            Factor::OnBrake(by_efficiency(r, EFFICIENCY))
        }
        Friction::AsTheStandardAssumes => Factor::OnBrake(PRINTED * r - (PRINTED - 1.0)),
    };
    if boost_answers_weather(subject) {
        return Found::None { why: BOOSTED, as_if_natural: Some(factor) };
    }
    let assumed = subject.friction == Friction::AsTheStandardAssumes;
    let assumed = assumed.then_some(Remark::EfficiencyAssumed);
    Found::Factor(factor, assumed.into_iter().chain(blower_remark(subject)).collect())
}

/// Factor on brake power, when `ratio` acts on indicated power and `efficiency` of it is left.
pub(crate) fn by_efficiency(ratio: f64, efficiency: f64) -> f64 {
    (ratio - (1.0 - efficiency)) / efficiency
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::humidity::Humidity;

    /// 0.010 % at r = 1.03 and 0.05 % at 1.17, worked out at 50 digits.
    #[test]
    fn printed_coefficients_are_as_far_off_as_their_rounding() {
        let off = |r: f64| (PRINTED * r - 0.180) / by_efficiency(r, EFFICIENCY) - 1.0;
        assert!((off(1.03) - 1.02e-4).abs() < 2e-6);
        assert!((off(1.17) - 5.0e-4).abs() < 1e-5);
    }

    #[test]
    fn friction_measured_at_85_per_cent_gives_the_unrounded_form() {
        let air = Air::new(97e3, 303.15, Humidity::VapourPressure(1500.0)).unwrap();
        let r = ratio(&air);
        let measured = Factor::OnIndicated(r).forth(85.0, Some(15.0)).unwrap();
        assert!((measured / 85.0 - by_efficiency(r, EFFICIENCY)).abs() < 1e-12);
    }
}
