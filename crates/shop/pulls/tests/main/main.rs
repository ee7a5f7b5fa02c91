//! Tests of logs, channels and pulls through the public functions.

mod any;
mod chassis;
mod checks;
mod damage;
mod derived;
mod dialects;
mod exchanged;
mod finding;
mod foreign;
mod gridding;
mod lagging;
mod made;
mod mdf;
mod memory;
mod messages;
mod recognise;
mod written;
