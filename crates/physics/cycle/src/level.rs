//! Picks the vector instructions at run time: one copy of "advance a cycle" per level and width.
//!
//! Results are bit-identical within one level and agree to 1e-6 across levels in f64.

use crate::close::Closer;
use crate::engine::{Engine, advance_cycle};
use shortblock_lanes::{Lane, Lanes};

/// A set of vector instructions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// What every processor of the architecture has.
    Baseline,
    /// 256-bit vectors with fused multiply-add.
    Avx2,
    /// 512-bit vectors with fused multiply-add.
    Avx512,
}

impl Level {
    /// The levels this processor has, lowest first.
    pub fn available() -> Vec<Level> {
        let mut levels = vec![Level::Baseline];
        #[cfg(target_arch = "x86_64")]
        {
            if is_x86_feature_detected!("avx2") && is_x86_feature_detected!("fma") {
                levels.push(Level::Avx2);
                let wide = is_x86_feature_detected!("avx512f")
                    && is_x86_feature_detected!("avx512vl")
                    && is_x86_feature_detected!("avx512dq");
                if wide {
                    levels.push(Level::Avx512);
                }
            }
        }
        levels
    }

    /// The highest level this processor has.
    pub fn best() -> Level {
        Level::available().last().copied().unwrap_or(Level::Baseline)
    }

    /// A word for records: `baseline`, `avx2`, `avx512`.
    pub fn word(self) -> &'static str {
        match self {
            Level::Baseline => "baseline",
            Level::Avx2 => "avx2",
            Level::Avx512 => "avx512",
        }
    }
}

/// Lanes of one level: knows the copy of the loop that was compiled for it.
pub(crate) trait Dispatch: Lane {
    /// Advances by one cycle with the level's instructions.
    ///
    /// # Safety
    /// The processor must have the level's instructions.
    unsafe fn advance(engine: &mut Engine<Self>, closer: &mut Closer);
}

macro_rules! level {
    ($lanes:ty $(, $features:literal)?) => {
        impl Dispatch for $lanes {
            $(#[target_feature(enable = $features)])?
            unsafe fn advance(engine: &mut Engine<Self>, closer: &mut Closer) {
                advance_cycle(engine, closer);
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
