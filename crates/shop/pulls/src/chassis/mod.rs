//! Chassis rollers: power at the wheels, losses, and what the crankshaft may have given.
//!
//! `P_wheel = omega (J d omega/dt + T_absorber + T_drag(omega))` at the roller, whether the roller is
//! accelerated, loaded or both. That is the measurement, a [`WheelPower`]. What the engine gave is a
//! [`CrankEstimate`], with its ± and its assumption. One cannot stand for the other:
//!
//! ```
//! use shortblock_pulls::chassis::{
//!     CrankEstimate, Figure, Loss, Motion, Turning, WheelPower, crank_estimate,
//! };
//! fn print_at_the_crank(_power: &CrankEstimate) {}
//! let loss = Loss::Stated { share: 0.15, plus_minus: 0.05 };
//! let wheels = Figure { value: 2.5, plus_minus: 1.0, stated: true };
//! let (roller, engine) = (Motion { speed: 100.0, rate: 5.0 }, Motion { speed: 700.0, rate: 35.0 });
//! let turning = Turning { engine: None, wheels };
//! print_at_the_crank(&crank_estimate(WheelPower(200e3), roller, engine, &loss, &turning)?);
//! # Ok::<(), shortblock_pulls::PullsError>(())
//! ```
//!
//! ```compile_fail
//! use shortblock_pulls::chassis::{CrankEstimate, WheelPower};
//! fn print_at_the_crank(_power: &CrankEstimate) {}
//! print_at_the_crank(&WheelPower(200e3));
//! ```
//!
//! ```compile_fail
//! use shortblock_pulls::chassis::{CrankEstimate, WheelPower};
//! fn gain(after: WheelPower, before: CrankEstimate) -> f64 {
//!     after - before
//! }
//! ```
//!
//! Compare only the same gear, tyre pressure and strap tension: a lower gear takes more for the
//! inertia of engine and driveline and slips more. Rollers throw what is loose: nobody stands in
//! line with the tyres, straps and guards are checked before each run.

mod coast_down;
mod crank;
mod drive;
mod roller;

pub use coast_down::{LossAt, Losses, fit_losses};
pub use crank::{CrankEstimate, Figure, Loss, Motion, Turning, crank_estimate};
pub(crate) use drive::WORKED_OUT;
pub use drive::{Drive, add_engine_speed, drive, engine_speed};
pub use roller::{Roller, WheelCurve, WheelPower, wheel_curve, wheel_power};
