//! Density of moist air.
//!
//! Equation: `rho = p M_a / (Z R T) (1 - x_v (1 - M_v / M_a))`, `x_v = e / p`, `Z` a polynomial in
//! p, t and x_v (CIPM-2007).
//! Source: Picard, Davis, Gläser & Fujii 2008, Metrologia 45:149, coefficients as in two public
//! transcriptions; carbon dioxide at 400 µmol/mol, where no term of it is left.
//! Range: 600 to 1100 hPa, 15 to 27 °C as stated; an independent library (ASHRAE RP-1485) agrees
//! within 4e-5 over 850 to 1013 hPa, 10 to 35 °C.
//!
//! [`two_gas_density`] is the ideal-gas form, within 5.1e-4 of it over the same states.

/// Molar mass of dry air with 400 µmol/mol of carbon dioxide, kg/mol.
const MOLAR_MASS_AIR: f64 = 28.965_46e-3;
/// Molar mass of water, kg/mol.
const MOLAR_MASS_WATER: f64 = 18.015_28e-3;
/// Molar gas constant that CIPM-2007 was fitted with, J/(mol K).
const R: f64 = 8.314_472;
/// Gas constant of dry air, J/(kg K).
const R_AIR: f64 = 287.055;
/// Gas constant of water vapour, J/(kg K).
const R_VAPOUR: f64 = 461.495;

/// Density, kg/m³, of air of `pressure` and `vapour` pressure (Pa) at `temperature` (K).
pub fn cipm_density(pressure: f64, temperature: f64, vapour: f64) -> f64 {
    let x = vapour / pressure;
    let t = temperature - 273.15;
    let first = 1.581_23e-6 - 2.9331e-8 * t
        + 1.1043e-10 * t * t
        + (5.707e-6 - 2.051e-8 * t) * x
        + (1.9898e-4 - 2.376e-6 * t) * x * x;
    let ratio = pressure / temperature;
    let z = 1.0 - ratio * first + ratio * ratio * (1.83e-11 - 0.765e-8 * x * x);
    let dry = pressure * MOLAR_MASS_AIR / (z * R * temperature);
    dry * (1.0 - x * (1.0 - MOLAR_MASS_WATER / MOLAR_MASS_AIR))
}

/// Density, kg/m³, as two ideal gases: within 5.1e-4 of [`cipm_density`].
pub fn two_gas_density(pressure: f64, temperature: f64, vapour: f64) -> f64 {
    (pressure - vapour) / (R_AIR * temperature) + vapour / (R_VAPOUR * temperature)
}
