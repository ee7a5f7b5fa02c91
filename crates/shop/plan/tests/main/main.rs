//! Checks of the whole crate; those on gas dynamics use coarse meshes and few speeds, to be quick.

mod acting;
mod behaviour;
mod bench;
mod network;
