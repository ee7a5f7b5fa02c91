//! The build document: schema, inheritance, assumed values, faults and doubts.
//!
//! An engine file is TOML; [`load`] reads it with everything it is based on and gives a [`Build`]
//! in SI, or all its faults. What nobody said is assumed, marked, and explained. The schema is
//! declared once ([`schema`]); the JSON schema and the documentation page come from it.
//!
//! The assumption that matters most: a value that nobody stated is never taken silently. It is a
//! [`Value`] of origin *assumed* with its ±, its reason and its source, and [`Build::assumed`]
//! lists it.
//!
//! - [`load`] with a [`Loader`]: texts to a [`Loaded`] with a [`Build`], [`Faults`] and [`Doubt`]s.
//! - [`Build`]: typed parts in SI; [`Build::items`], [`Build::values`], [`Build::assumed`] by path.
//! - [`Build::with`], [`Build::with_si`], [`Build::parameters`], [`Build::step`]: what-if, samples.
//! - [`diff()`], [`edit()`], [`json_schema()`], [`docs_page()`].
//!
//! ```
//! use shortblock_engine::{Memory, load};
//! let text = "format = 1\ncylinders = 4\nbore = \"86.0 mm\"\nstroke = \"3.386 in\"\n";
//! let loaded = load("mine.toml", &Memory::default().with("mine.toml", text));
//! let build = loaded.build?;
//! assert_eq!(build.bottom_end.rod_length.why, "rods of road and race engines lie between 1.5 and 1.9 strokes");
//! let longer = build.with("rod_length", "150 mm")?;
//! assert!(!longer.bottom_end.rod_length.is_assumed());
//! # Ok::<(), shortblock_engine::Faults>(())
//! ```

#![deny(missing_docs)]

mod assume;
pub mod build;
mod change;
pub mod defaults;
mod diff;
mod docs_page;
mod edit;
mod fill;
mod item;
mod json_schema;
mod layers;
mod load;
mod read;
pub mod schema;
mod tree;
mod value;

pub use build::Build;
pub use change::quantity;
pub use diff::{Change, Diff, PartChange, diff};
pub use docs_page::docs_page;
pub use edit::{EditError, edit};
pub use item::{CheckingLift, Duration, From, Item, Items, Leaf, LiftBasis, Table, Wish};
pub use json_schema::json_schema;
pub use load::{Loaded, load, stated};
pub use shortblock_document::{Doubt, Faults, Finding, Loader, Memory, Sources, render};
pub use value::{Remarks, Spot, Value};
