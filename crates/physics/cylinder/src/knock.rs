//! Knock: the autoignition integral of Livengood and Wu with the delay of Douaud and Eyzat.
//!
//! Knock sets in when `integral dt/tau = 1`,
//! `tau = 17.68 (ON/100)^3.402 p^-1.7 exp(3800/T)`, tau ms, p atm, T unburned temperature K.
//! Source: Livengood & Wu 1955; Douaud & Eyzat 1978, SAE 780080 (both from memory).
//! Range: octane number 80 to 100, hydrocarbons ([`VALID_OCTANE`], from memory). Alcohols have
//! little low-temperature chemistry and cool by evaporation; no octane number describes them over
//! pressure and temperature, so [`octane_for`] says when the range is stretched and refuses fuels
//! that are mostly alcohol.

use shortblock_lanes::Lane;
use std::ops::RangeInclusive;

/// Octane numbers for which the delay was fitted.
pub const VALID_OCTANE: RangeInclusive<f64> = 80.0..=100.0;
/// Octane numbers beyond which the delay is not used at all; own choice.
pub const USED_OCTANE: RangeInclusive<f64> = 40.0..=120.0;
/// Alcohol share of the fuel mass up to which it counts as a hydrocarbon fuel (E10, E15); own.
pub const ALCOHOL_INSIDE: f64 = 0.17;
/// Alcohol share above which no octane number is accepted; own.
pub const ALCOHOL_REFUSED: f64 = 0.5;

/// Factor of the delay, s.
const FACTOR: f64 = 17.68e-3;
/// Exponent of ON/100.
const OCTANE_EXPONENT: f64 = 3.402;
/// Exponent of the pressure.
const PRESSURE_EXPONENT: f64 = 1.7;
/// Activation temperature, K.
const ACTIVATION: f64 = 3800.0;
/// Logarithm of one atmosphere in Pa, 101325.
const LN_ATM: f64 = 11.526088451497;

/// How far the knock delay can be trusted for a fuel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trust {
    /// Hydrocarbon fuel inside the fitted octane range.
    Inside,
    /// Outside the octane range or with a good deal of alcohol: the knock limit needs a wide ±.
    Widened,
}

/// Returns the octane number to use, `RON - k (RON - MON)`, and how far to trust it; `None` when
/// no octane number describes the fuel ([`ALCOHOL_REFUSED`], [`USED_OCTANE`]).
///
/// `k` weighs the test conditions: 0 is the research method, 1 the motor method, negative beyond
/// research as in cool modern engines. Source: Kalghatgi 2001, SAE 2001-01-3584 (from memory);
/// 0 +- 0.3 is the usual range.
pub fn octane_for(ron: f64, mon: f64, k: f64, alcohol_mass_share: f64) -> Option<(f64, Trust)> {
    let octane = ron - k * (ron - mon);
    if alcohol_mass_share > ALCOHOL_REFUSED || !USED_OCTANE.contains(&octane) {
        return None;
    }
    let inside = VALID_OCTANE.contains(&octane) && alcohol_mass_share <= ALCOHOL_INSIDE;
    Some((octane, if inside { Trust::Inside } else { Trust::Widened }))
}

/// Returns the autoignition delay, s, at pressure (Pa) and unburned temperature (K).
pub fn delay(octane_number: f64, pressure: f64, temperature: f64) -> f64 {
    1.0 / (rate_scale(octane_number) * rate(pressure, temperature))
}

/// Returns the octane-dependent factor of the rate, `1/(17.68e-3 s (ON/100)^3.402)`, 1/s.
pub fn rate_scale(octane_number: f64) -> f64 {
    1.0 / (FACTOR * (octane_number / 100.0).powf(OCTANE_EXPONENT))
}

/// Returns `p_atm^1.7 exp(-3800/T)`: the rate of the knock integral over [`rate_scale`].
pub fn rate(pressure: f64, temperature: f64) -> f64 {
    ln_rate(pressure.ln(), temperature).exp()
}

/// Returns the logarithm of [`rate`] from the logarithm of the pressure (Pa).
#[inline(always)]
pub fn ln_rate<V: Lane>(ln_pressure: V, temperature: V) -> V {
    V::splat(PRESSURE_EXPONENT) * (ln_pressure - V::splat(LN_ATM))
        - V::splat(ACTIVATION) / temperature
}

/// Returns the octane number to spare when a fuel of `octane_number` gives this knock integral:
/// negative when it falls short. Exact for this delay, whose octane factor stands before the
/// integral.
pub fn octane_margin(octane_number: f64, knock_integral: f64) -> f64 {
    octane_number * (1.0 - knock_integral.max(0.0).powf(1.0 / OCTANE_EXPONENT))
}

#[cfg(test)]
mod tests {
    use super::*;

    const ATM: f64 = 101_325.0;

    #[test]
    fn the_logarithm_is_that_of_one_atmosphere() {
        assert!((LN_ATM - ATM.ln()).abs() < 1e-9, "{}", ATM.ln());
    }

    /// Samples evaluated independently from the same formula (six digits).
    #[test]
    fn delay_gives_the_sampled_values() {
        let mut rows = 0;
        for line in include_str!("../tests/data/autoignition_samples.csv").lines() {
            let v: Vec<f64> = line.split(',').filter_map(|x| x.parse().ok()).collect();
            let [on, p_atm, t, tau_ms] = v[..] else { continue };
            rows += 1;
            let found = delay(on, p_atm * ATM, t) * 1e3;
            assert!((found / tau_ms - 1.0).abs() < 1e-5, "{line}: {found}");
        }
        assert_eq!(rows, 48);
    }

    #[test]
    fn the_octane_needed_brings_the_integral_to_one() {
        let needed = 95.0 - octane_margin(95.0, 1.3);
        let ratio = rate_scale(needed) / rate_scale(95.0);
        assert!((1.3 * ratio - 1.0).abs() < 1e-12);
    }

    #[test]
    fn alcohol_is_stretched_then_refused() {
        assert_eq!(octane_for(95.0, 85.0, 0.0, 0.1), Some((95.0, Trust::Inside)));
        assert_eq!(octane_for(101.0, 89.0, 0.5, 0.3), Some((95.0, Trust::Widened)));
        assert_eq!(octane_for(109.0, 90.0, 0.0, 1.0), None);
    }
}
