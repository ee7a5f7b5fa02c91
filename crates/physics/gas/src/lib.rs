//! Fuels, humid air, unburned and burned gas.

#![deny(missing_docs)]
