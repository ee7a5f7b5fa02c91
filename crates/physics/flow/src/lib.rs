//! Quasi-one-dimensional gas dynamics: ducts, their ends, openings and volumes.

#![deny(missing_docs)]
