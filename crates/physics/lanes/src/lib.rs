//! Numbers worked on in lock-step: one lane per operating point, candidate build or sample.
//!
//! A kernel is written once against [`Lane`] and compiled for a plain `f64` (one lane) or for
//! [`Lanes`]`<f32 | f64, N, FMA>`. Every operation works lane by lane, so a lane's result never
//! depends on its neighbours or on `N`. Nothing here branches on data: [`Lane::select_lt`] picks.
//!
//! `FMA` says whether the code is compiled for a target with fused multiply-add. Without it
//! `mul_add` would be a library call, so `a * b + c` is used; the two levels differ by rounding.
//! The caller wraps its top-level loop in one `#[target_feature]` function per level; everything
//! here is `inline(always)` and takes on the features of that caller.

#![deny(missing_docs)]

mod lanes;
mod lanewise;
mod level;
mod real;
#[cfg(target_arch = "x86_64")]
mod wide;

pub use lanes::Lanes;
pub use lanewise::Lanewise;
pub use level::{Kind, Level};
pub use real::Real;

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// A number, or several numbers worked on in lock-step.
pub trait Lane:
    Copy
    + Default
    + std::fmt::Debug
    + Send
    + Sync
    + 'static
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
{
    /// How many lanes there are.
    const WIDTH: usize;
    /// The type of one lane.
    type Scalar: Real;

    /// The same value in every lane.
    fn splat(x: f64) -> Self;
    /// The value of lane `i` as f64. Panics when `i >= WIDTH`.
    fn get(&self, i: usize) -> f64;
    /// Sets lane `i`. Panics when `i >= WIDTH`.
    fn set(&mut self, i: usize, x: f64);
    /// Square root; NaN below zero.
    fn sqrt(self) -> Self;
    /// Absolute value.
    fn abs(self) -> Self;
    /// `self * a + b`, fused where the level has FMA.
    fn mul_add(self, a: Self, b: Self) -> Self;
    /// In each lane: `if a < b { x } else { y }` (NaN in `a` or `b` gives `y`).
    fn select_lt(a: Self, b: Self, x: Self, y: Self) -> Self;
    /// Exponential function, relative error below 1e-14 (f64) or 3e-7 (f32); saturates at the
    /// ends of the exponent range instead of overflowing.
    fn exp(self) -> Self;
    /// Natural logarithm of a positive normal number, relative error as [`Lane::exp`].
    fn ln(self) -> Self;

    /// The value of `f(i)` in lane `i`.
    #[inline(always)]
    fn from_fn(mut f: impl FnMut(usize) -> f64) -> Self {
        let mut out = Self::default();
        for i in 0..Self::WIDTH {
            out.set(i, f(i));
        }
        out
    }
    /// The smaller of the two, lane by lane.
    #[inline(always)]
    fn min(self, b: Self) -> Self {
        Self::select_lt(self, b, self, b)
    }
    /// The larger of the two, lane by lane.
    #[inline(always)]
    fn max(self, b: Self) -> Self {
        Self::select_lt(self, b, b, self)
    }
    /// `self` limited to the range from `lo` to `hi`.
    #[inline(always)]
    fn clamp(self, lo: Self, hi: Self) -> Self {
        self.max(lo).min(hi)
    }
    /// `self` to the power `p`, for positive `self`.
    #[inline(always)]
    fn powf(self, p: f64) -> Self {
        (self.ln() * Self::splat(p)).exp()
    }
    /// Largest value over the lanes, as f64.
    fn largest(&self) -> f64 {
        (0..Self::WIDTH).map(|i| self.get(i)).fold(f64::NEG_INFINITY, f64::max)
    }
    /// Whether every lane is finite.
    fn all_finite(&self) -> bool {
        (0..Self::WIDTH).all(|i| self.get(i).is_finite())
    }
}

impl Lane for f64 {
    const WIDTH: usize = 1;
    type Scalar = f64;
    #[inline(always)]
    fn splat(x: f64) -> f64 {
        x
    }
    #[inline(always)]
    fn get(&self, i: usize) -> f64 {
        assert!(i == 0, "one lane only");
        *self
    }
    #[inline(always)]
    fn set(&mut self, i: usize, x: f64) {
        assert!(i == 0, "one lane only");
        *self = x;
    }
    #[inline(always)]
    fn sqrt(self) -> f64 {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn abs(self) -> f64 {
        f64::abs(self)
    }
    #[inline(always)]
    fn mul_add(self, a: f64, b: f64) -> f64 {
        self * a + b
    }
    #[inline(always)]
    fn select_lt(a: f64, b: f64, x: f64, y: f64) -> f64 {
        if a < b { x } else { y }
    }
    #[inline(always)]
    fn exp(self) -> f64 {
        Real::exp::<false>(self)
    }
    #[inline(always)]
    fn ln(self) -> f64 {
        Real::ln::<false>(self)
    }
}
