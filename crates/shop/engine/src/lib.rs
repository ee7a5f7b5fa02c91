//! The build document: schema, inheritance, assumed values, faults and doubts.

#![deny(missing_docs)]
