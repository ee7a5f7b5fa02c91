//! Woschni's heat transfer coefficient.
//!
//! `h = factor B^-0.2 p^0.8 T^exponent w^0.8`, h W/(m^2 K), B bore m, p bar, T mean gas
//! temperature K, w gas speed m/s: `w = 6.18 Sp` during gas exchange,
//! `w = 2.28 Sp + 3.24e-3 Vd Tr/(pr Vr) (p - p_motored)` with the valves closed.
//! Source: Woschni 1967, SAE 670931; Heywood 1988 eq. 12.19-12.20 (both from memory).
//! The paper's exponent of temperature is -0.53; later texts print -0.55 with the same constant,
//! which gives 13-17 % less. Both forms are here by name; [`PAPER`] is used.
//! Range: none stated; fitted on a diesel and a petrol engine up to about 3000 rpm.

use shortblock_lanes::Lane;

/// Constant and temperature exponent of one printed form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Form {
    /// Factor with p in bar.
    pub factor: f64,
    /// Exponent of the temperature.
    pub temperature_exponent: f64,
}

/// Woschni 1967, from memory.
pub const PAPER: Form = Form { factor: 130.0, temperature_exponent: -0.53 };
/// Heywood 1988 eq. 12.19 (3.26 with kPa), from memory.
pub const TEXTBOOK: Form =
    Form { factor: 3.26 * 39.810_717_055_349_73, temperature_exponent: -0.55 };

/// Gas speed over mean piston speed during gas exchange.
const C1_OPEN: f64 = 6.18;
/// The same with the valves closed.
const C1_CLOSED: f64 = 2.28;
/// Factor of the speed due to combustion, m/(s K).
const C2_COMBUSTION: f64 = 3.24e-3;
/// Exponent of the bore.
const BORE_EXPONENT: f64 = -0.2;
/// Pa in one bar.
const BAR: f64 = 1e5;

/// Returns `factor B^-0.2` scaled to pressures in Pa: the part of the coefficient that is constant
/// over a cycle.
pub fn scale(form: Form, bore: f64) -> f64 {
    form.factor * bore.powf(BORE_EXPONENT) * BAR.powf(-0.8)
}

/// Returns h in W/(m^2 K) from [`scale`], pressure (Pa), mean gas temperature (K), gas speed (m/s;
/// must be positive).
#[inline(always)]
pub fn coefficient<V: Lane>(form: Form, scale: V, pressure: V, temperature: V, speed: V) -> V {
    scale * ln_shape(form, (pressure * speed).ln(), temperature.ln()).exp()
}

/// Returns `ln(p^0.8 w^0.8 T^exponent)` from `ln(p w)` and `ln T`, for callers that have the
/// logarithms: h is [`scale`] times its exponential.
#[inline(always)]
pub fn ln_shape<V: Lane>(form: Form, ln_pressure_speed: V, ln_temperature: V) -> V {
    ln_pressure_speed * V::splat(0.8) + ln_temperature * V::splat(form.temperature_exponent)
}

/// Returns the gas speed during gas exchange, m/s, from the mean piston speed (m/s).
#[inline(always)]
pub fn speed_open<V: Lane>(mean_piston_speed: V) -> V {
    V::splat(C1_OPEN) * mean_piston_speed
}

/// Returns the gas speed with the valves closed, m/s.
///
/// - `reference`: `Vd Tr/(pr Vr)` of the state at intake closing, m^3 K/(Pa m^3).
/// - `pressure_rise`: pressure above the motored pressure at the same angle, Pa; negative values
///   count as zero.
#[inline(always)]
pub fn speed_closed<V: Lane>(mean_piston_speed: V, reference: V, pressure_rise: V) -> V {
    V::splat(C1_CLOSED) * mean_piston_speed
        + V::splat(C2_COMBUSTION) * reference * pressure_rise.max(V::splat(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Samples evaluated independently from the textbook form (printed to six digits).
    #[test]
    fn textbook_form_gives_the_sampled_values() {
        for line in include_str!("../tests/data/woschni_samples.csv").lines() {
            let v: Vec<f64> = line.split(',').filter_map(|x| x.parse().ok()).collect();
            let [b, p_kpa, t, w, h] = v[..] else { continue };
            let found = coefficient(TEXTBOOK, scale(TEXTBOOK, b), p_kpa * 1e3, t, w);
            assert!((found / h - 1.0).abs() < 1e-5, "{line}: {found}");
        }
    }

    #[test]
    fn later_print_is_lower_by_what_is_said() {
        for t in [1000.0, 2400.0] {
            let h = |f| coefficient(f, scale(f, 0.09), 3e6, t, 20.0);
            let lower = 1.0 - h(TEXTBOOK) / h(PAPER);
            assert!((0.12..0.17).contains(&lower), "{lower}");
        }
    }
}
