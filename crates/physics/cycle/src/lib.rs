//! A network of ducts, volumes and cylinders run to a repeating cycle.

#![deny(missing_docs)]
