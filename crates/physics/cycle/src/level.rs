//! Picks the vector instructions at run time: one copy of "advance" per level and width.
//!
//! Results are bit-identical within one level and agree to 1e-6 across levels in f64.

use crate::close::Closer;
use crate::engine::{Engine, advance};
use shortblock_lanes::{Lane, Lanes};

pub(crate) use shortblock_lanes::Kind;

/// Lanes of one level: knows the copy of the loop that was compiled for it.
pub(crate) trait Dispatch: Lane {
    /// Advances by a number of steps with the level's instructions.
    ///
    /// # Safety
    /// The processor must have the level's instructions.
    unsafe fn advance(engine: &mut Engine<Self>, closer: &mut Closer, steps: usize);
}

macro_rules! level {
    ($lanes:ty $(, $features:literal)?) => {
        impl Dispatch for $lanes {
            $(#[target_feature(enable = $features)])?
            unsafe fn advance(engine: &mut Engine<Self>, closer: &mut Closer, steps: usize) {
                advance(engine, closer, steps);
            }
        }
    };
}

/// Lane types by level and precision.
pub(crate) type Base64 = Lanes<f64, 2, false>;
pub(crate) type Base32 = Lanes<f32, 4, false>;
level!(Base64);
level!(Base32);
#[cfg(target_arch = "x86_64")]
mod wide {
    use super::*;
    pub(crate) type Avx2F64 = Lanes<f64, 4, true>;
    pub(crate) type Avx2F32 = Lanes<f32, 8, true>;
    pub(crate) type Avx512F64 = Lanes<f64, 8, true>;
    pub(crate) type Avx512F32 = Lanes<f32, 16, true>;
    level!(Avx2F64, "avx2,fma");
    level!(Avx2F32, "avx2,fma");
    level!(Avx512F64, "avx512f,avx512vl,avx512dq,avx2,fma");
    level!(Avx512F32, "avx512f,avx512vl,avx512dq,avx2,fma");
}
#[cfg(target_arch = "x86_64")]
pub(crate) use wide::*;
