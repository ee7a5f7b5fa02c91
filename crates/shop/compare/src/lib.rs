//! Back-to-back pulls compared: is the difference real, where, how much, and what would settle it?
//!
//! The unit is the **pull**, and where parts come off between pulls also the **refit**. Torque is
//! taken in logarithms, so every difference is a fraction (0.01 is one per cent). What can move a
//! pull besides the change under test (refit, day, drift, warm-up, weather left over, oil) enters
//! as a random column with its own standard deviation, from the dyno's own [`History`] or, labelled
//! so, from [`Scatter::assumed`]. Nothing here reads a file or a clock.
//!
//! ```
//! use shortblock_compare::{Change, DynoKind, Margin, Order, Scatter, plan_test};
//! let scatter = Scatter::assumed(DynoKind::Engine, Change::BoltOn);
//! let advice = plan_test(&scatter, Margin::per_cent(0.5).unwrap(), 0.015, &[]);
//! assert!(advice.designs.iter().any(|d| d.order == Order::parse("ABBA").unwrap()));
//! ```

#![deny(missing_docs)]

mod band;
mod compare;
mod components;
mod covariance;
mod design;
mod error;
mod estimate;
mod fitted;
mod history;
mod interval;
mod moderate;
mod modes;
mod multiple;
mod order;
mod plan;
mod power;
mod scatter;
mod select;
mod session;
mod student;
mod tried;
mod verdict;
mod words;

pub use band::{Band, Says, Stretch, critical_value, resels};
pub use compare::{Comparison, LeftOut, Levels, Outcome, Plan, Progress, answer, compare};
pub use components::{Component, Source};
pub use error::CompareError;
pub use estimate::Estimate;
pub use history::{History, HistoryKey, SessionScatter, Spread};
pub use interval::{AgainstWorld, BesidePull, Interval};
pub use moderate::{Prior, moderated, prior_of};
pub use modes::ByMode;
pub use multiple::holm;
pub use order::Order;
pub use plan::{Advice, Design, plan_test};
pub use power::{chance_of_equivalence, chance_of_real};
pub use scatter::{Change, DynoKind, Known, Origin, Profile, Scatter};
pub use tried::{Mode, Place, PullSet, SetAside, Tried};
pub use verdict::{Direction, Margin, Verdict, Worth};
pub use words::sentences;
