//! Tests of logs, channels and pulls through the public functions.

mod finding;
mod made;
mod recognise;
