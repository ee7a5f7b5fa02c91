//! Loops over a setting: torque at one speed against spark advance or mixture, and what to set.
//!
//! The assumption that matters most: near its top torque is a parabola of the setting, and only
//! near it. So readings far from the top, and readings with knock, are not fitted; where the loop
//! does not reach over the top there is no best setting, and none is invented.
//!
//! ```
//! use shortblock_tune::{Answer, Reading, Scatter, Setting, best_setting};
//! let degrees = [26.0, 28.0, 30.0, 32.0, 34.0, 36.0_f64];
//! let torque = [341.0, 345.2, 347.6, 348.4, 347.2, 344.3];
//! let readings: Vec<Reading> = degrees
//!     .iter()
//!     .zip(torque)
//!     .map(|(d, t)| Reading { setting: d.to_radians(), torque: t, knock: false })
//!     .collect();
//! let Answer::Best(best) = best_setting(Setting::Spark, &readings, &Scatter::unknown()) else {
//!     panic!("the loop goes over the top");
//! };
//! assert!((best.setting.to_degrees() - 31.75).abs() < 0.01);
//! assert!((best.choose.to_degrees() - 28.95).abs() < 0.01, "the retarded end is free of charge");
//! ```

#![deny(missing_docs)]

mod answer;
mod knock;
mod next;
mod parabola;
mod reading;
mod student;
mod words;

pub use answer::{Answer, Best, KnockLimited, best_setting};
pub use knock::knock_bound;
pub use next::{Next, Proposal, expected_improvement, next_setting};
pub use parabola::{Limits, Parabola};
pub use reading::{Reading, Scatter, Setting};
pub use words::sentences;
