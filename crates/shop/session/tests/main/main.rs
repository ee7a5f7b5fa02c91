//! Tests over whole files.

mod reading;
