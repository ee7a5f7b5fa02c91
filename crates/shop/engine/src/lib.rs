//! The build document: schema, inheritance, assumed values, faults and doubts.
//!
//! An engine file is TOML; [`load`] reads it with everything it is based on and gives a [`Build`]
//! in SI, or all its faults. What nobody said is assumed, marked, and explained. The schema is
//! declared once ([`schema`]); the JSON schema and the documentation page come from it.

#![deny(missing_docs)]

mod assume;
pub mod build;
mod change;
pub mod defaults;
mod diff;
mod docs_page;
mod edit;
mod fault;
mod fill;
mod item;
mod json_schema;
mod layers;
mod load;
mod loader;
mod nearest;
mod node;
mod read;
pub mod schema;
mod source;
mod tree;
mod value;

pub use build::Build;
pub use change::quantity;
pub use diff::{Change, Diff, PartChange, diff};
pub use docs_page::docs_page;
pub use edit::{EditError, edit};
pub use fault::{Doubt, Faults, Finding, render};
pub use item::{CheckingLift, Duration, From, Item, Leaf, LiftBasis, Table, Wish};
pub use json_schema::json_schema;
pub use load::{Loaded, load};
pub use loader::{Loader, Memory};
pub use nearest::nearest;
pub use source::{Place, Position, Source, Sources};
pub use value::{Remarks, Spot, Value};
