//! Several numbers in one aligned array: one vector register where the shape has one, else loops.

#[cfg(target_arch = "x86_64")]
use crate::wide::Register;
use crate::{Lane, Real};
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// `N` numbers worked on in lock-step; see the crate documentation for `FMA`.
///
/// On x86-64 the shapes of one register use its instructions: `<f64, 4, true>` and
/// `<f32, 8, true>` need AVX2 and FMA, `<f64, 8, true>` and `<f32, 16, true>` AVX-512. Work with
/// these only where [`crate::Level`] says that the machine has them, inside a function made by
/// [`crate::at_level`] (elsewhere they are right but slow).
///
/// Aligned for registers of 32 bytes: padded to the 64 of the widest ones, ducts no longer fit into
/// the fastest cache, and the narrower ones lose a fifth of their speed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(C, align(32))]
pub struct Lanes<T, const N: usize, const FMA: bool>(pub [T; N]);

/// Which register a shape fills.
#[derive(Clone, Copy, PartialEq, Eq)]
#[cfg_attr(not(target_arch = "x86_64"), allow(dead_code))]
enum Shape {
    Loop,
    F64x2,
    F32x4,
    F64x4,
    F32x8,
    F64x8,
    F32x16,
}

impl<T: Real, const N: usize, const FMA: bool> Lanes<T, N, FMA> {
    const SHAPE: Shape = if cfg!(not(target_arch = "x86_64")) {
        Shape::Loop
    } else {
        match (size_of::<T>(), N, FMA) {
            (8, 2, false) => Shape::F64x2,
            (4, 4, false) => Shape::F32x4,
            (8, 4, true) => Shape::F64x4,
            (4, 8, true) => Shape::F32x8,
            (8, 8, true) => Shape::F64x8,
            (4, 16, true) => Shape::F32x16,
            _ => Shape::Loop,
        }
    };

    /// The lanes as the register `R`.
    ///
    /// # Safety
    /// `R` must be the register of [`Self::SHAPE`].
    #[cfg(target_arch = "x86_64")]
    #[inline(always)]
    unsafe fn register<R: Register>(self) -> R {
        debug_assert!(size_of::<R>() == size_of::<[T; N]>());
        // SAFETY: same size by the caller's promise, and every bit pattern is a number.
        unsafe { std::mem::transmute_copy(&self.0) }
    }

    /// The register's numbers as lanes.
    ///
    /// # Safety
    /// As [`Self::register`].
    #[cfg(target_arch = "x86_64")]
    #[inline(always)]
    unsafe fn from_register<R: Register>(r: R) -> Self {
        // SAFETY: as above.
        Self(unsafe { std::mem::transmute_copy(&r) })
    }

    #[inline(always)]
    fn from_scalar(x: T) -> Self {
        #[cfg(target_arch = "x86_64")]
        {
            use std::arch::x86_64::*;
            macro_rules! call {
                ($r:ty) => {
                    // SAFETY: as in `by_shape`; the scalar type is the register's own.
                    return unsafe {
                        Self::from_register(<$r as Register>::splat(std::mem::transmute_copy(&x)))
                    }
                };
            }
            match Self::SHAPE {
                Shape::F64x2 => call!(__m128d),
                Shape::F32x4 => call!(__m128),
                Shape::F64x4 => call!(__m256d),
                Shape::F32x8 => call!(__m256),
                Shape::F64x8 => call!(__m512d),
                Shape::F32x16 => call!(__m512),
                Shape::Loop => {}
            }
        }
        Self([x; N])
    }

    #[inline(always)]
    fn map(self, f: impl Fn(T) -> T) -> Self {
        let mut out = self;
        for i in 0..N {
            out.0[i] = f(self.0[i]);
        }
        out
    }
}

/// `$f` of the lanes `$x` as registers, or `$else` for a shape without a register.
macro_rules! by_shape {
    ($f:ident($($x:expr),+), $else:expr) => {{
        #[cfg(target_arch = "x86_64")]
        {
            use std::arch::x86_64::*;
            // SAFETY: the shape decides the register; that the machine has its instructions is
            // the contract of the type.
            macro_rules! call {
                ($r:ty) => {
                    return unsafe { Self::from_register(<$r as Register>::$f($($x.register()),+)) }
                };
            }
            match Self::SHAPE {
                Shape::F64x2 => call!(__m128d),
                Shape::F32x4 => call!(__m128),
                Shape::F64x4 => call!(__m256d),
                Shape::F32x8 => call!(__m256),
                Shape::F64x8 => call!(__m512d),
                Shape::F32x16 => call!(__m512),
                Shape::Loop => {}
            }
        }
        $else
    }};
}

impl<T: Real, const N: usize, const FMA: bool> Default for Lanes<T, N, FMA> {
    #[inline(always)]
    fn default() -> Self {
        Self([T::ZERO; N])
    }
}

macro_rules! operator {
    ($trait:ident, $fn:ident, $op:tt) => {
        impl<T: Real, const N: usize, const FMA: bool> $trait for Lanes<T, N, FMA> {
            type Output = Self;
            #[inline(always)]
            fn $fn(self, b: Self) -> Self {
                by_shape!($fn(self, b), {
                    let mut out = self;
                    for i in 0..N {
                        out.0[i] = self.0[i] $op b.0[i];
                    }
                    out
                })
            }
        }
    };
}
operator!(Add, add, +);
operator!(Sub, sub, -);
operator!(Mul, mul, *);
operator!(Div, div, /);

impl<T: Real, const N: usize, const FMA: bool> AddAssign for Lanes<T, N, FMA> {
    #[inline(always)]
    fn add_assign(&mut self, b: Self) {
        *self = *self + b;
    }
}

impl<T: Real, const N: usize, const FMA: bool> SubAssign for Lanes<T, N, FMA> {
    #[inline(always)]
    fn sub_assign(&mut self, b: Self) {
        *self = *self - b;
    }
}

impl<T: Real, const N: usize, const FMA: bool> Neg for Lanes<T, N, FMA> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        by_shape!(neg(self), self.map(|x| -x))
    }
}

impl<T: Real, const N: usize, const FMA: bool> Lane for Lanes<T, N, FMA> {
    const WIDTH: usize = N;
    type Scalar = T;
    #[inline(always)]
    fn splat(x: f64) -> Self {
        Self::from_scalar(T::of(x))
    }
    #[inline(always)]
    fn get(&self, i: usize) -> f64 {
        self.0[i].into_f64()
    }
    #[inline(always)]
    fn set(&mut self, i: usize, x: f64) {
        self.0[i] = T::of(x);
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        by_shape!(sqrt(self), self.map(T::sqrt))
    }
    #[inline(always)]
    fn abs(self) -> Self {
        by_shape!(abs(self), self.map(T::abs))
    }
    #[inline(always)]
    fn mul_add(self, a: Self, b: Self) -> Self {
        by_shape!(mul_add(self, a, b), {
            let mut out = self;
            for i in 0..N {
                out.0[i] = self.0[i].times_plus::<FMA>(a.0[i], b.0[i]);
            }
            out
        })
    }
    #[inline(always)]
    fn select_lt(a: Self, b: Self, x: Self, y: Self) -> Self {
        by_shape!(select_lt(a, b, x, y), {
            let mut out = y;
            for i in 0..N {
                out.0[i] = if a.0[i] < b.0[i] { x.0[i] } else { y.0[i] };
            }
            out
        })
    }
    #[inline(always)]
    fn min(self, b: Self) -> Self {
        by_shape!(min(self, b), Self::select_lt(self, b, self, b))
    }
    #[inline(always)]
    fn max(self, b: Self) -> Self {
        by_shape!(max(self, b), Self::select_lt(self, b, b, self))
    }
    #[inline(always)]
    fn exp(self) -> Self {
        by_shape!(exp(self), self.map(T::exp::<FMA>))
    }
    #[inline(always)]
    fn ln(self) -> Self {
        by_shape!(ln(self), self.map(T::ln::<FMA>))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type V = Lanes<f64, 4, false>;

    #[test]
    fn each_lane_is_worked_on_alone() {
        let a = V::from_fn(|i| i as f64 + 1.0);
        let b = V::splat(2.5);
        let picked = V::select_lt(a, b, a * b, a / b);
        assert_eq!(picked.0, [2.5, 5.0, 3.0 / 2.5, 4.0 / 2.5]);
        assert_eq!(a.mul_add(b, -a).0, [1.5, 3.0, 4.5, 6.0]);
    }

    #[test]
    fn lanes_agree_with_one_lane_to_the_bit() {
        let a = V::from_fn(|i| 0.3 + 7.7 * i as f64);
        for i in 0..4 {
            let x = a.get(i);
            assert_eq!(a.ln().get(i).to_bits(), Lane::ln(x).to_bits());
            assert_eq!(a.exp().get(i).to_bits(), Lane::exp(x).to_bits());
            assert_eq!(Lane::sqrt(a).get(i).to_bits(), x.sqrt().to_bits());
        }
    }

    /// Every operation of a register shape against the scalar one, to the bit.
    macro_rules! shape_agrees {
        ($name:ident, $t:ty, $n:literal, $fma:literal, $needs:expr) => {
            #[test]
            fn $name() {
                if !crate::Level::available().iter().any(|l| l.kind() == $needs) {
                    return;
                }
                type V = Lanes<$t, $n, $fma>;
                let a = V::from_fn(|i| 0.3 + 1.7 * i as f64);
                let b = V::from_fn(|i| 9.1 - 2.3 * i as f64);
                let c = V::from_fn(|i| if i == 1 { f64::NAN } else { -0.7 * i as f64 });
                let cases: [(V, &dyn Fn($t, $t, $t) -> $t); 14] = [
                    (a + b, &|a, b, _| a + b),
                    (a - b, &|a, b, _| a - b),
                    (a * b, &|a, b, _| a * b),
                    (a / b, &|a, b, _| a / b),
                    (-b, &|_, b, _| -b),
                    (b.abs(), &|_, b, _| b.abs()),
                    (Lane::sqrt(a), &|a, _, _| a.sqrt()),
                    (Lane::mul_add(a, b, a), &|a, b, _| {
                        if $fma { a.mul_add(b, a) } else { a * b + a }
                    }),
                    (Lane::min(a, c), &|a, _, c| if a < c { a } else { c }),
                    (Lane::max(a, c), &|a, _, c| if a < c { c } else { a }),
                    (Lane::max(c, a), &|a, _, c| if c < a { a } else { c }),
                    (V::select_lt(a, c, b, a), &|a, b, c| if a < c { b } else { a }),
                    (Lane::exp(b), &|_, b, _| Real::exp::<$fma>(b)),
                    (Lane::ln(a), &|a, _, _| Real::ln::<$fma>(a)),
                ];
                for (k, (vector, scalar)) in cases.iter().enumerate() {
                    for i in 0..$n {
                        let wanted = scalar(a.0[i], b.0[i], c.0[i]);
                        let same = vector.0[i].to_bits() == wanted.to_bits();
                        assert!(
                            same || wanted.is_nan() && vector.0[i].is_nan(),
                            "case {k} lane {i}"
                        );
                    }
                }
            }
        };
    }
    shape_agrees!(sse2_f64_agrees_with_scalars, f64, 2, false, crate::Kind::Baseline);
    shape_agrees!(sse2_f32_agrees_with_scalars, f32, 4, false, crate::Kind::Baseline);
    shape_agrees!(avx2_f64_agrees_with_scalars, f64, 4, true, crate::Kind::Avx2);
    shape_agrees!(avx2_f32_agrees_with_scalars, f32, 8, true, crate::Kind::Avx2);
    shape_agrees!(avx512_f64_agrees_with_scalars, f64, 8, true, crate::Kind::Avx512);
    shape_agrees!(avx512_f32_agrees_with_scalars, f32, 16, true, crate::Kind::Avx512);
}
