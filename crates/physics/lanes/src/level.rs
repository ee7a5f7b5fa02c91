//! Which instruction set a kernel is compiled for, and the one macro that makes its entries.

/// An instruction level that this machine has. It can only be made by asking the machine, so a
/// call through it is safe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Level(Kind);

/// The levels by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// What the whole program is compiled for.
    Baseline,
    /// AVX2 with fused multiply-add (x86-64-v3).
    Avx2,
    /// AVX-512 (F, VL, DQ) with fused multiply-add.
    Avx512,
}

impl Level {
    /// The level that every machine has.
    pub const BASELINE: Level = Level(Kind::Baseline);

    /// The levels of this machine, lowest first.
    pub fn available() -> Vec<Level> {
        #[allow(unused_mut)]
        let mut levels = vec![Level::BASELINE];
        #[cfg(target_arch = "x86_64")]
        {
            let avx2 = is_x86_feature_detected!("avx2") && is_x86_feature_detected!("fma");
            if avx2 {
                levels.push(Level(Kind::Avx2));
            }
            let wide = is_x86_feature_detected!("avx512f")
                && is_x86_feature_detected!("avx512vl")
                && is_x86_feature_detected!("avx512dq");
            if avx2 && wide {
                levels.push(Level(Kind::Avx512));
            }
        }
        levels
    }

    /// The highest level of this machine.
    pub fn best() -> Level {
        Self::available().pop().unwrap_or(Level::BASELINE)
    }

    /// Which level this is.
    pub fn kind(self) -> Kind {
        self.0
    }

    /// The name that is stored with results.
    pub fn name(self) -> &'static str {
        match self.0 {
            Kind::Baseline => "baseline",
            Kind::Avx2 => "avx2+fma",
            Kind::Avx512 => "avx512",
        }
    }
}

/// Makes a function that runs `body` compiled for the given [`Level`].
///
/// The body must call only `inline(always)` kernels; use `Lanes<_, _, true>` at the levels with
/// fused multiply-add and `Lanes<_, _, false>` at the baseline. Generic parameters stand in
/// square brackets.
///
/// ```
/// use shortblock_lanes::{Lane, Lanes, Level, at_level};
/// at_level! {
///     /// Adds `b` to `a`.
///     pub fn add_to[V: Lane](a: &mut V, b: V) { *a += b; }
/// }
/// let mut a = 1.0;
/// add_to(Level::best(), &mut a, 2.0);
/// assert_eq!(a, 3.0);
/// ```
#[macro_export]
macro_rules! at_level {
    ($(#[$meta:meta])* $vis:vis fn $name:ident[$($generics:tt)*]($($arg:ident: $type:ty),* $(,)?)
        $(-> $out:ty)? $body:block) => {
        $(#[$meta])*
        #[allow(clippy::too_many_arguments)]
        $vis fn $name<$($generics)*>(level: $crate::Level, $($arg: $type),*) $(-> $out)? {
            #[inline(never)]
            fn baseline<$($generics)*>($($arg: $type),*) $(-> $out)? $body
            #[cfg(target_arch = "x86_64")]
            #[target_feature(enable = "avx2,fma")]
            fn avx2<$($generics)*>($($arg: $type),*) $(-> $out)? $body
            #[cfg(target_arch = "x86_64")]
            #[target_feature(enable = "avx2,fma,avx512f,avx512vl,avx512dq")]
            fn avx512<$($generics)*>($($arg: $type),*) $(-> $out)? $body
            match level.kind() {
                // SAFETY: a `Level` above the baseline exists only where the machine has it.
                #[cfg(target_arch = "x86_64")]
                $crate::Kind::Avx2 => unsafe { avx2($($arg),*) },
                #[cfg(target_arch = "x86_64")]
                $crate::Kind::Avx512 => unsafe { avx512($($arg),*) },
                _ => baseline($($arg),*),
            }
        }
    };
}
