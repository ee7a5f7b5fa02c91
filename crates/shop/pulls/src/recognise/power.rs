//! The proof that speaks loudest: power is torque times speed.
//!
//! Equation: `P = T omega`; with P, T and n in units a, b and rpm the number `P / (T n)` is
//! `RPM b / a`, another one for each pair of units, so a log that holds all three columns says in
//! which units they are. The closest two pairs (lb.ft with kW, N.m with PS) differ by 0.28 %.

use shortblock_units::{Quantity, Unit, unit};

/// Pairs of units in which logs are written.
const PAIRS: &[(&str, &str)] = &[
    ("N.m", "kW"),
    ("lb.ft", "hp"),
    ("N.m", "PS"),
    ("N.m", "hp"),
    ("kgf.m", "PS"),
    ("lb.ft", "kW"),
    ("lb.ft", "PS"),
];
/// Beyond this scatter of the rows power was not worked out from these columns (ours: torque and
/// power of three figures, one rounded up and one down, differ by less).
const SCATTER: f64 = 0.006;
/// A pair of units fits within this share: less than half the distance of the closest two.
const FITS: f64 = 0.0013;
/// A factor between torque and power outside this is no correction (ours).
const FACTORS: std::ops::RangeInclusive<f64> = 0.85..=1.25;
/// Fewer rows prove nothing.
const ROWS: usize = 4;

/// What three columns prove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Proof {
    /// Units of torque and power.
    Units { torque: &'static Unit, power: &'static Unit },
    /// Power is torque times speed times this factor, in the units that are written beside them.
    Factor(f64),
    /// A ratio that stays the same over all rows, but of no known units.
    Ratio(f64),
}

/// Middle of `P / (T n)` over rows with torque above 30 % of the most, and its scatter as a share
/// (1.4826 times the middle distance from the middle), or `None` with too few rows.
fn ratio(speed: &[f64], torque: &[f64], power: &[f64]) -> Option<(f64, f64)> {
    let most = torque.iter().copied().filter(|t| t.is_finite()).fold(0.0, f64::max);
    let rows = speed.iter().zip(torque).zip(power);
    let mut ratios: Vec<f64> = rows
        .filter(|((n, t), p)| **n > 0.0 && **t > 0.3 * most && **p > 0.0)
        .map(|((n, t), p)| p / (t * n))
        .filter(|r| r.is_finite())
        .collect();
    if ratios.len() < ROWS {
        return None;
    }
    let middle = median(&mut ratios);
    let mut off: Vec<f64> = ratios.iter().map(|r| (r / middle - 1.0).abs()).collect();
    Some((middle, 1.4826 * median(&mut off)))
}

/// The middle value; 0 of nothing.
pub(crate) fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// What the columns prove: numbers as written, speed in rpm, with the units written beside torque
/// and power where there are any. `None` when power is not worked out from them.
pub(crate) fn proof(
    speed_rpm: &[f64],
    torque: &[f64],
    power: &[f64],
    written: (Option<&'static Unit>, Option<&'static Unit>),
) -> Option<Proof> {
    let (middle, scatter) = ratio(speed_rpm, torque, power)?;
    if scatter > SCATTER {
        return None;
    }
    if let (Some(torque), Some(power)) = written {
        let factor = middle / expected(torque, power)?;
        if (factor - 1.0).abs() < FITS {
            return Some(Proof::Units { torque, power });
        }
    }
    if let Some(found) = pair(middle, written) {
        return Some(found);
    }
    match written {
        (Some(torque), Some(power)) => {
            let factor = middle / expected(torque, power)?;
            Some(if FACTORS.contains(&factor) {
                Proof::Factor(factor)
            } else {
                Proof::Ratio(middle)
            })
        }
        _ => Some(Proof::Ratio(middle)),
    }
}

/// The pair of units nearest to a ratio, of those that agree with what is written first.
fn pair(ratio: f64, written: (Option<&'static Unit>, Option<&'static Unit>)) -> Option<Proof> {
    let agrees = |torque: &Unit, power: &Unit| {
        written.0.is_none_or(|w| w.symbol == torque.symbol) as u8
            + written.1.is_none_or(|w| w.symbol == power.symbol) as u8
    };
    let units = PAIRS
        .iter()
        .filter_map(|(t, p)| Some((unit(Quantity::Torque, t)?, unit(Quantity::Power, p)?)));
    let near = units.filter_map(|(torque, power)| {
        let off = (ratio / expected(torque, power)? - 1.0).abs();
        (off < FITS).then_some((agrees(torque, power), off, torque, power))
    });
    let best = near.max_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)))?;
    Some(Proof::Units { torque: best.2, power: best.3 })
}

/// `P / (T n)` in these units and rpm.
fn expected(torque: &Unit, power: &Unit) -> Option<f64> {
    let rpm = unit(Quantity::EngineSpeed, "rpm")?;
    Some(rpm.factor * torque.factor / power.factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn three(divisor: f64, digits: i32) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let round = |x: f64| (x * 10f64.powi(digits)).round() / 10f64.powi(digits);
        let speed: Vec<f64> = (0..60).map(|i| 3000.0 + 83.0 * f64::from(i)).collect();
        let torque: Vec<f64> =
            (0..60).map(|i| round(300.0 - 0.05 * f64::from(i - 30).powi(2))).collect();
        let power = speed.iter().zip(&torque).map(|(n, t)| round(n * t / divisor)).collect();
        (speed, torque, power)
    }

    fn check(divisor: f64, digits: i32, torque: &str, power: &str) {
        let (n, t, p) = three(divisor, digits);
        let Some(Proof::Units { torque: found, power: with }) = proof(&n, &t, &p, (None, None))
        else {
            panic!("{divisor}: nothing was proved");
        };
        assert_eq!((found.symbol, with.symbol), (torque, power), "{divisor}");
    }

    /// Where torque and power in two units are the same number: 5252.1, 9549.3, 7023.5, 7120.9 rpm
    /// (from 550 ft.lbf/s, 75 kgf.m/s and 1 W = 1 N.m/s; NIST SP 811 App. B for the horsepowers,
    /// from memory).
    #[test]
    fn the_crossing_speed_tells_the_units() {
        for digits in [0, 1, 3] {
            check(5252.113, digits, "lb.ft", "hp");
            check(9549.297, digits, "N.m", "kW");
            check(7023.497, digits, "N.m", "PS");
            check(7120.910, digits, "N.m", "hp");
            check(7043.2, digits, "lb.ft", "kW");
        }
    }

    #[test]
    fn a_corrected_power_beside_an_observed_torque_shows_its_factor() {
        let (n, t, p) = three(9549.297 / 1.043, 1);
        let units = (unit(Quantity::Torque, "N.m"), unit(Quantity::Power, "kW"));
        let Some(Proof::Factor(factor)) = proof(&n, &t, &p, units) else {
            panic!("the factor was not seen");
        };
        assert!((factor - 1.043).abs() < 1e-3);
    }

    #[test]
    fn unrelated_columns_prove_nothing() {
        let (n, t, _) = three(9549.3, 1);
        let other: Vec<f64> = n.iter().map(|n| 80.0 + 0.001 * n).collect();
        assert_eq!(proof(&n, &t, &other, (None, None)), None);
        assert_eq!(proof(&n[..3], &t[..3], &t[..3], (None, None)), None);
    }
}
