//! Picks the vector instructions at run time: one copy of "advance" per level and width.
//!
//! Results are bit-identical within one level and agree to 1e-6 across levels in f64.

use crate::close::Closer;
use crate::engine::Engine;
use crate::engine::step::advance;
use shortblock_cylinder::closed::{Ended, Run};
use shortblock_lanes::{Lane, Lanes};

pub(crate) use shortblock_lanes::Kind;

/// Lanes of one level: knows the copy of the loop that was compiled for it.
pub(crate) trait Dispatch: Lane {
    /// Lanes of the same level for the closed parts, which take 64 bits.
    type Closed: Integrate;
    /// Advances by a number of steps with the level's instructions.
    ///
    /// # Safety
    /// The processor must have the level's instructions.
    unsafe fn advance(engine: &mut Engine<Self>, closer: &mut Closer, steps: usize);
}

/// Lanes of one level: knows the copy of the closed part that was compiled for it.
pub(crate) trait Integrate: Lane {
    /// Integrates closed parts with the level's instructions.
    ///
    /// # Safety
    /// The processor must have the level's instructions.
    unsafe fn integrate(run: Run<Self>) -> Ended<Self>;
}

macro_rules! level {
    ($wide:ty, $narrow:ty $(, $features:literal)?) => {
        level!($wide $(, $features)?);
        level!(advance $narrow, $wide $(, $features)?);
    };
    ($wide:ty $(, $features:literal)?) => {
        level!(advance $wide, $wide $(, $features)?);
        impl Integrate for $wide {
            $(#[target_feature(enable = $features)])?
            unsafe fn integrate(run: Run<Self>) -> Ended<Self> {
                run.integrate()
            }
        }
    };
    (advance $lanes:ty, $wide:ty $(, $features:literal)?) => {
        impl Dispatch for $lanes {
            type Closed = $wide;
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
// One lane alone: what a trace is worked out in.
level!(f64);
level!(Base64, Base32);
#[cfg(target_arch = "x86_64")]
mod wide {
    use super::*;
    pub(crate) type Avx2F64 = Lanes<f64, 4, true>;
    pub(crate) type Avx2F32 = Lanes<f32, 8, true>;
    pub(crate) type Avx512F64 = Lanes<f64, 8, true>;
    pub(crate) type Avx512F32 = Lanes<f32, 16, true>;
    level!(Avx2F64, Avx2F32, "avx2,fma");
    level!(Avx512F64, Avx512F32, "avx512f,avx512vl,avx512dq,avx2,fma");
}
#[cfg(target_arch = "x86_64")]
pub(crate) use wide::*;
