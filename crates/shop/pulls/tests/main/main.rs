//! Tests of logs, channels and pulls through the public functions.

mod recognise;
