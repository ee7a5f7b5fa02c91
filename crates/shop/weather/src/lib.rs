//! Air of the dyno cell, and power corrected to the air of a standard: once, and by name.
//!
//! [`Air`] is what the weather station says, made from what an operator types. [`correction`] takes
//! it, a [`Standard`] and the [`Subject`] (what engine it is) to an [`Outcome`]: a [`Correction`]
//! with its [`Factor`], windows and remarks, or [`NotApplicable`] with the reason. An
//! [`Observed`] figure becomes a [`Corrected`] one that carries the standard; there is no way to
//! correct it again, and [`Correction::undo`] takes it back:
//!
//! ```
//! use shortblock_weather::*;
//! let humidity = Humidity::Relative { fraction: 0.4, sensor_temperature: 303.15 };
//! let air = Air::new(98_500.0, 303.15, humidity)?;
//! let outcome = correction(Standard::J1349Jun1990, &air, &Subject::spark())?;
//! let Outcome::Applies(j1349) = outcome else { unreachable!() };
//! let corrected = j1349.correct(Observed(Torque(601.0)), None)?;
//! assert!(corrected.value().0 > 601.0);
//! assert!((j1349.undo(corrected, None)?.0.0 - 601.0).abs() < 1e-9);
//! # Ok::<(), WeatherError>(())
//! ```
//!
//! ```compile_fail
//! use shortblock_weather::*;
//! fn twice(c: &Correction, once: Corrected<Torque>) {
//!     let _ = c.correct(once, None); // what is corrected is not observed
//! }
//! ```
//!
//! Nothing is read, asked or remembered here; pressures are absolute, in Pa, temperatures in K.
//! The standards were not opened: what each file knows, and from where, stands at its head.

#![deny(missing_docs)]

mod air;
mod barometer;
mod correction;
mod density;
mod error;
mod figure;
mod humidity;
mod psychrometer;
mod pull;
mod remark;
mod standard;
mod standards;
mod subject;
mod unit_guess;
mod window;

pub use air::Air;
pub use barometer::{Barometer, BarometerSays, barometer, station_from_sea_level};
pub use correction::{Correction, NotApplicable, Outcome, correction, correction_within};
pub use density::{cipm_density, two_gas_density};
pub use error::WeatherError;
pub use figure::{Corrected, Factor, Figure, Observed, Power, Torque, undo_stated};
pub use humidity::{Humidity, dew_point};
pub use psychrometer::{enhancement, psychrometer_vapour_pressure, saturation_pressure_wmo};
pub use pull::{Flag, OLDEST_READING, PullCorrection, Span, Timed, over_pull};
pub use remark::Remark;
pub use standard::{About, Standard};
pub use standards::cfr::{Validity, validity};
pub use standards::iso3046::{Adjustment, Engine3046, adjustment};
pub use subject::{Aspiration, ChargeCooler, Friction, Fuelling, Ignition, Stroke, Subject};
pub use unit_guess::{BarometerGuess, guess_barometer_unit};
pub use window::{Limit, Side, Watched, Window};
