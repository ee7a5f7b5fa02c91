//! The files beside the logs: one day on one dyno ([`Session`]) and the dyno's own record ([`Dyno`]),
//! read into SI or refused with all faults at once, each with its place and its remedy.
//!
//! Every word of a session may be left out. What a person left out is `None` here: nothing is
//! assumed in this crate.
//!
//! - [`load_session`], [`load_dyno`] with a loader: texts to a [`Loaded`].
//! - [`add_seen`]: scatter of one more session written into the dyno's record, the rest untouched.
//! - [`kept_text`], [`load_kept`]: the scatter that a kept comparison was worked out with.
//! - [`File`]: the declared words; [`json_schema`] and [`docs_page`] come from them.
//!
//! ```
//! use shortblock_document::Memory;
//! use shortblock_session::load_session;
//! let text = "
//! format = 1
//! correction = \"SAE J1349 JUN90\"
//! [[pull]]
//! file = \"p44.csv\"
//! build = \"b6\"
//! ";
//! let loaded = load_session("s6/session.toml", &Memory::default().with("s6/session.toml", text));
//! let session = loaded.read?;
//! assert_eq!(session.pulls[0].file, "s6/p44.csv");
//! # Ok::<(), shortblock_document::Faults>(())
//! ```

#![deny(missing_docs)]

mod air;
mod clock;
mod column;
mod corrected;
mod docs_page;
mod dyno;
mod entry;
mod form;
mod json_schema;
mod kept;
mod layouts;
mod limit;
mod load;
mod order;
mod pull;
mod rules;
mod schema;
mod seen;
mod session;
mod setting;
mod tried;
mod write;

pub use air::Reading;
pub use clock::time_of_day;
pub use corrected::{AirFrom, InAir, NotCorrected, in_air, in_this_air, reading_words};
pub use docs_page::docs_page;
pub use dyno::{Dyno, Instrument, Roller};
pub use json_schema::json_schema;
pub use kept::{kept_text, load_kept};
pub use layouts::{LayoutsError, add_layout, load_layouts};
pub use limit::{Limit, Side};
pub use load::{Loaded, load_dyno, load_session};
pub use pull::{LeftOut, Pull};
pub use schema::{Field, File, Kind};
pub use seen::Seen;
pub use session::Session;
pub use setting::Setting;
pub use tried::{Ran, all_corrected, pull_set};
pub use write::{WriteError, add_seen};
