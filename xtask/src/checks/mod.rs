//! One file per check; each gives one sentence per fault: where, what, remedy.

pub mod architecture;
pub mod closures;
pub mod floors;
pub mod kernels;
pub mod licences;
pub mod places;
pub mod purity;
pub mod readme;
pub mod sizes;
pub mod sources;
