//! What keeps air from being described or a figure from being corrected.

use crate::standard::Standard;
use shortblock_gas::GasError;

/// Air that cannot be, an engine that is not described, a figure that must not be corrected.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WeatherError {
    /// A number outside what can be worked with, in the unit in which people say it.
    #[error("{what}: {value} {unit} is not between {low} and {high} {unit}; {remedy}")]
    OutOfRange {
        /// What the number is.
        what: &'static str,
        /// The number, in `unit`.
        value: f64,
        /// Least that is accepted, in `unit`.
        low: f64,
        /// Greatest that is accepted, in `unit`.
        high: f64,
        /// Unit of the numbers.
        unit: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// The air is said to hold more vapour than it can.
    #[error(
        "humidity: {vapour_hpa:.1} hPa of vapour in air that holds {most_hpa:.1} hPa at most; check \
         that the humidity is given with the temperature at its own sensor"
    )]
    TooHumid {
        /// Vapour pressure that follows from what was typed, hPa.
        vapour_hpa: f64,
        /// Saturation at the inlet's temperature, hPa.
        most_hpa: f64,
    },
    /// A wet bulb that reads more than the dry one.
    #[error("wet bulb: {wet_c:.1} degC is above the dry bulb, {dry_c:.1} degC; are they swapped?")]
    WetAboveDry {
        /// Wet bulb, °C.
        wet_c: f64,
        /// Dry bulb, °C.
        dry_c: f64,
    },
    /// A wet bulb so low, or so far below the dry one, that no vapour is left.
    #[error(
        "wet bulb: {wet_c:.1} degC beside {dry_c:.1} degC dry leaves no vapour in the air; wet the \
         wick and look that air is drawn over it"
    )]
    WetTooDry {
        /// Wet bulb, °C.
        wet_c: f64,
        /// Dry bulb, °C.
        dry_c: f64,
    },
    /// A bare number that is a pressure of the air in no unit.
    #[error(
        "barometer: {number} is a pressure of the air in no unit; is it gauge pressure, or another \
         column?"
    )]
    NoBarometer {
        /// The number.
        number: f64,
    },
    /// Boost is said to be held on an engine without a blower.
    #[error("engine: boost is held, but nothing makes boost; say which blower it has")]
    HeldWithoutBlower,
    /// A compression-ignition factor was asked for without the fuel delivered.
    #[error(
        "{}: needs the fuel in mg per cycle and litre, and the boost pressure ratio; give both, or \
         fuel flow, displacement and speed", standard.about().name
    )]
    FuellingMissing {
        /// The standard.
        standard: Standard,
    },
    /// The factor acts on indicated power, and nobody said what friction takes.
    #[error(
        "{}: its factor acts on indicated power; give the measured friction at this speed, or a \
         mechanical efficiency", standard.about().name
    )]
    FrictionMissing {
        /// The standard.
        standard: Standard,
    },
    /// A factor of an old file that acts on indicated power, without friction.
    #[error(
        "correction factor of the file: it acts on indicated power; give the measured friction at \
         this speed"
    )]
    StatedFriction,
    /// A corrected figure of one standard, to be taken back by another.
    #[error(
        "figure corrected to {}: cannot be taken back by the factor of {}; use the factor it was \
         corrected with", figure.about().name, factor.about().name
    )]
    OtherStandard {
        /// Standard of the figure.
        figure: Standard,
        /// Standard of the factor.
        factor: Standard,
    },
    /// Times of a pull and of weather readings that do not fit together.
    #[error("{what}: {time} s; give times in s of one clock, the first before the second")]
    Time {
        /// Which time.
        what: &'static str,
        /// The time, s.
        time: f64,
    },
    /// The properties of water vapour refuse the state.
    #[error(transparent)]
    Vapour(#[from] GasError),
}

/// Returns `si` when it lies in `range`, both in SI; else the error in the unit that people say.
pub(crate) fn within(
    what: &'static str,
    si: f64,
    range: (f64, f64),
    say: (fn(f64) -> f64, &'static str),
    remedy: &'static str,
) -> Result<f64, WeatherError> {
    if si >= range.0 && si <= range.1 {
        return Ok(si);
    }
    let (convert, unit) = say;
    // To ten figures, so that no noise of a conversion is shown.
    let shown = |si: f64| format!("{:.9e}", convert(si)).parse().unwrap_or(f64::NAN);
    let (value, low, high) = (shown(si), shown(range.0), shown(range.1));
    Err(WeatherError::OutOfRange { what, value, low, high, unit, remedy })
}

/// How a temperature in K is said.
pub(crate) const CELSIUS: (fn(f64) -> f64, &str) = (|kelvin| kelvin - 273.15, "degC");
/// How a pressure in Pa is said.
pub(crate) const KILOPASCAL: (fn(f64) -> f64, &str) = (|pascal| pascal / 1e3, "kPa");
/// How a share is said.
pub(crate) const PER_CENT: (fn(f64) -> f64, &str) = (|share| share * 100.0, "%");
/// A number that is said as it is.
pub(crate) const PLAIN: (fn(f64) -> f64, &str) = (|number| number, "");
