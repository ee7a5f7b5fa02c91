//! The `shortblock` program.

fn main() {}
