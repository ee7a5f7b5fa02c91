//! What every file written by hand has in common: TOML as a tree in which all has its place, faults
//! with line, caret and remedy, nearest words, and a loader that the caller passes in.
//!
//! ```
//! use shortblock_document::{Finding, Sources, parse, render};
//! let mut sources = Sources::default();
//! let index = sources.add("dyno.toml", "inertia = 31\n");
//! let root = parse(&sources, index).unwrap();
//! let place = &root.get("inertia").unwrap().place;
//! let fault = Finding::new("inertia has no unit").at(place).mark("needs a unit");
//! let said = "1  line 1: inertia has no unit\n     1 │ inertia = 31\n       │           ^^ needs a unit\n";
//! assert_eq!(render(&[fault], &sources), said);
//! ```

#![deny(missing_docs)]

mod fault;
mod loader;
mod nearest;
mod node;
mod source;
mod value;

pub use fault::{Doubt, Faults, Finding, in_order, render};
pub use loader::{Loader, Memory, folder, is_plain, join};
pub use nearest::nearest;
pub use node::{Body, Node, parse};
pub use source::{Place, Position, Source, Sources};
pub use value::{label, value_fault};
