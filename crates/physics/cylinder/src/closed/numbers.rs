//! Sets of numbers in lanes.

use shortblock_lanes::Lane;

/// Declares a struct of numbers in lanes, single ones first, arrays after the semicolon.
macro_rules! numbers {
    ($(#[$meta:meta])* struct $name:ident {
        $($(#[$one_meta:meta])* $one:ident,)*
        $(; $($(#[$many_meta:meta])* $many:ident: $n:literal,)*)?
    }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, Default)]
        pub(super) struct $name<V> {
            $($(#[$one_meta])* pub $one: V,)*
            $($($(#[$many_meta])* pub $many: [V; $n],)*)?
        }

        // Not every set needs all of them.
        #[allow(dead_code)]
        impl<V: Lane> $name<V> {
            /// Every number of `self` and `other` by `f`.
            #[inline(always)]
            pub fn zip(&self, other: &Self, f: impl Fn(V, V) -> V) -> Self {
                // A loop: the library's functions on arrays are not compiled for the caller's
                // instructions.
                let mut out = *self;
                $(out.$one = f(self.$one, other.$one);)*
                $($(for k in 0..$n {
                    out.$many[k] = f(self.$many[k], other.$many[k]);
                })*)?
                out
            }

            /// In each lane `self` where `mask` is above 0, else `other`.
            #[inline(always)]
            pub fn or(&self, other: &Self, mask: V) -> Self {
                self.zip(other, |a, b| $crate::closed::numbers::pick(mask, a, b))
            }

            /// What `self` has become after `dt` at constant rates.
            #[inline(always)]
            pub fn after(&self, rates: &Self, dt: V) -> Self {
                self.zip(rates, |x, rate| rate.mul_add(dt, x))
            }

            /// The numbers of one lane.
            pub fn lane(&self, i: usize) -> $name<f64> {
                $name {
                    $($one: self.$one.get(i),)*
                    $($($many: self.$many.map(|x| x.get(i)),)*)?
                }
            }

            /// Each lane from its own source.
            pub fn gather(sources: &[&$name<f64>]) -> Self {
                Self {
                    $($one: V::from_fn(|i| sources[i].$one),)*
                    $($($many: std::array::from_fn(|k| V::from_fn(|i| sources[i].$many[k])),)*)?
                }
            }
        }
    };
}
pub(super) use numbers;

/// In each lane `x` where `mask` is above 0, else `y`.
#[inline(always)]
pub(super) fn pick<V: Lane>(mask: V, x: V, y: V) -> V {
    V::select_lt(V::splat(0.0), mask, x, y)
}

/// 1 in lanes where `a < b`, else 0 (NaN included).
#[inline(always)]
pub(super) fn below<V: Lane>(a: V, b: V) -> V {
    V::select_lt(a, b, V::splat(1.0), V::splat(0.0))
}

/// 1 in lanes where `x` lies between the bounds, else 0 (NaN included).
#[inline(always)]
pub(super) fn within<V: Lane>(x: V, low: f64, high: f64) -> V {
    below(V::splat(low), x) * below(x, V::splat(high))
}

/// Whether any lane of a mask is set.
#[inline(always)]
pub(super) fn any<V: Lane>(mask: V) -> bool {
    mask.largest() > 0.0
}
