//! Tests of logs, channels and pulls through the public functions.

mod checks;
mod dialects;
mod finding;
mod gridding;
mod made;
mod recognise;
mod written;
