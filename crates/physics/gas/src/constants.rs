//! Physical constants shared by the crate.

/// Molar gas constant, J/(mol K). Source: CODATA 2018, exact in the SI of 2019.
pub const R_UNIVERSAL: f64 = 8.314_462_618_153_24;
/// Standard-state pressure of the NASA polynomials as used here, Pa (one atmosphere).
pub const P_STANDARD: f64 = 101_325.0;
/// Reference temperature of formation enthalpies, K.
pub const T_REFERENCE: f64 = 298.15;

/// Molar mass of carbon, kg/mol. Source: IUPAC abridged standard atomic weights.
pub const M_C: f64 = 12.011e-3;
/// Molar mass of hydrogen, kg/mol. Source: IUPAC abridged standard atomic weights.
pub const M_H: f64 = 1.008e-3;
/// Molar mass of oxygen, kg/mol. Source: IUPAC abridged standard atomic weights.
pub const M_O: f64 = 15.999e-3;
/// Molar mass of nitrogen, kg/mol. Source: IUPAC abridged standard atomic weights.
pub const M_N: f64 = 14.007e-3;
/// Molar mass of argon, kg/mol. Source: IUPAC abridged standard atomic weights.
pub const M_AR: f64 = 39.95e-3;
