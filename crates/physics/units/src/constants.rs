//! Exact definitions from which every factor is built.
//!
//! Source: international yard and pound agreement of 1959, standard gravity of the 3rd CGPM (1901),
//! conventional mercury and water columns and British thermal unit as in NIST SP 811 (2008),
//! App. B (from memory; checked against `tests/data/unit_constants.json`).

/// Inch, m.
pub const INCH: f64 = 0.0254;
/// Foot, m.
pub const FOOT: f64 = 0.3048;
/// Avoirdupois pound, kg.
pub const POUND: f64 = 0.453_592_37;
/// Standard acceleration of gravity, m/s².
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// Pound-force, N.
pub const POUND_FORCE: f64 = POUND * STANDARD_GRAVITY;
/// Pound-force foot, N·m (J as an energy).
pub const POUND_FORCE_FOOT: f64 = POUND_FORCE * FOOT;
/// Mechanical horsepower, 550 ft·lbf/s, W.
pub const HORSEPOWER: f64 = 550.0 * POUND_FORCE_FOOT;
/// Metric horsepower, 75 kgf·m/s, W.
pub const METRIC_HORSEPOWER: f64 = 75.0 * STANDARD_GRAVITY;
/// Pound-force per square inch, Pa.
pub const PSI: f64 = POUND_FORCE / (INCH * INCH);
/// Conventional millimetre of mercury: 13 595.1 kg/m³ (0 °C) under standard gravity, Pa.
pub const MM_MERCURY: f64 = 13_595.1 * STANDARD_GRAVITY * 1e-3;
/// Conventional millimetre of water: 1000 kg/m³ (4 °C) under standard gravity, Pa.
pub const MM_WATER: f64 = STANDARD_GRAVITY;
/// Inch of mercury with the mercury at 60 °F, Pa. Source: NIST SP 811, App. B.8.
pub const INCH_MERCURY_60F: f64 = 3376.85;
/// Inch of water with the water at 60 °F, Pa. Source: NIST SP 811, App. B.8.
pub const INCH_WATER_60F: f64 = 248.84;
/// Standard atmosphere, Pa.
pub const ATMOSPHERE: f64 = 101_325.0;
/// US gallon, 231 in³, m³.
pub const US_GALLON: f64 = 231.0 * INCH * INCH * INCH;
/// Imperial gallon, m³. Source: UK Weights and Measures Act 1985 (from memory).
pub const IMPERIAL_GALLON: f64 = 4.546_09e-3;
/// International table British thermal unit, J.
pub const BTU: f64 = 1_055.055_852_62;
/// International table calorie, J.
pub const CALORIE: f64 = 4.1868;
/// Kilowatt hour, J.
pub const KILOWATT_HOUR: f64 = 3.6e6;
/// Degree of angle, rad.
pub const DEGREE: f64 = std::f64::consts::PI / 180.0;
/// One turn a minute, rad/s.
pub const RPM: f64 = std::f64::consts::PI / 30.0;
/// Zero of the Celsius scale, K.
pub const CELSIUS_ZERO: f64 = 273.15;
/// Zero of the Fahrenheit scale, K.
pub const FAHRENHEIT_ZERO: f64 = 459.67 * 5.0 / 9.0;
