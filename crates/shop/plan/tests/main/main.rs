//! Checks of the whole crate; those on gas dynamics use coarse meshes and few speeds, to be quick.

mod acting;
mod behaviour;
mod bench;
mod chance;
mod coverage;
mod engines;
mod invented;
mod network;
mod ram;
mod random;
mod survive;
