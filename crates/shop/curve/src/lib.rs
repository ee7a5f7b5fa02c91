//! Curves over engine speed, predicted or measured, never mixed up.

#![deny(missing_docs)]
