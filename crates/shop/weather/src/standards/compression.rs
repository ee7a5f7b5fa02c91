//! Compression ignition: UN R85, 80/1269/EEC, ISO 1585:1992, SAE J1349 JUN90, and ISO 15550/UN R120.
//!
//! Equation: `alpha_d = f_a^f_m`; `f_a` by aspiration
//!
//! | | R85, ISO 1585:1992 | ISO 15550, R120 |
//! |---|---|---|
//! | natural, crank-driven blower | `(99/p_d) (T/298)^0.7` | the same |
//! | turbocharged, no cooler or cooled by air | `(99/p_d)^0.7 (T/298)^1.5` | `(99/p_d)^0.7 (T/298)^1.2` |
//! | turbocharged, cooled by liquid | as above | `(99/p_d)^0.7 (T/298)^0.7` |
//!
//! `f_m = 0.036 q_c - 1.14`, `q_c = q / r`, q fuel in mg per cycle and litre, r boost pressure ratio.
//! R85 holds 0.3 below q_c = 40 and 1.2 above 65; ISO 15550 0.2 below 37.2 and 1.2 above 65.
//! Source: R85 annex 5 § 5.4.2.2, its bounds as quoted in a public repository; 37.2 and 65 of the
//! ISO family and `0.9 <= alpha <= 1.1` in an engine maker's service manual; exponents from memory.
//! R85 once printed f_m as a multiplier; its corrigendum of 2018 makes it the exponent it is here.
//! Reference: 99 kPa dry, 298 K as printed.
//! Range: 0.9 <= alpha <= 1.1; 10 to 40 °C, dry pressure 80 to 110 kPa (from memory).

use super::{Found, dry_ratio, heat_ratio};
use crate::air::Air;
use crate::error::WeatherError;
use crate::figure::Factor;
use crate::remark::Remark;
use crate::standard::{About, Standard};
use crate::subject::{Aspiration, ChargeCooler, Subject};
use crate::window::{Limit, Watched};

/// Slope of the exponent over fuel per cycle, L cycle/mg.
const SLOPE: f64 = 0.036;
/// What the exponent starts from.
const START: f64 = -1.14;

pub(crate) const ISO15550: About = About {
    key: "iso15550",
    name: "ISO 15550",
    revision: "as UN R120; editions not told apart here",
    purpose: "compression-ignition engines by three classes of charging",
    reference: "99 kPa dry, 298 K",
    spark: None,
    compression: Some(
        "alpha = f_a^f_m, f_a = (99/p_d) (T/298)^0.7, turbocharged (99/p_d)^0.7 (T/298)^1.2 or, \
         cooled by liquid, ^0.7; f_m = 0.036 q_c - 1.14 (0.2 below 37.2, 1.2 above 65 mg/(L cycle))",
    ),
    source: "classes seen, exponents from memory",
};

pub(crate) const ISO15550_NO_SPARK: &str =
    "its formula for spark ignition is not known here; use ISO 1585 by name";

const SOURCE: &str = "UN R85 and ISO 1585, from memory; 0.9 to 1.1 in a service manual";

/// The window of the factor was seen, the others are from memory.
pub(crate) const LIMITS: [Limit; 3] = [
    Limit { watched: Watched::InletTemperature, low: 283.15, high: 313.15, source: SOURCE },
    Limit { watched: Watched::DryPressure, low: 80e3, high: 110e3, source: SOURCE },
    Limit { watched: Watched::Factor, low: 0.9, high: 1.1, source: SOURCE },
];

/// Exponents of a class: on dry pressure and on temperature.
fn exponents(standard: Standard, aspiration: Aspiration) -> (f64, f64) {
    let three_classes = standard == Standard::Iso15550;
    match aspiration {
        Aspiration::Natural | Aspiration::MechanicallySupercharged => (1.0, 0.7),
        Aspiration::Turbocharged(_) if !three_classes => (0.7, 1.5),
        Aspiration::Turbocharged(ChargeCooler::Liquid) => (0.7, 0.7),
        Aspiration::Turbocharged(_) => (0.7, 1.2),
    }
}

/// Atmospheric factor f_a of an aspiration, a ratio.
pub(crate) fn atmospheric(standard: Standard, air: &Air, aspiration: Aspiration) -> f64 {
    let (pressure, temperature) = exponents(standard, aspiration);
    dry_ratio(air).powf(pressure) * heat_ratio(air).powf(temperature)
}

/// Engine factor f_m, and whether it is held at a bound.
fn engine(standard: Standard, corrected_fuelling: f64) -> (f64, bool) {
    let (least_fuelling, least) =
        if standard == Standard::Iso15550 { (37.2, 0.2) } else { (40.0, 0.3) };
    if corrected_fuelling < least_fuelling {
        (least, true)
    } else if corrected_fuelling > 65.0 {
        (1.2, true)
    } else {
        (SLOPE * corrected_fuelling + START, false)
    }
}

pub(crate) fn find(
    standard: Standard,
    air: &Air,
    subject: &Subject,
) -> Result<Found, WeatherError> {
    if subject.boost_held && standard != Standard::J1349Jun1990 {
        return Ok(Found::Factor(Factor::OnBrake(1.0), vec![Remark::FullyCompensated]));
    }
    let fuelling = subject.fuelling.ok_or(WeatherError::FuellingMissing { standard })?;
    let (exponent, held) = engine(standard, fuelling.corrected()?);
    let factor = Factor::OnBrake(atmospheric(standard, air, subject.aspiration).powf(exponent));
    if subject.boost_held {
        return Ok(Found::None { why: super::BOOSTED, as_if_natural: Some(factor) });
    }
    let mut remarks = vec![Remark::ConsumptionByReciprocal];
    remarks.extend(held.then_some(Remark::ExponentHeld));
    Ok(Found::Factor(factor, remarks))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// R85 as quoted: 0.3 below 40, 1.2 above 65. The line itself reaches both values there:
    /// 0.036 40 - 1.14 = 0.30, 0.036 65 - 1.14 = 1.20; and 0.1992 at 37.2.
    #[test]
    fn the_exponent_joins_its_bounds() {
        let held = |q| engine(Standard::R85, q);
        assert_eq!((held(39.9), held(65.1)), ((0.3, true), (1.2, true)));
        assert!((held(40.0).0 - 0.3).abs() < 1e-12 && (held(65.0).0 - 1.2).abs() < 1e-12);
        assert_eq!(engine(Standard::Iso15550, 37.0), (0.2, true));
        assert!((engine(Standard::Iso15550, 37.2).0 - 0.1992).abs() < 1e-12);
    }
}
