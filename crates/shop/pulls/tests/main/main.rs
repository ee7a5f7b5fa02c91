//! Tests of logs, channels and pulls through the public functions.

mod checks;
mod damage;
mod dialects;
mod finding;
mod gridding;
mod made;
mod mdf;
mod memory;
mod recognise;
mod written;
