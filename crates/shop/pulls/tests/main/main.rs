//! Tests of logs, channels and pulls through the public functions.

mod finding;
mod gridding;
mod made;
mod recognise;
