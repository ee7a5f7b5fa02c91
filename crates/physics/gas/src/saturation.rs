//! Saturation vapour pressure over liquid water.
//!
//! Equation: `ln(p/pc) = Tc/T (a1 th + a2 th^1.5 + a3 th^3 + a4 th^3.5 + a5 th^4 + a6 th^7.5)`,
//! `th = 1 - T/Tc`, p in Pa, T in K.
//! Source: Wagner & Pruss 2002, J. Phys. Chem. Ref. Data 31:387, eq. (2.5) (number and coefficients
//! from memory; agreement with an IAPWS-95 library within 0.008 % over 2 to 60 C confirms them).
//! Range: triple point to critical point; down to -40 C over supercooled water by extrapolation
//! (ours). Humidity is stated over liquid water below 0 C too, as the WMO guide does.

use crate::error::{GasError, in_range};

/// Critical temperature of water, K.
const T_CRITICAL: f64 = 647.096;
/// Critical pressure of water, Pa.
const P_CRITICAL: f64 = 22.064e6;
/// Coefficients a1 to a6, dimensionless.
const A: [f64; 6] =
    [-7.859_517_83, 1.844_082_59, -11.786_649_7, 22.680_741_1, -15.961_871_9, 1.801_225_02];
/// Least temperature, K (ours).
pub const T_MIN: f64 = 233.15;

/// Returns the vapour pressure of liquid water at `temperature` (K), Pa.
///
/// # Errors
/// [`GasError::OutOfRange`] outside [`T_MIN`] to the critical temperature.
pub fn saturation_pressure(temperature: f64) -> Result<f64, GasError> {
    let t = in_range("temperature of saturated water", temperature, T_MIN, T_CRITICAL, "K")?;
    let th = 1.0 - t / T_CRITICAL;
    let root = th.sqrt();
    let th3 = th * th * th;
    let sum =
        th * (A[0] + A[1] * root) + th3 * (A[2] + A[3] * root + A[4] * th + A[5] * th3 * th * root);
    Ok(P_CRITICAL * (T_CRITICAL / t * sum).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IAPWS-95 triple point: 273.16 K, 611.657 Pa (Wagner & Pruss 2002).
    #[test]
    fn triple_point_pressure_is_reproduced() {
        assert!((saturation_pressure(273.16).unwrap() - 611.657).abs() < 0.01);
    }

    /// Normal boiling point of IAPWS-95: 373.1243 K at 101325 Pa.
    #[test]
    fn water_boils_at_one_atmosphere() {
        assert!((saturation_pressure(373.1243).unwrap() / 101_325.0 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn outside_the_range_is_refused() {
        for t in [f64::NAN, -5.0, 0.0, 700.0, f64::INFINITY] {
            assert!(matches!(saturation_pressure(t), Err(GasError::OutOfRange { .. })));
        }
    }
}
