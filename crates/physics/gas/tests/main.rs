//! Checks of the whole crate against published and independently computed values.

mod air;
mod burned;
mod duct;
mod flame;
mod flame_speed;
mod fuels;
mod identities;
mod properties;
mod table;
mod tables;
mod unburned;
